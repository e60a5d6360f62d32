package reports

import (
	"bytes"
	"math"
	"strconv"
	"strings"

	"weirbook/analysis"
	"weirbook/analysis/review"
	"weirbook/analysis/sheet"
	"weirbook/reports/table"
	"weirbook/reports/workbook"
)

// WriteReview writes the folder of a performance review: whole, or not at all.
func WriteReview(dir string, r *analysis.ReviewResult, version string, drawn Progress) error {
	st, err := NewStage(dir)
	if err != nil {
		return err
	}
	defer st.Abort()
	if err := StageReview(st, "", r, version, drawn); err != nil {
		return err
	}
	return st.Commit()
}

// StageReview puts the files of a review into a stage, under a prefix such as
// "report/"; run.json last.
func StageReview(st *Stage, prefix string, r *analysis.ReviewResult, version string, drawn Progress) error {
	outs, err := reviewFiles(r, version, drawn)
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
		if name, ok := strings.CutPrefix(f.Name, prefix); ok {
			f.Name = name
			written = append(written, f)
		}
	}
	j, err := reviewJSON(r, version, written)
	if err != nil {
		return err
	}
	return st.WriteFile(prefix+Marker, j)
}

// reviewFiles makes every file of the review but run.json.
func reviewFiles(r *analysis.ReviewResult, version string, drawn Progress) ([]Output, error) {
	p, err := reviewPage(r, version)
	if err != nil {
		return nil, err
	}
	outs, err := pageFiles(p, drawn)
	if err != nil {
		return nil, err
	}
	made, err := makeAll(append([]maker{
		{"review.csv", func() ([]byte, error) { return reviewCSV(r.Review.Figures) }},
		{workbook.ReviewName, func() ([]byte, error) {
			var b bytes.Buffer
			err := workbook.WriteReview(&b, workbook.ReviewBook{Plant: r.Plant, Record: r.Record, Review: r.Review, Version: version})
			return b.Bytes(), err
		}},
	}, readerFiles(r.Read)...))
	return append(outs, made...), err
}

// reviewCSV writes one row a figure.
func reviewCSV(fs []review.Figure) ([]byte, error) {
	return sheet.Text(func(w *sheet.Writer) error {
		if err := w.Write([]string{"section", "statistic", "parameter", "point", "period", "value", "unit", "n", "coverage", "definition", "low", "high", "n_effective", "n_in_doubt", "source", "why_unknown"}); err != nil {
			return err
		}
		num := func(v float64) string {
			if math.IsInf(v, 0) {
				return ""
			}
			return sheet.Figure(v, 7)
		}
		k := table.Keyboard
		for _, f := range fs {
			if err := w.Write([]string{f.Section, k(f.Statistic), k(f.Parameter), f.Point, f.Period, num(f.Value), k(f.Unit), strconv.Itoa(f.N), num(f.Coverage), k(f.Definition), num(f.Low), num(f.High), num(f.Effective),
				strconv.Itoa(f.InDoubt), k(f.Source), k(f.Why)}); err != nil {
				return err
			}
		}
		return nil
	})
}

// reviewJSON is run.json of a review: enough to make it again.
func reviewJSON(r *analysis.ReviewResult, version string, files []File) ([]byte, error) {
	zone := r.Plant.Zone
	j := newRunJSON(r.Plant, r.Read, r.Named, version, "review", files)
	j.From, j.To = moment(r.From, zone), moment(r.To, zone)
	j.Asked = askedJSON{moment(r.Asked.From, zone), moment(r.Asked.To, zone)}
	j.Counts.Hours = r.Review.Main.Len()
	if a := r.Review.Asked; a.CompareTo > 0 {
		j.Settings = append(j.Settings, settingJSON{"compare", moment(a.CompareFrom, zone) + " to " + moment(a.CompareTo, zone), "asked for"})
	}
	j.Settings = append(j.Settings, settingJSON{"by", string(r.Review.Asked.By), "how percentiles are parted"})
	for _, s := range r.Settings {
		j.Settings = append(j.Settings, settingJSON{s.Name, s.Value, s.Why})
	}
	for _, f := range r.Record.Findings {
		j.Findings[string(f.Severity)]++
	}
	return jsonText(j)
}
