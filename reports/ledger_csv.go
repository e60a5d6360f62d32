package reports

import (
	"bytes"
	"math"
	"strconv"
	"strings"

	"weirbook/analysis/export"
	"weirbook/reports/table"
)

// readingsTable is the row ledger: a row for each tag in each file, rows = used
// + every reason for setting a row aside.
func readingsTable(ledger []export.LedgerRow) table.Table {
	t := table.Table{Columns: []table.Column{{Name: "File", Key: "file"}, {Name: "Tag", Key: "tag"}, {Name: "Rows", Key: "rows"}, {Name: "Used", Key: "used"}}}
	for _, r := range export.Reasons() {
		t.Columns = append(t.Columns, table.Column{Name: r.String(), Key: slug(r.String())})
	}
	flags := []string{"bad quality", "uncertain quality", "outside span", "suspected fill number", "less-than result", "greater-than result", "condensed to a minute", "out of order"}
	for _, f := range flags {
		t.Columns = append(t.Columns, table.Column{Name: "used, flagged " + f, Key: "flagged_" + slug(f)})
	}
	for _, l := range ledger {
		row := []table.Cell{table.Str(l.File), table.Str(l.Tag), table.Int(l.Rows), table.Int(l.Used)}
		for _, r := range export.Reasons() {
			row = append(row, table.Int(l.Aside[r]))
		}
		for _, n := range []int{l.Bad, l.Uncertain, l.OutsideSpan, l.Fill, l.LessThan, l.GreaterThan, l.Condensed, l.Late} {
			row = append(row, table.Int(n))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func slug(s string) string {
	return strings.NewReplacer(" ", "_", "-", "_", ".", "").Replace(s)
}

// asideCSV is set-aside.csv: the text of the rows that were not used, at most
// export.SetAsideCap for each file and reason. A last row states the cap where
// it cut something off.
func asideCSV(rows []export.SetAside, ledger []export.LedgerRow) ([]byte, error) {
	t := table.Table{Columns: []table.Column{{Key: "file"}, {Key: "line"}, {Key: "tag"}, {Key: "reason"}, {Key: "text"}}}
	total := 0
	for _, l := range ledger {
		total += l.Rows - l.Used
	}
	for _, a := range rows {
		line := table.Int(a.Line)
		if a.Line == 0 {
			line = table.NA("")
		}
		t.Rows = append(t.Rows, []table.Cell{table.Str(a.File), line, table.Str(a.Tag), table.Str(a.Reason.String()), table.Str(a.Text)})
	}
	if len(rows) < total {
		t.Rows = append(t.Rows, []table.Cell{table.Str(""), table.NA(""), table.Str(""), table.Str("not listed"),
			table.Str(strconv.Itoa(total-len(rows)) + " more rows; at most " + strconv.Itoa(export.SetAsideCap) + " are listed for each file and reason, readings.csv counts them all")})
	}
	var buf bytes.Buffer
	err := t.WriteCSV(&buf)
	return buf.Bytes(), err
}

// rounded keeps so many digits after the point, so that a written number does
// not carry the noise of its last bits.
func rounded(v float64, decimals int) float64 {
	p := math.Pow(10, float64(decimals))
	return math.Round(v*p) / p
}
