package reports

import (
	"bytes"
	"encoding/json"
	"strings"
	"time"

	"weirbook/analysis/finding"
	"weirbook/reports/table"
)

// findingsCSV is findings.csv: one event a row, worst first.
func findingsCSV(fs []finding.Finding, zone *time.Location) ([]byte, error) {
	t := table.Table{Columns: []table.Column{
		{Key: "start"}, {Key: "end"}, {Key: "kind"}, {Key: "at_fault"}, {Key: "subject"}, {Key: "severity"},
		{Key: "confidence"}, {Key: "summary"}, {Key: "evidence"}, {Key: "check_next"},
	}}
	for _, f := range fs {
		t.Rows = append(t.Rows, []table.Cell{
			table.When(time.UnixMilli(f.Start).In(zone), ""), table.When(time.UnixMilli(f.End).In(zone), ""),
			table.Str(f.Kind), table.Str(string(f.AtFault)), table.Str(f.Subject), table.Str(string(f.Severity)),
			table.Num(rounded(f.Confidence, 2), 2), table.Prose(f.Summary),
			table.Prose(strings.Join(f.Evidence, " ")), table.Prose(strings.Join(f.CheckNext, " ")),
		})
	}
	var buf bytes.Buffer
	err := t.WriteCSV(&buf)
	return buf.Bytes(), err
}

// findingJSON is a finding in findings.json. Its keys are those of
// findings.csv, with the witnesses besides.
type findingJSON struct {
	Start      string     `json:"start"`
	End        string     `json:"end"`
	Kind       string     `json:"kind"`
	AtFault    string     `json:"at_fault"`
	Subject    string     `json:"subject"`
	Severity   string     `json:"severity"`
	Confidence float64    `json:"confidence"`
	Summary    string     `json:"summary"`
	Evidence   []string   `json:"evidence"`
	CheckNext  []string   `json:"check_next"`
	Cautions   []string   `json:"cautions"`
	Witnesses  []voteJSON `json:"witnesses"`
}

type voteJSON struct {
	Witness string  `json:"witness"`
	For     string  `json:"for"`
	Weight  float64 `json:"weight"`
	Says    string  `json:"says"`
}

func findingsJSON(fs []finding.Finding, zone *time.Location) ([]byte, error) {
	out := []findingJSON{}
	for _, f := range fs {
		j := findingJSON{
			Start: time.UnixMilli(f.Start).In(zone).Format(time.RFC3339), End: time.UnixMilli(f.End).In(zone).Format(time.RFC3339),
			Kind: f.Kind, AtFault: string(f.AtFault), Subject: f.Subject, Severity: string(f.Severity), Confidence: rounded(f.Confidence, 4),
			Summary: f.Summary, Evidence: noNil(f.Evidence), CheckNext: noNil(f.CheckNext), Cautions: noNil(f.Cautions), Witnesses: []voteJSON{},
		}
		for _, v := range f.Votes {
			j.Witnesses = append(j.Witnesses, voteJSON{v.Witness, string(v.For), rounded(v.Weight, 4), v.Says})
		}
		out = append(out, j)
	}
	return jsonText(out)
}

func noNil(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

// jsonText is v as indented JSON with a line end; <, > and & stay readable.
func jsonText(v any) ([]byte, error) {
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	err := enc.Encode(v)
	return buf.Bytes(), err
}
