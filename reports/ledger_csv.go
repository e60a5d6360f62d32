package reports

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"weirbook/analysis/export"
	"weirbook/analysis/sheet"
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

// asideRow is a row of set-aside.csv.
type asideRow struct {
	File   string `csv:"file" about:"the export"`
	Line   string `csv:"line" about:"line in the file; empty: the place was not kept"`
	Tag    string `csv:"tag" about:"the tag; empty: the whole row"`
	Reason string `csv:"reason" about:"why it was not used, a column of readings.csv"`
	Text   string `csv:"text" about:"the row or cell as it stands in the export"`
}

// asideCSV is set-aside.csv: the text of the rows that were not used, at most
// export.SetAsideCap for each file and reason. Last rows state what is counted in
// readings.csv and has no line here.
func asideCSV(rows []export.SetAside, ledger []export.LedgerRow) ([]byte, error) {
	var out []asideRow
	type group struct {
		file string
		why  export.Reason
	}
	listed := map[group]int{}
	for _, a := range rows {
		line := ""
		if a.Line > 0 {
			line = strconv.Itoa(a.Line)
		}
		listed[group{a.File, a.Reason}]++
		out = append(out, asideRow{a.File, line, a.Tag, a.Reason.String(), a.Text})
	}
	counted := map[group]int{}
	var files []string
	for _, l := range ledger {
		if len(files) == 0 || files[len(files)-1] != l.File {
			files = append(files, l.File)
		}
		for _, why := range export.Reasons() {
			counted[group{l.File, why}] += l.Aside[why]
		}
	}
	for _, f := range files {
		for _, why := range export.Reasons() {
			g := group{f, why}
			n, all := listed[g], counted[g]
			if n >= all {
				continue
			}
			text := ""
			switch {
			case n >= export.SetAsideCap:
				text = fmt.Sprintf("%s: the first %d lines are listed, %d readings are counted", why, n, all)
			case n > 0: // a row of a table with a column per tag counts once for each
				text = fmt.Sprintf("%s: lines listed: %d; they hold %d readings, one of each tag's column", why, n, all)
			default:
				text = fmt.Sprintf("%s: %d readings, none of them listed", why, all)
			}
			out = append(out, asideRow{f, "", "", "not listed", text + "; readings.csv counts them by tag"})
		}
	}
	return sheet.Rows(out, nil)
}

// rounded keeps so many digits after the point, so that a written number does
// not carry the noise of its last bits.
func rounded(v float64, decimals int) float64 {
	p := math.Pow(10, float64(decimals))
	return math.Round(v*p) / p
}
