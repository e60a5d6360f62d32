package layout

import (
	"fmt"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/sample"
)

// wideRoles gives every other column to a tag.
func (f *Layout) wideRoles(c *sample.Candidate) {
	last := -1 // the value column before
	named := len(f.headings()) > 0
	for k := range f.Cols {
		x := &f.Cols[k]
		if x.Role != RoleSkip {
			if x.Role != RoleValue {
				continue
			}
		}
		q := &c.Kinds[k]
		full := q.N - q.Blank
		switch {
		case x.Head == "" && full == 0: // an empty column between
			continue
		case sample.NumberColumn(x.Head, q) && k < 2:
			continue
		case f.qualityHead(k) && (full == 0 || f.qualityCells(q)*10 >= full*8 || plainlyQuality(x.Head) && q.Number == 0) && !(named && q.Number == full && !sample.SmallCodes(q)):
			x.Role = RoleQuality
			continue
		case f.noQuality && nameless(x.Head):
			continue
		case last >= 0 && sample.IsUnitHead(x.Head) && (full == 0 || q.Unit*10 >= full*5):
			x.Role = RoleUnit
			continue
		case last >= 0 && !f.noQuality && x.Head == "" && full > 0 && q.Quality == full && (q.Text > 0 || sample.SmallCodes(q)):
			x.Role = RoleQuality
			continue
		case last >= 0 && x.Head == "" && full > 0 && q.Unit == full && q.Text > 0:
			x.Role = RoleUnit
			continue
		case x.Head != "" && sample.DescHeads[cell.Bare(x.Head)] && (q.Number*2 < full || full == 0):
			continue // remarks
		case sample.PersonColumn(x.Head, q):
			continue
		case q.Time*10 >= full*8 && full > 0 && q.Number*2 < full:
			continue // another date
		}
		x.Role = RoleValue
		last = k
		x.Name = x.Head
		if x.Name == "" {
			x.Name = fmt.Sprintf("column %d", k+1)
		}
		if x.Unit == "" {
			if base, u := sample.SplitUnit(x.Name); u != "" {
				x.Name, x.Unit = base, u
			}
		}
		x.Name = sample.WithoutValueWord(x.Name)
	}
}

// uniqueNames gives names that come twice to one column each, by unit where
// that does it.
func (f *Layout) uniqueNames() {
	seen := map[string]int{}
	for k := range f.Cols {
		if f.Cols[k].Role == RoleValue {
			seen[f.Cols[k].Name]++
		}
	}
	used := map[string]bool{}
	for k := range f.Cols {
		x := &f.Cols[k]
		if x.Role != RoleValue {
			continue
		}
		name := x.Name
		if seen[name] > 1 && x.Head != name && x.Head != "" {
			name = x.Head
		}
		for n := 2; used[name]; n++ {
			name = fmt.Sprintf("%s #%d", x.Name, n)
		}
		if name != x.Name {
			f.Note(ledger.Warning, f.Skip, "the heading %q stands over several columns; this one is read as tag %q", x.Name, name)
		}
		used[name] = true
		x.Name = name
	}
}

// nameless says whether a heading is a word for quality and no more.
func nameless(h string) bool {
	name, ok := qualityOf(h)
	return ok && name == ""
}

// sampleQuality decides how quality numbers are meant.
func (f *Layout) sampleQuality(c *sample.Candidate) {
	codes := map[uint64]int{}
	good := f.Count(RoleQuality) > 0
	for k := range f.Cols {
		if f.Cols[k].Role != RoleQuality {
			continue
		}
		good = good && sample.GoodHeads[cell.Bare(f.Cols[k].Head)]
		for s, n := range c.Kinds[k].Distinct {
			if code, ok := cell.QualityNumber([]byte(s)); ok {
				codes[code] += n
			}
		}
	}
	f.Codes, f.CodesSure = cell.GuessCodes(codes)
	if good && (f.Codes == cell.OneGood || f.Codes == cell.ZeroGood || f.Codes == cell.CodesUnknown) {
		f.Codes, f.CodesSure = cell.OneGood, true // "IsGood" says so
	}
}
