package reports

import (
	"strings"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/plant"
)

// runJSON is enough to run it again and get the same bytes.
type runJSON struct {
	Program   string          `json:"program"`
	Version   string          `json:"version"`
	Command   string          `json:"command"`
	Plant     string          `json:"plant"`
	TimeZone  string          `json:"time_zone"`
	Units     string          `json:"units"`
	From      string          `json:"from"`
	To        string          `json:"to"`
	Asked     askedJSON       `json:"asked"`
	Described []describedJSON `json:"plant_files"`
	Inputs    []inputJSON     `json:"inputs"`
	Counts    countsJSON      `json:"counts"`
	Settings  []settingJSON   `json:"settings"`
	Findings  map[string]int  `json:"findings_by_severity"`
	Files     []File          `json:"files"`
}

// askedJSON is what the command line asked for beside the files; empty ends are
// open.
type askedJSON struct {
	From string `json:"from"`
	To   string `json:"to"`
}

type describedJSON struct {
	Name   string `json:"file"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// inputJSON is an export as it was read, or one member of an archive; bytes and
// hash are of the file on disk.
type inputJSON struct {
	File    string `json:"file"`
	Archive string `json:"archive,omitempty"`
	Bytes   int64  `json:"bytes"`
	SHA256  string `json:"sha256"`
	Format  string `json:"format"`
	Zone    string `json:"zone"`
	Rows    int    `json:"rows"`
}

type countsJSON struct {
	Rows     int `json:"rows"`
	Used     int `json:"used"`
	SetAside int `json:"set_aside"`
	Tags     int `json:"tags"`
	Hours    int `json:"hours"`
}

type settingJSON struct {
	Name  string `json:"name"`
	Value string `json:"value"`
	Why   string `json:"why,omitempty"`
}

// newRunJSON is the record of what any command read.
func newRunJSON(p *plant.Plant, read *export.Result, named []string, version, command string, files []File) runJSON {
	j := runJSON{Program: programName, Version: version, Command: command, Plant: p.Name, TimeZone: p.ZoneName,
		Units: string(p.Units), Findings: map[string]int{}, Files: files}
	for _, f := range p.Files {
		j.Described = append(j.Described, describedJSON(f))
	}
	for _, f := range read.Files {
		j.Inputs = append(j.Inputs, inputJSON{f.Name, archiveOf(f.Name, named), f.Bytes, f.SHA256, f.Format, f.Zone, f.Rows})
	}
	for _, l := range read.Ledger {
		j.Counts.Rows += l.Rows
		j.Counts.Used += l.Used
	}
	j.Counts.SetAside = j.Counts.Rows - j.Counts.Used
	j.Counts.Tags = len(p.Tags)
	return j
}

// archiveOf is the named file that a member stands in; empty for a file itself.
func archiveOf(name string, named []string) string {
	for _, n := range named {
		if strings.HasPrefix(name, n+"/") {
			return n
		}
	}
	return ""
}

func moment(ms int64, zone *time.Location) string {
	if ms == 0 {
		return ""
	}
	return time.UnixMilli(ms).In(zone).Format(time.RFC3339)
}

func runText(r *analysis.Result, version, command string, files []File) ([]byte, error) {
	zone := r.Plant.Zone
	j := newRunJSON(r.Plant, r.Read, r.Named, version, command, files)
	j.From, j.To = moment(r.From, zone), moment(r.To, zone)
	j.Asked = askedJSON{moment(r.Asked.From, zone), moment(r.Asked.To, zone)}
	j.Counts.Hours = len(r.Hours)
	for _, s := range r.Settings {
		j.Settings = append(j.Settings, settingJSON{s.Name, s.Value, s.Why})
	}
	for _, f := range r.Findings {
		j.Findings[string(f.Severity)]++
	}
	return jsonText(j)
}
