package reports

import (
	"bytes"
	"encoding/json"
	"strings"
	"time"

	"weirbook/analysis/finding"
	"weirbook/analysis/sheet"
	"weirbook/reports/table"
)

// findingRow is a row of findings.csv.
type findingRow struct {
	Start      sheet.Moment `csv:"start" about:"begin of the event, on the plant's clock"`
	End        sheet.Moment `csv:"end" about:"its end, on the plant's clock"`
	Kind       string       `csv:"kind" about:"what happened, one word of a fixed list"`
	AtFault    string       `csv:"at_fault" about:"orp-probe, residual-analyser, flow-meter, process, data or undecided"`
	Subject    string       `csv:"subject" about:"the tag, basin or point that it is about"`
	Severity   string       `csv:"severity" about:"critical, warning or notice"`
	Confidence sheet.Number `csv:"confidence" about:"0 to 1"`
	Summary    string       `csv:"summary" about:"one sentence"`
	Evidence   string       `csv:"evidence" about:"what speaks for it, with numbers"`
	CheckNext  string       `csv:"check_next" about:"what would settle it"`
	HowSure    string       `csv:"how_sure" about:"sure or likely: an alarm; look: a suspicion"`
	StartUTC   sheet.Moment `csv:"start_utc" about:"begin in UTC"`
	EndUTC     sheet.Moment `csv:"end_utc" about:"end in UTC"`
}

// findingsCSV is findings.csv: one event a row, worst first.
func findingsCSV(fs []finding.Finding, zone *time.Location) ([]byte, error) {
	var rows []findingRow
	for _, f := range fs {
		rows = append(rows, findingRow{sheet.At(f.Start, zone), sheet.At(f.End, zone), f.Kind, string(f.AtFault), f.Subject, string(f.Severity),
			sheet.Number(rounded(f.Confidence, 2)), table.Keyboard(f.Summary),
			table.Keyboard(strings.Join(f.Evidence, " ")), table.Keyboard(strings.Join(f.CheckNext, " ")), f.Word(), sheet.At(f.Start, time.UTC), sheet.At(f.End, time.UTC)})
	}
	return sheet.Rows(rows, nil)
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
	HowSure    string     `json:"how_sure"` // sure or likely: an alarm; look: a suspicion
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
			Summary: f.Summary, Evidence: noNil(f.Evidence), CheckNext: noNil(f.CheckNext), Cautions: noNil(f.Cautions), Witnesses: []voteJSON{}, HowSure: f.Word(),
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
