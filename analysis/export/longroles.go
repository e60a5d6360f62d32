package export

// longRoles finds tag and value columns; false when the table is not a row per
// reading.
func (f *format) longRoles(c *candidate) bool {
	tag, value := -1, -1
	guessed := false // the tag's column, by its cells
	for k, x := range f.cols {
		switch x.role {
		case roleTag:
			tag = k
		case roleValue:
			value = k
		}
	}
	free := func(k int) bool { return f.cols[k].role == roleSkip }
	words := func(k int) bool { // a column of names
		q := &c.kinds[k]
		full := q.n - q.blank
		return full > 0 && q.text+q.state >= full*8/10 && q.number < full/2+1 && !(q.state == full)
	}
	// A place and a parameter: the parameter is the tag, the place goes before it.
	place := -1
	if tag < 0 {
		for pass := 0; pass < 2 && tag < 0; pass++ {
			for k := range f.cols {
				b := bare(f.cols[k].head)
				if !free(k) || tag >= 0 {
					continue
				}
				q := &c.kinds[k]
				full := q.n - q.blank
				if pass == 0 && tagHeads[b] && !(b == "id" && q.number == full && q.rising > full/2 && len(q.distinct) > full/2) && full > 0 && q.time*2 < full+1 {
					tag = k
				}
				if pass == 1 && placeHeads[b] && words(k) {
					tag = k
				}
			}
		}
	}
	if tag >= 0 {
		for k := range f.cols {
			if b := bare(f.cols[k].head); k != tag && free(k) && placeHeads[b] && b != "source" && words(k) {
				place = k
			}
		}
	}
	if value < 0 {
		for k := range f.cols {
			if free(k) && k != tag && valueHeads[bare(f.cols[k].head)] {
				value = k
				break
			}
		}
		value = f.scaledBeside(c, value, tag)
	}
	if tag < 0 { // no heading says so: the only column of names that are no quality
		var cands []int
		for k := range f.cols {
			q := &c.kinds[k]
			full := q.n - q.blank
			if free(k) && k != value && words(k) && q.quality < full && q.unit < full && !personColumn(f.cols[k].head, q) && !f.qualityHead(k) && !remarkHeads[bare(f.cols[k].head)] {
				cands = append(cands, k)
			}
		}
		nums := 0
		for k := range f.cols {
			if q := &c.kinds[k]; free(k) && k != value && q.number*2 > q.n-q.blank && !numberColumn(f.cols[k].head, q) && q.n > q.blank {
				nums++
			}
		}
		if len(cands) == 0 || value < 0 && nums != 1 && !(nums == 2 && f.anyQuality(c)) {
			return false
		}
		tag = c.mostLikeTags(cands)
		guessed = true
	}
	if value < 0 {
		var numbers []int
		for k := range f.cols {
			q := &c.kinds[k]
			if free(k) && k != tag && q.n > q.blank && q.number*2 > q.n-q.blank && !numberColumn(f.cols[k].head, q) && !f.qualityHead(k) {
				numbers = append(numbers, k)
			}
		}
		if value = f.valueAmong(c, tag, numbers, guessed); value < 0 {
			return false // a column per tag, or unclear
		}
		if guessed && !f.wordsNameTags(c, tag, value) {
			f.note(Note, f.skip, "column %q is taken for a tag of its own beside %q, not for the names of tags. If its words are tags, write tag_column = %q for the file under [[source]] in plant.toml", f.cols[tag].head, f.cols[value].head, f.cols[tag].head)
			return false
		}
	}
	if guessed && len(f.headings()) > 0 {
		f.note(Note, f.skip, "no heading says which column names the tags; %q does, it seems. If not, write layout = \"wide\" for the file under [[source]] in plant.toml", f.label(tag))
	}
	f.cols[tag].role, f.cols[value].role = roleTag, roleValue
	if place >= 0 {
		f.cols[place].role = rolePlace
	}
	for k := range f.cols {
		q := &c.kinds[k]
		full := q.n - q.blank
		if !free(k) {
			continue
		}
		h := f.cols[k].head
		switch {
		case isUnitHead(h) || h == "" && full > 0 && q.unit*10 >= full*8 && q.text > 0:
			if f.count(roleUnit) == 0 {
				f.cols[k].role = roleUnit
			}
		case f.qualityHead(k) || !f.noQuality && h == "" && full > 0 && q.quality == full && q.text > 0:
			if f.count(roleQuality) == 0 {
				f.cols[k].role = roleQuality
			}
		}
	}
	if len(f.headings()) == 0 && f.count(roleQuality) == 0 && !f.noQuality { // no heading at all: OPC numbers behind the value
		for k := value + 1; k < len(f.cols); k++ {
			if q := &c.kinds[k]; free(k) && q.n > q.blank && q.quality == q.n-q.blank && !numberColumn("x", q) && len(q.distinct) < 12 {
				f.cols[k].role = roleQuality
				break
			}
		}
	}
	return true
}

func (f *format) anyQuality(c *candidate) bool {
	for k := range f.cols {
		if f.qualityHead(k) {
			return true
		}
	}
	return false
}
