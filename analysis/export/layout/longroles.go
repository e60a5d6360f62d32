package layout

import (
	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/sample"
)

// longRoles finds tag and value columns; false when the table is not a row per
// reading.
func (f *Layout) longRoles(c *sample.Candidate) bool {
	tag, value := -1, -1
	guessed := false // the tag's column, by its cells
	for k, x := range f.Cols {
		switch x.Role {
		case RoleTag:
			tag = k
		case RoleValue:
			value = k
		}
	}
	free := func(k int) bool { return f.Cols[k].Role == RoleSkip }
	words := func(k int) bool { // a column of names
		q := &c.Kinds[k]
		full := q.N - q.Blank
		return full > 0 && q.Text+q.State >= full*8/10 && q.Number < full/2+1 && !(q.State == full)
	}
	// A place and a parameter: the parameter is the tag, the place goes before it.
	place := -1
	if tag < 0 {
		for pass := 0; pass < 2 && tag < 0; pass++ {
			for k := range f.Cols {
				b := cell.Bare(f.Cols[k].Head)
				if !free(k) || tag >= 0 {
					continue
				}
				q := &c.Kinds[k]
				full := q.N - q.Blank
				if pass == 0 && sample.TagHeads[b] && !(b == "id" && q.Number == full && q.Rising > full/2 && len(q.Distinct) > full/2) && full > 0 && q.Time*2 < full+1 {
					tag = k
				}
				if pass == 1 && sample.PlaceHeads[b] && words(k) {
					tag = k
				}
			}
		}
	}
	if tag >= 0 {
		for k := range f.Cols {
			if b := cell.Bare(f.Cols[k].Head); k != tag && free(k) && sample.PlaceHeads[b] && b != "source" && words(k) {
				place = k
			}
		}
	}
	if value < 0 {
		for k := range f.Cols {
			if free(k) && k != tag && sample.ValueHeads[cell.Bare(f.Cols[k].Head)] {
				value = k
				break
			}
		}
		value = f.scaledBeside(c, value, tag)
	}
	if tag < 0 { // no heading says so: the only column of names that are no quality
		var cands []int
		for k := range f.Cols {
			q := &c.Kinds[k]
			full := q.N - q.Blank
			if free(k) && k != value && words(k) && q.Quality < full && q.Unit < full && !sample.PersonColumn(f.Cols[k].Head, q) && !f.qualityHead(k) && !sample.RemarkHeads[cell.Bare(f.Cols[k].Head)] {
				cands = append(cands, k)
			}
		}
		nums := 0
		for k := range f.Cols {
			if q := &c.Kinds[k]; free(k) && k != value && q.Number*2 > q.N-q.Blank && !sample.NumberColumn(f.Cols[k].Head, q) && q.N > q.Blank {
				nums++
			}
		}
		if len(cands) == 0 || value < 0 && nums != 1 && !(nums == 2 && f.anyQuality(c)) {
			return false
		}
		tag = c.MostLikeTags(cands)
		guessed = true
	}
	if value < 0 {
		var numbers []int
		for k := range f.Cols {
			q := &c.Kinds[k]
			if free(k) && k != tag && q.N > q.Blank && q.Number*2 > q.N-q.Blank && !sample.NumberColumn(f.Cols[k].Head, q) && !f.qualityHead(k) {
				numbers = append(numbers, k)
			}
		}
		if value = f.valueAmong(c, tag, numbers, guessed); value < 0 {
			return false // a column per tag, or unclear
		}
		if guessed && !f.wordsNameTags(c, tag, value) {
			f.Note(ledger.Note, f.Skip, "column %q is taken for a tag of its own beside %q, not for the names of tags. If its words are tags, write tag_column = %q for the file under [[source]] in plant.toml", f.Cols[tag].Head, f.Cols[value].Head, f.Cols[tag].Head)
			return false
		}
	}
	if guessed && len(f.headings()) > 0 {
		f.Note(ledger.Note, f.Skip, "no heading says which column names the tags; %q does, it seems. If not, write layout = \"wide\" for the file under [[source]] in plant.toml", f.label(tag))
	}
	f.Cols[tag].Role, f.Cols[value].Role = RoleTag, RoleValue
	if place >= 0 {
		f.Cols[place].Role = rolePlace
	}
	for k := range f.Cols {
		q := &c.Kinds[k]
		full := q.N - q.Blank
		if !free(k) {
			continue
		}
		h := f.Cols[k].Head
		switch {
		case sample.IsUnitHead(h) || h == "" && full > 0 && q.Unit*10 >= full*8 && q.Text > 0:
			if f.Count(RoleUnit) == 0 {
				f.Cols[k].Role = RoleUnit
			}
		case f.qualityHead(k) || !f.noQuality && h == "" && full > 0 && q.Quality == full && q.Text > 0:
			if f.Count(RoleQuality) == 0 {
				f.Cols[k].Role = RoleQuality
			}
		}
	}
	if len(f.headings()) == 0 && f.Count(RoleQuality) == 0 && !f.noQuality { // no heading at all: OPC numbers behind the value
		for k := value + 1; k < len(f.Cols); k++ {
			if q := &c.Kinds[k]; free(k) && q.N > q.Blank && q.Quality == q.N-q.Blank && !sample.NumberColumn("x", q) && len(q.Distinct) < 12 {
				f.Cols[k].Role = RoleQuality
				break
			}
		}
	}
	return true
}

func (f *Layout) anyQuality(c *sample.Candidate) bool {
	for k := range f.Cols {
		if f.qualityHead(k) {
			return true
		}
	}
	return false
}
