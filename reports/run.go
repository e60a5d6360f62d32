package reports

import (
	"bytes"
	"fmt"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/reports/page"
)

// Output is one file of a report, by its name in the folder.
type Output struct {
	Name string
	Data []byte
}

// Progress tells how many of a report's charts are drawn, which is what it takes
// longest over; it may be called from several goroutines. nil: nobody is told.
type Progress = func(done, total int)

// WriteRun writes the folder of the main job: whole, or not at all.
func WriteRun(dir string, r *analysis.Result, version, command string, drawn Progress) error {
	st, err := NewStage(dir)
	if err != nil {
		return err
	}
	defer st.Abort()
	if err := StageRun(st, "", r, version, command, drawn); err != nil {
		return err
	}
	return st.Commit()
}

// StageRun puts the files of the main job into a stage, under a prefix such as
// "report/"; run.json last.
func StageRun(st *Stage, prefix string, r *analysis.Result, version, command string, drawn Progress) error {
	outs, err := runFiles(r, version, drawn)
	if err != nil {
		return err
	}
	for _, o := range outs {
		if err := st.WriteFile(prefix+o.Name, o.Data); err != nil {
			return err
		}
	}
	var written []File
	for _, f := range st.Files() {
		if len(f.Name) > len(prefix) && f.Name[:len(prefix)] == prefix {
			f.Name = f.Name[len(prefix):]
			written = append(written, f)
		}
	}
	j, err := runText(r, version, command, written)
	if err != nil {
		return err
	}
	return st.WriteFile(prefix+Marker, j)
}

// runFiles makes every file of the main job but run.json.
func runFiles(r *analysis.Result, version string, drawn Progress) ([]Output, error) {
	p, err := runPage(r, version)
	if err != nil {
		return nil, err
	}
	outs, err := pageFiles(p, drawn)
	if err != nil {
		return nil, err
	}
	more, err := upsetFiles(r.Upsets)
	if err != nil {
		return nil, err
	}
	outs = append(outs, more...)
	made, err := makeAll(append([]maker{
		{"hourly.csv", func() ([]byte, error) { return seriesCSV(&r.Hourly, "hour_start", r.Plant) }},
		{"daily.csv", func() ([]byte, error) { return seriesCSV(&r.Daily, "day_start", r.Plant) }},
		{"samples.csv", func() ([]byte, error) { return samplesCSV(r) }},
		{"columns.csv", func() ([]byte, error) { return columnsCSV(r) }},
		{"findings.csv", func() ([]byte, error) { return findingsCSV(r.Findings, r.Plant.Zone) }},
		{"findings.json", func() ([]byte, error) { return findingsJSON(r.Findings, r.Plant.Zone) }},
	}, readerFiles(r.Read)...))
	return append(outs, made...), err
}

// maker makes one file.
type maker struct {
	name string
	make func() ([]byte, error)
}

func makeAll(ms []maker) ([]Output, error) {
	var outs []Output
	for _, m := range ms {
		data, err := m.make()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", m.name, err)
		}
		outs = append(outs, Output{m.name, data})
	}
	return outs, nil
}

// readerFiles are the row ledger and the rows set aside.
func readerFiles(read *export.Result) []maker {
	return []maker{
		{"readings.csv", func() ([]byte, error) {
			t := readingsTable(read.Ledger)
			var b bytes.Buffer
			err := t.WriteCSV(&b)
			return b.Bytes(), err
		}},
		{"set-aside.csv", func() ([]byte, error) { return asideCSV(read.SetAside, read.Ledger) }},
	}
}

// pageFiles lays a page out as report.html and report.md, with its pictures.
func pageFiles(p *page.Page, drawn Progress) ([]Output, error) {
	p.NamePictures()
	if err := p.Draw(drawn); err != nil {
		return nil, err
	}
	var html, md bytes.Buffer
	if err := p.WriteHTML(&html); err != nil {
		return nil, fmt.Errorf("report.html: %w", err)
	}
	if err := p.WriteMarkdown(&md); err != nil {
		return nil, fmt.Errorf("report.md: %w", err)
	}
	outs := []Output{{"report.html", html.Bytes()}, {"report.md", md.Bytes()}}
	for _, pic := range p.Pictures() {
		outs = append(outs, Output{pic.File, pic.PNG})
	}
	return outs, nil
}
