package export

import (
	"bytes"
	"path"
	"regexp"
	"strings"
)

// nameSingle names the tag of a file that holds one: by plant.toml, the heading,
// the lines before its rows, or the file's name.
func (r *reader) nameSingle(t *table, head []byte) {
	var col *column
	for i := range t.f.cols {
		if t.f.cols[i].role != roleValue || col != nil && t.f.hourly {
			continue
		}
		if col != nil {
			if t.src != nil && t.src.Tag != "" {
				t.f.note(Warning, 0, "tag = %q under [[source]] in plant.toml names one tag, and this file holds several; it is not followed", t.src.Tag)
			}
			return
		}
		col = &t.f.cols[i]
	}
	if col == nil {
		return
	}
	r.nameColumn(t, col, head)
	if col.head == "" || valueHeads[bare(col.head)] || t.f.hourly {
		t.f.single = col.name
	}
	for i := range t.f.cols {
		if c := &t.f.cols[i]; t.f.hourly && c.role == roleValue {
			c.name, c.unit = col.name, col.unit
		}
	}
}

func (r *reader) nameColumn(t *table, col *column, head []byte) {
	if t.src != nil && t.src.Tag != "" {
		col.name = t.src.Tag
		return
	}
	if col.head != "" && !valueHeads[bare(col.head)] && !t.f.hourly {
		return
	}
	named := false
	lines := bytes.Split(head, []byte{t.f.term})
	for i, l := range lines {
		if i >= t.f.skip {
			break
		}
		k, v := preambleKey(l)
		switch {
		case v == "":
		case namesTag(k):
			col.name, named = v, true
			t.f.note(Note, i+1, "the tag is named here: %s", v)
		case (k == "unit" || k == "units") && col.unit == "":
			col.unit = v
		}
	}
	if named {
		return
	}
	t.f.keepAbove(lines)
	base := t.file
	if base == "" {
		base = t.m.name
	}
	base = baseName(base)
	col.name = r.tagOfFile(base)
	switch col.name {
	case base:
		t.f.note(Note, 0, "the file names no tag; it is read as tag %q, after the file", base)
	case copyMark.ReplaceAllString(base, ""):
		t.f.note(Note, 0, "the file names no tag; it is read as tag %q, after the file without the mark of a copy in its name. Write tag = \"…\" for it under [[source]] in plant.toml if that is wrong", col.name)
	default:
		t.f.note(Note, 0, "the file names no tag; it is read as tag %q, after the file without the date in its name. Write tag = \"…\" for it under [[source]] in plant.toml if that is wrong", col.name)
	}
	t.f.fileNote = t.f.notes[len(t.f.notes)-1].Text
}

// baseName is a file's name without its folders and what it ends in.
func baseName(name string) string {
	base := path.Base(strings.ReplaceAll(name, "\\", "/"))
	for _, suf := range []string{".gz", ".csv", ".txt", ".tsv", ".dat", ".CSV", ".TXT"} {
		base = strings.TrimSuffix(base, suf)
	}
	return base
}

// tagOfFile is the tag that a file is named after: its name as it stands where
// tags.csv has it, else without dates, ranges of dates and the number of a copy. A
// bare year and month (202603) may as well be an instrument's number, and is taken
// off only where tags.csv has what is left; so is a copy's number alone, or where a
// file of the rest of the name is read, too.
func (r *reader) tagOfFile(base string) string {
	if r.inTags(base) {
		return base
	}
	short := withoutDates(base, fileDate)
	if short == copyMark.ReplaceAllString(base, "") && !r.inTags(short) && !r.bases[strings.ToLower(short)] {
		short = base // the number alone may tell two instruments apart
	}
	if bare := withoutDates(short, fileMonth); r.inTags(bare) {
		return bare
	}
	return short
}

func (r *reader) inTags(name string) bool {
	_, ok := r.fold[folded(name)]
	return ok
}

const fileClock = `(?:[T_ -]?[0-2]\d[-.:]?[0-5]\d(?:[-.:]?[0-5]\d)?Z?)?`

// The regular expressions of fileDate: 20260310, 2026-03-10, 2026-03, 10.03.2026,
// with or without a time of day; and of fileMonth, 202603.
var (
	fileDate = atEnds(`(?:(?:19|20)\d\d(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01])` + fileClock +
		`|(?:19|20)\d\d[-_.](?:0[1-9]|1[0-2])(?:[-_.](?:0[1-9]|[12]\d|3[01])` + fileClock + `)?` +
		`|\d\d?[-_.]\d\d?[-_.](?:19|20)\d\d)`)
	fileMonth = atEnds(`(?:19|20)\d\d(?:0[1-9]|1[0-2])`)

	copyMark = regexp.MustCompile(`(?i)(?:[ _-]*\(\d+\)|[ _-]+copy)$`)
	dangling = regexp.MustCompile(`(?i)(?:^|[ _.,\-–]+)(?:from|to|bis|thru|through|von)?[ _.,\-–]*$`)
)

// atEnds finds a date at the end and at the beginning of a name.
func atEnds(date string) [2]*regexp.Regexp {
	return [2]*regexp.Regexp{
		regexp.MustCompile(`(?i)(?:^|[ _.,\-–(])` + date + `\)?$`),
		regexp.MustCompile(`(?i)^` + date + `(?:[ _.,\-–]|$)`),
	}
}

// withoutDates takes dates off a name's ends; a name that would be left without a
// letter stays as it is.
func withoutDates(name string, date [2]*regexp.Regexp) string {
	s := name
	for {
		was := s
		s = copyMark.ReplaceAllString(s, "")
		if x := date[0].ReplaceAllString(s, ""); x != s {
			s = dangling.ReplaceAllString(x, "")
		}
		if x := date[1].ReplaceAllString(s, ""); x != s {
			s = strings.TrimLeft(x, " _.,-–")
		}
		if s == was {
			break
		}
	}
	if !strings.ContainsFunc(s, isNameLetter) {
		return name
	}
	return s
}
