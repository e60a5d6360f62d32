package layout

import (
	"fmt"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/sample"
)

// wideRoles gives every other column to a tag.
func (f *Layout) wideRoles(c *sample.Candidate) {
	values := false // one stands before
	for k := range f.Cols {
		x := &f.Cols[k]
		if x.Role != RoleSkip && x.Role != RoleValue {
			continue
		}
		if x.Role == RoleSkip {
			x.Role = f.wideRole(k, &c.Kinds[k], values)
		}
		if x.Role != RoleValue {
			continue
		}
		values = true
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

// wideRole is the role of a column of a wide table that is none of its times. behind
// says that a value stands before it, which a unit or a quality may belong to.
func (f *Layout) wideRole(k int, q *sample.ColKind, behind bool) Role {
	head, full := f.Cols[k].Head, q.Full()
	switch {
	case head == "" && full == 0: // an empty column between
		return RoleSkip
	case sample.NumberColumn(head, q) && k < 2:
		return RoleSkip
	case f.qualityHead(k) && f.holdsQuality(k, q):
		return RoleQuality
	case f.noQuality && nameless(head):
		return RoleSkip
	case behind && sample.IsUnitHead(head) && (full == 0 || q.Unit*10 >= full*5):
		return RoleUnit
	case head == "" && behind && f.unheadedRole(q) != RoleSkip:
		return f.unheadedRole(q)
	case head != "" && sample.DescHeads[cell.Bare(head)] && (q.Number*2 < full || full == 0): // remarks
		return RoleSkip
	case sample.PersonColumn(head, q):
		return RoleSkip
	case q.Time*10 >= full*8 && full > 0 && q.Number*2 < full: // another date
		return RoleSkip
	}
	return RoleValue
}

// unheadedRole is the role of a column without a heading behind a value: its quality, its
// unit, or none by what it holds.
func (f *Layout) unheadedRole(q *sample.ColKind) Role {
	switch full := q.Full(); {
	case !f.noQuality && q.Quality == full && (q.Text > 0 || sample.SureCodes(q)):
		return RoleQuality
	case q.Unit == full && q.Text > 0:
		return RoleUnit
	}
	return RoleSkip
}

// holdsQuality says whether the cells of a column that is headed as a quality are such.
func (f *Layout) holdsQuality(k int, q *sample.ColKind) bool {
	head := f.Cols[k].Head
	full := q.Full()
	if of, ok := flagOf(f.heads.plain[k]); ok && f.heads.others[of] && q.Number == 0 {
		return true
	}
	if f.ownState(k, q) {
		return false
	}
	if len(f.headings()) > 0 && q.Number == full && !sample.SmallCodes(q) {
		if full > 0 && (nameless(head) || plainlyQuality(head)) && sample.NoCodes(q) {
			f.askCodes(k, q, "read as a tag")
		}
		return false
	}
	return full == 0 || f.qualityCells(q)*10 >= full*8 || plainlyQuality(head) && q.Number == 0
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
			name, x.Nth = fmt.Sprintf("%s #%d", x.Name, n), n
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
