package layout

import (
	"fmt"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/sample"
	"weirbook/analysis/lab"
)

// Columns that only laboratories' sheets have.

// laboratory says whether the headings are those of a laboratory's sheet: what was
// measured, or a reporting limit.
func (f *Layout) laboratory() bool {
	for k := range f.Cols {
		if h := plainHeading(f.Cols[k].Head); sample.ParameterHeads[h] || sample.LimitRank(h) > 0 {
			return true
		}
	}
	return false
}

var kindHeads = lex.Set("sample type", "type", "qc type", "sample kind", "kind", "qc", "sample class", "sample purpose", "sample matrix type", "sample type code", "qc code", "qaqc", "qa qc", "probenart")

// kindRole finds the column that tells samples of the water from those that control
// the laboratory's work: blanks, spikes, duplicates. Without one such sample among the
// rows looked at, the heading alone makes it one, so that a later row is not taken for
// the water.
func (f *Layout) kindRole(c *sample.Candidate) {
	for k := range f.Cols {
		q := &c.Kinds[k]
		if !f.free(k) || q.Number > 0 || q.Time > 0 || len(q.Distinct) > 40 {
			continue
		}
		headed := kindHeads[plainHeading(f.Cols[k].Head)]
		controls, samples, others := 0, 0, 0
		for word := range q.Distinct {
			switch control, known := lab.SampleKind(word, headed); {
			case control:
				controls++
			case known:
				samples++
			case strings.TrimSpace(word) != "" && !strings.EqualFold(strings.TrimSpace(word), f.Cols[k].Head):
				others++
			}
		}
		if headed && controls+samples > 0 || controls > 0 && samples > 0 && others == 0 {
			f.Cols[k].Role = RoleKind
			f.Note(ledger.Note, f.Skip, "read as the kinds of samples: column %q; rows of blanks, spikes and duplicates control the laboratory's work and are set aside", f.label(k))
			return
		}
	}
}

var detectHeads = lex.Set("detected", "detect", "detect flag", "detection flag", "detected yn", "detect yn", "hit", "detects", "detected?", "detect?")

// detectRole finds the column that says whether anything was detected: N beside
// nothing, or beside a limit, is a result below it.
func (f *Layout) detectRole(c *sample.Candidate) {
	for k := range f.Cols {
		q := &c.Kinds[k]
		if !f.free(k) || !detectHeads[plainHeading(f.Cols[k].Head)] || q.Full() == 0 {
			continue
		}
		ok := true
		for word := range q.Distinct {
			_, known := cell.Detected(word)
			ok = ok && (known || strings.TrimSpace(word) == "" || strings.EqualFold(strings.TrimSpace(word), f.Cols[k].Head))
		}
		if ok {
			f.Cols[k].Role, f.Cols[k].Detects = RoleSign, true
		}
	}
}

// limitRoles gives the columns of limits of a wide sheet to their values: "TSS RL", or
// "RL" right behind TSS.
func (f *Layout) limitRoles(c *sample.Candidate) {
	for k := range f.Cols {
		x, q := &f.Cols[k], &c.Kinds[k]
		if !f.free(k) || q.Number == 0 || q.Number != q.Full() {
			continue
		}
		head := plainHeading(x.Head)
		rank, of := sample.LimitRank(head), k-1
		words := strings.Fields(head)
		for n := 1; rank == 0 && n < len(words); n++ {
			if rank = sample.LimitRank(strings.Join(words[n:], " ")); rank > 0 {
				of = f.headed(strings.Join(words[:n], " "), k)
			}
		}
		for of >= 0 && f.Cols[of].Role == roleLimit { // RL and DL, one behind the other
			of = f.Cols[of].LimitOf
		}
		if rank > 0 && of >= 0 && f.free(of) && c.Kinds[of].Full() > 0 {
			x.Role, x.LimitOf, x.limitRank = roleLimit, of, rank
		}
	}
	var heads []string
	for k := range f.Cols {
		if f.Cols[k].Role == roleLimit {
			heads = append(heads, fmt.Sprintf("%q", f.label(k)))
		}
	}
	if len(heads) > 0 {
		f.Note(ledger.Note, f.Skip, "read as the limits of the results beside them: %s", strings.Join(heads, ", "))
	}
}

// fillDowns finds the columns of a laboratory's sheet whose cells are merged over rows:
// the date, and with it its time of day and place, stand in the first row of each
// block. A date left out by mistake stands in a sheet that repeats its dates; there no
// two rows with a date stand on one another with the same one.
func (f *Layout) fillDowns(c *sample.Candidate) {
	at := c.Times.At()
	if !f.laboratory() || at < 0 || f.Times.Ymd != nil {
		return
	}
	rows, blanks, before := 0, 0, ""
	for _, fs := range c.Fields[c.Start:] {
		if len(fs) <= max(at, f.ValueCol) || len(lex.Trim(fs[f.TagCol])) == 0 || len(lex.Trim(fs[f.ValueCol])) == 0 {
			continue
		}
		date := string(lex.Trim(fs[at]))
		switch {
		case date == "" && before == "":
			return
		case date == "":
			blanks++
		case date == before:
			return
		default:
			before = date
		}
		rows++
	}
	if blanks*10 < rows*3 || blanks < 2 {
		return
	}
	for k := range f.Cols {
		if r := f.Cols[k].Role; r == RoleTime || r == roleDate || r == roleClock || r == rolePlace {
			f.FillDown = append(f.FillDown, k)
		}
	}
	f.Fast, f.RowOrder = false, AnyOrder
	f.Note(ledger.Note, f.Skip, "rows without a date are read with the date above them, as where cells are merged; so is the place")
}

// headed is the column, other than k, whose heading is a name as plain words, with or
// without a unit; -1 if there is none.
func (f *Layout) headed(name string, k int) int {
	for i := range f.Cols {
		head, _ := sample.SplitUnit(f.Cols[i].Head)
		if i != k && head != "" && (plainHeading(head) == name || plainHeading(f.Cols[i].Head) == name) {
			return i
		}
	}
	return -1
}
