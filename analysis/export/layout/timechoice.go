package layout

import (
	"fmt"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/sample"
	"weirbook/analysis/export/stamp"
)

// otherTimes are columns of times besides those that are taken.
func (f *Layout) otherTimes(c *sample.Candidate) (out []int) {
	for k := range f.Cols {
		if q := &c.Kinds[k]; f.Cols[k].Role == RoleSkip && !f.isPairTime(k) && q.Time*10 >= q.Full()*6 && q.Time > q.N/2 && q.Number*2 < q.N {
			out = append(out, k)
		}
	}
	return out
}

// unreadClock closes a column that is headed as the time of day, beside dates without
// one, and cannot be read as such: it is no tag.
func (f *Layout) unreadClock(c *sample.Candidate) {
	t := c.Times.Time
	if t < 0 || c.Times.Kind != stamp.TextTime || c.Kinds[t].DateOnly*10 < c.Kinds[t].Time*9 {
		return
	}
	for k := range f.Cols {
		if q := &c.Kinds[k]; f.free(k) && sample.ClockHeads[cell.Bare(f.Cols[k].Head)] && q.Full() > 0 {
			f.Cols[k].Role = roleClosed
			f.Note(ledger.Warning, f.Skip, "column %q stands beside dates and cannot be read as the time of day (%s): every row counts as the beginning of its day. Write the times as 06:15 or 0615",
				f.Cols[k].Head, quotedHeads(firstOf(lex.SortedKeys(q.Distinct), 3)))
		}
	}
}

func firstOf(s []string, n int) []string { return s[:min(len(s), n)] }

// noteTimes names the column whose times are taken, where there are others.
func (f *Layout) noteTimes(c *sample.Candidate) {
	others := f.otherTimes(c)
	taken := max(c.Times.Time, c.Times.Date)
	if len(others) == 0 || taken < 0 {
		return
	}
	var heads []string
	for _, k := range others {
		if !c.Alike(k, taken) {
			heads = append(heads, f.label(k))
		}
	}
	if len(heads) == 0 {
		return
	}
	holds := "holds"
	if len(heads) > 1 {
		holds = "hold"
	}
	if len(f.PairTimes) > 0 && !f.Hourly {
		f.Note(ledger.Note, f.Skip, "%s %s times, too, and %s not used", columnsNamed(heads), holds, lex.Pick(len(heads), "is", "are"))
		return
	}
	f.Note(ledger.Note, f.Skip, "%s", fmt.Sprintf("times are taken from column %q; %s %s times, too, and is not used. If that is the wrong one, write time_column = %q for the file under [[source]] in plant.toml",
		f.label(taken), columnsNamed(heads), holds, heads[0]))
}
