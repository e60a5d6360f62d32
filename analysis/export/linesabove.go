package export

import (
	"bytes"
	"regexp"
	"slices"
	"strings"
)

// A file can hold a table a tag, each under a line that is the tag's name and a
// heading that says no more than Time and Value. One such line alone may be a
// title; where the heading comes again under another, the lines are names.

var pageLine = regexp.MustCompile(`(?i)^(?:page|seite|blatt|sheet|página|pagina|part|teil)\b`)

// loneLine gives the text of a line that is one cell and may be a name; else "".
func loneLine(fs [][]byte, dec byte) string {
	if trimmedWidth(fs) != 1 {
		return ""
	}
	t := trim(fs[0])
	if len(t) == 0 || len(t) > 60 || bytes.IndexByte(t, ':') >= 0 || isNumberCell(t, dec) || pageLine.Match(t) {
		return ""
	}
	if _, ok := anyTime(t); ok {
		return ""
	}
	name := withoutDates(cleanName(fs[0]), fileDate)
	if !strings.ContainsFunc(name, isNameLetter) {
		return ""
	}
	return name
}

// keepAbove remembers the lines above a table whose tag is named after its file.
func (f *format) keepAbove(lines [][]byte) {
	f.byFile = true
	for i, l := range lines[:min(f.headAt, len(lines))] {
		fs, _ := splitRow(bytes.TrimRight(l, "\r\n"), f.sep, nil, nil)
		if len(trim(l)) == 0 {
			continue
		}
		f.above = ""
		if i < 200 {
			f.above = loneLine(fs, f.dec)
		}
		if f.above != "" {
			f.titles = append(f.titles, f.above)
		}
	}
}

// otherLine says whether a row is a line that may name the tag of the next table,
// in a table whose tag is named after its file, or by such a line.
func (w *worker) otherLine() bool {
	if !w.f.byFile || trimmedWidth(w.fields) != 1 {
		return false
	}
	name := loneLine(w.fields, w.f.dec)
	return name != "" && !slices.Contains(w.f.titles, name)
}

// nameByLines names the tags of two tables of the same heading by the lines above.
func (t *table) nameByLines(n *table) {
	if !t.f.byFile || !n.f.byFile || n.f.above == "" || !t.sameHeads(n) {
		return
	}
	if t.f.above != "" {
		t.nameByLine(0)
	}
	n.nameByLine(n.from)
}

func (t *table) nameByLine(from int) {
	f := t.f
	if f.single == f.above {
		return
	}
	f.single = f.above
	for i := range f.cols {
		if c := &f.cols[i]; c.role == roleValue {
			c.name = f.above
		}
	}
	f.notes = slices.DeleteFunc(f.notes, func(m Message) bool { return m.Text == f.fileNote })
	f.note(Note, from+f.headAt, "the tag is named above the heading: %s", f.above)
}

// sameHeads says whether two tables have the same heading.
func (t *table) sameHeads(n *table) bool {
	return slices.EqualFunc(t.f.headLines, n.f.headLines, sameCells)
}
