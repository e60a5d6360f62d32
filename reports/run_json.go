package reports

import (
	"time"

	"weirbook/analysis"
)

// runJSON is enough to run it again and get the same bytes.
type runJSON struct {
	Program  string         `json:"program"`
	Version  string         `json:"version"`
	Command  string         `json:"command"`
	Plant    string         `json:"plant"`
	TimeZone string         `json:"time_zone"`
	Units    string         `json:"units"`
	From     string         `json:"from"`
	To       string         `json:"to"`
	Inputs   []inputJSON    `json:"inputs"`
	Counts   countsJSON     `json:"counts"`
	Settings []settingJSON  `json:"settings"`
	Findings map[string]int `json:"findings_by_severity"`
	Files    []File         `json:"files"`
}

type inputJSON struct {
	File   string `json:"file"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
	Format string `json:"format"`
	Zone   string `json:"zone"`
	Rows   int    `json:"rows"`
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

func runText(r *analysis.Result, version, command string, files []File) ([]byte, error) {
	at := func(ms int64) string { return time.UnixMilli(ms).In(r.Plant.Zone).Format(time.RFC3339) }
	j := runJSON{Program: "weirbook", Version: version, Command: command, Plant: r.Plant.Name, TimeZone: r.Plant.ZoneName,
		Units: string(r.Plant.Units), From: at(r.From), To: at(r.To), Findings: map[string]int{}, Files: files}
	for _, f := range r.Read.Files {
		j.Inputs = append(j.Inputs, inputJSON{f.Name, f.Bytes, f.SHA256, f.Format, f.Zone, f.Rows})
	}
	for _, l := range r.Read.Ledger {
		j.Counts.Rows += l.Rows
		j.Counts.Used += l.Used
	}
	j.Counts.SetAside = j.Counts.Rows - j.Counts.Used
	j.Counts.Tags, j.Counts.Hours = len(r.Plant.Tags), len(r.Hours)
	for _, s := range r.Settings {
		j.Settings = append(j.Settings, settingJSON{s.Name, s.Value, s.Why})
	}
	for _, f := range r.Findings {
		j.Findings[string(f.Severity)]++
	}
	return jsonText(j)
}
