package reports

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/screen"
	"weirbook/reports/page"
	"weirbook/reports/table"
)

// dataSection answers whether the data can bear what is said: coverage, the
// row ledger, what screening saw, and what the reader guessed.
func dataSection(r *analysis.Result) (page.Section, error) {
	s := page.Section{ID: "data", Title: "Can the data be trusted?"}
	pic, err := picture("charts/coverage.png", coverage(r), "")
	if err != nil {
		return s, err
	}
	s.Blocks = append(s.Blocks, page.Text(usedWords(r.Read.Ledger)))
	if len(r.Coverage) > openTags {
		s.Blocks = append(s.Blocks, page.Fold("How much of each day the readings cover", plural(len(r.Coverage), "tag"), page.Chart(pic)))
	} else {
		s.Blocks = append(s.Blocks, page.Chart(pic))
	}
	s.Blocks = append(s.Blocks, readFolds(r.Notes, r.Screen, r.Read)...)
	return s, nil
}

// foldOf closes a block of n things behind one line; nothing when there are none.
func foldOf(title string, n int, what string, b page.Block) []page.Block {
	if n == 0 {
		return nil
	}
	return []page.Block{page.Fold(title, plural(n, what), b)}
}

func foldTable(title, what string, t *table.Table) []page.Block {
	return foldOf(title, len(t.Rows), what, page.Table(t))
}

// openTable shows a table with its first rows, and folds the rest, so that a plant
// of sixty tags has a page of the same length as one of ten.
func openTable(t *table.Table) []page.Block {
	const open = 10
	if len(t.Rows) == 0 {
		return nil
	}
	if len(t.Rows) <= open+2 {
		return []page.Block{page.Table(t)}
	}
	first, rest := *t, *t
	first.Rows, rest.Rows = t.Rows[:open], t.Rows[open:]
	rest.Caption, rest.Notes = "", nil
	return []page.Block{page.Table(&first), page.Fold(plural(len(rest.Rows), "more row"), t.Caption, page.Table(&rest))}
}

// openCharts shows the first of several charts of a kind, and folds the others.
func openCharts(pics []page.Picture) []page.Block {
	if len(pics) == 0 {
		return nil
	}
	var rest []page.Block
	for _, p := range pics[1:] {
		rest = append(rest, page.Chart(p))
	}
	out := []page.Block{page.Chart(pics[0])}
	if len(rest) > 0 {
		out = append(out, page.Fold(plural(len(rest), "more chart"), "", rest...))
	}
	return out
}

func foldPoints(title, what string, items []string) []page.Block {
	return foldOf(title, len(items), what, page.Points(items...))
}

// readFolds tells, each behind one line, what was missing, what screening found,
// what reading the files met, the row ledger, and how each file was read.
func readFolds(missing []string, seen screen.Report, read *export.Result) []page.Block {
	var facts []page.Fact
	for _, f := range read.Files {
		facts = append(facts, page.Fact{Name: f.Name, Value: f.Format, Note: "times on the clock of " + f.Zone})
	}
	return slices.Concat(foldPoints("What was missing", "remark", missing), foldPoints("What screening found", "remark", screenWords(seen)),
		foldPoints("Remarks on reading the files", "remark", readerWords(read, export.Note)),
		foldOf("Rows read, used and set aside", len(read.Ledger), "row", page.Table(ledgerTable(read.Ledger))),
		foldOf("How each file was read", len(facts), "file", page.Facts(facts...)))
}

// settingsFold and inputsFold are what it takes to make a report again.
func settingsFold(settings []analysis.Setting, more ...page.Fact) []page.Block {
	for _, x := range settings {
		more = append(more, page.Fact{Name: x.Name, Value: span(x.Value), Note: x.Why})
	}
	return foldOf("Settings used", len(more), "setting", page.Facts(more...))
}

func inputsFold(read *export.Result) []page.Block {
	var facts []page.Fact
	for _, f := range read.Files {
		if f.SHA256 != "" {
			facts = append(facts, page.Fact{Name: f.Name, Value: fmt.Sprintf("%s bytes, %s", table.Group(float64(f.Bytes), 0), plural(f.Rows, "row")), Note: "SHA-256 " + f.SHA256})
		}
	}
	return foldOf("Inputs", len(facts), "file", page.Facts(facts...))
}

// openTags is how many tags the chart of coverage shows open.
const openTags = 24

// usedWords is the row ledger in one sentence, the reasons by their number.
func usedWords(rows []export.LedgerRow) string {
	var total export.LedgerRow
	for _, l := range rows {
		total.Rows += l.Rows
		total.Used += l.Used
		for i, n := range l.Aside {
			total.Aside[i] += n
		}
	}
	reasons := slices.Clone(export.Reasons())
	sort.SliceStable(reasons, func(i, j int) bool { return total.Aside[reasons[i]] > total.Aside[reasons[j]] })
	text := fmt.Sprintf("%s read, %s used", plural(total.Rows, "reading"), count(total.Used))
	for _, reason := range reasons {
		if n := total.Aside[reason]; n > 0 {
			text += fmt.Sprintf(", %s %s", count(n), reason)
		}
	}
	return text + ". readings.csv adds them up tag by tag; set-aside.csv has the text of those not used."
}

// ledgerTable shows the row ledger with only the reasons that occur.
func ledgerTable(rows []export.LedgerRow) *table.Table {
	t := &table.Table{Caption: "The row ledger", Columns: []table.Column{{Name: "File"}, {Name: "Tag"}, {Name: "Rows"}, {Name: "Used"}},
		Notes: []string{"Rows = used + every reason for setting a row aside. readings.csv has every column, set-aside.csv the rows' text."}}
	var occurs []export.Reason
	var total export.LedgerRow
	for _, reason := range export.Reasons() {
		for _, l := range rows {
			if l.Aside[reason] > 0 {
				occurs = append(occurs, reason)
				t.Columns = append(t.Columns, table.Column{Name: reason.String()})
				break
			}
		}
	}
	line := func(l export.LedgerRow) []table.Cell {
		row := []table.Cell{table.Str(l.File), table.Str(l.Tag), table.Int(l.Rows), table.Int(l.Used)}
		for _, reason := range occurs {
			row = append(row, table.Int(l.Aside[reason]))
		}
		return row
	}
	for _, l := range rows {
		t.Rows = append(t.Rows, line(l))
		total.Rows += l.Rows
		total.Used += l.Used
		for i, n := range l.Aside {
			total.Aside[i] += n
		}
	}
	total.File = "All"
	sum := line(total)
	for i := range sum {
		sum[i] = sum[i].Bold()
	}
	t.Rows = append(t.Rows, sum)
	return t
}

// screenWords lists what screening saw, with what to do next.
func screenWords(rep screen.Report) []string {
	var out []string
	alike := 0 // messages in a row that ask for the same
	for i, m := range rep.Messages {
		s := m.Text
		alike++
		last := i+1 == len(rep.Messages) || rep.Messages[i+1].Next != m.Next
		if m.Line > 0 {
			s += fmt.Sprintf(" (tags.csv:%d)", m.Line)
		}
		s += "."
		switch {
		case m.Next == "" || !last:
		case alike == 1:
			s += " Next: " + m.Next + "."
		default:
			s += fmt.Sprintf(" Next, for these %d: %s.", alike, m.Next)
		}
		out = append(out, s)
		if last {
			alike = 0
		}
	}
	return out
}

// readerWords lists the reader's messages from a severity on. What many files say
// alike is said once, at the first of them.
func readerWords(res *export.Result, from export.Severity) []string {
	const alike = 3 // files up to here are listed one by one
	files := map[string]int{}
	for _, m := range res.Messages {
		files[m.Text]++
	}
	var out []string
	said := map[string]bool{}
	for _, m := range res.Messages {
		if m.Severity < from || strings.HasSuffix(m.Text, " is in none of the exports") {
			continue // of missing tags the plant's own list speaks
		}
		n := files[m.Text]
		if n <= alike || m.File == "" {
			out = append(out, place(m)+m.Text)
			continue
		}
		if !said[m.Text] {
			said[m.Text] = true
			out = append(out, fmt.Sprintf("%s and %s alike: %s", m.File, plural(n-1, "other file"), m.Text))
		}
	}
	return out
}

func place(m export.Message) string {
	switch {
	case m.File == "":
		return ""
	case m.Line == 0:
		return m.File + ": "
	}
	return fmt.Sprintf("%s:%d: ", m.File, m.Line)
}
