package reports

import (
	"fmt"
	"io"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/plant"
	"weirbook/reports/table"
)

// PrintCheck writes what reading and screening saw, for a terminal.
func PrintCheck(w io.Writer, p *plant.Plant, c *analysis.Checked) error {
	fmt.Fprintf(w, "%s\n\nHow each file was taken\n", p.Name)
	for _, f := range c.Read.Files {
		fmt.Fprintf(w, "  %s: %s; times on the clock of %s; %s\n", f.Name, f.Format, f.Zone, plural(f.Rows, "row"))
	}
	fmt.Fprintln(w)
	if err := ledgerTable(c.Read.Ledger).WriteText(w); err != nil {
		return err
	}
	fmt.Fprintln(w)
	if err := tagTable(p, c.Read).WriteText(w); err != nil {
		return err
	}
	for _, part := range []struct {
		head  string
		lines []string
	}{
		{"The first that was set aside, for each reason", asideExamples(c.Read.SetAside)},
		{"Remarks on reading the files", readerWords(c.Read, export.Note)},
		{"What screening found", screenWords(c.Screen)},
		{"Tags without readings", c.Missing},
	} {
		if len(part.lines) == 0 {
			continue
		}
		fmt.Fprintf(w, "\n%s\n", part.head)
		for _, l := range part.lines {
			fmt.Fprintf(w, "  %s\n", l)
		}
	}
	return nil
}

// asideExamples shows, for each reason but blanks, the first row that was set aside,
// so that nobody must run the plant to see one.
func asideExamples(rows []export.SetAside) []string {
	const longest = 120
	first := map[export.Reason]export.SetAside{}
	for _, a := range rows {
		if _, met := first[a.Reason]; !met {
			first[a.Reason] = a
		}
	}
	var out []string
	for _, why := range export.Reasons() {
		a, met := first[why]
		if !met {
			continue
		}
		at, tag := a.File, ""
		if a.Line > 0 {
			at = fmt.Sprintf("%s:%d", a.File, a.Line)
		}
		if a.Tag != "" {
			tag = a.Tag + ": "
		}
		text := []rune(a.Text)
		if len(text) > longest {
			text = append(text[:longest:longest], '…')
		}
		out = append(out, fmt.Sprintf("%s: %s: %s%s", why, at, tag, string(text)))
	}
	return out
}

// tagTable shows each tag as it looked in the exports.
func tagTable(p *plant.Plant, r *export.Result) *table.Table {
	t := &table.Table{Caption: "Tags in the exports", Columns: []table.Column{{Name: "Tag"}, {Name: "Measures"}, {Name: "Rows"}, {Name: "Used"}, {Name: "First"}, {Name: "Last"}, {Name: "Lowest"}, {Name: "Highest"}, {Name: "Unit"}}}
	used := map[string]int{}
	for _, l := range r.Ledger {
		used[l.Tag] += l.Used
	}
	for _, i := range r.Tags {
		measures := "not in tags.csv"
		unit := i.Unit
		if g, ok := p.Tag(i.Name); ok {
			measures = string(g.Measures) + " at " + g.At
			if g.HasUnit {
				unit = g.Unit.Symbol
			}
		}
		row := []table.Cell{table.Str(i.Name), table.Str(measures), table.Int(i.Rows), table.Int(used[i.Name]), table.NA(""), table.NA(""), table.Sig(i.Min, 4), table.Sig(i.Max, 4), table.Str(unit)}
		if i.First != 0 || i.Last != 0 {
			row[4] = table.When(time.UnixMilli(i.First).In(p.Zone), "2006-01-02 15:04")
			row[5] = table.When(time.UnixMilli(i.Last).In(p.Zone), "2006-01-02 15:04")
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}
