package export

import (
	"bytes"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/sample"
)

// nameSingle names the tag of a file that holds one: by plant.toml, the heading,
// the lines before its rows, or the file's name.
func (r *reader) nameSingle(t *table, head []byte) {
	var col *layout.Column
	for i := range t.F.Cols {
		if t.F.Cols[i].Role != layout.RoleValue || col != nil && t.F.Hourly {
			continue
		}
		if col != nil {
			if t.src != nil && t.src.Tag != "" {
				t.F.Ask(ledger.Question{Key: "tag"}, 0, "tag = %q under [[source]] in plant.toml names one tag, and this file holds several; it is not followed", t.src.Tag)
			}
			return
		}
		col = &t.F.Cols[i]
	}
	if col == nil {
		return
	}
	r.nameColumn(t, col, head)
	if col.Head == "" || sample.ValueHeads[cell.Bare(col.Head)] || t.F.Hourly {
		t.F.Single = col.Name
	}
	for i := range t.F.Cols {
		if c := &t.F.Cols[i]; t.F.Hourly && c.Role == layout.RoleValue {
			c.Name, c.Unit = col.Name, col.Unit
		}
	}
}

func (r *reader) nameColumn(t *table, col *layout.Column, head []byte) {
	if t.src != nil && t.src.Tag != "" {
		col.Name = t.src.Tag
		return
	}
	if col.Head != "" && !sample.ValueHeads[cell.Bare(col.Head)] && !t.F.Hourly {
		return
	}
	named := false
	lines := bytes.Split(head, []byte{t.F.Term})
	for i, l := range lines {
		if i >= t.F.Skip {
			break
		}
		k, v := sample.PreambleKey(l)
		switch {
		case v == "":
		case sample.NamesTag(k):
			col.Name, named = v, true
			t.F.Note(ledger.Note, i+1, "the tag is named here: %s", v)
		case (k == "unit" || k == "units") && col.Unit == "":
			col.Unit = v
		}
	}
	if named {
		return
	}
	t.F.KeepAbove(lines)
	base := t.file
	if base == "" {
		base = t.M.Name
	}
	base = layout.BaseName(base)
	col.Name = r.tagOfFile(base)
	switch col.Name {
	case base:
		t.F.Note(ledger.Note, 0, "the file names no tag; it is read as tag %q, after the file", base)
	case layout.CopyMark.ReplaceAllString(base, ""):
		t.F.Note(ledger.Note, 0, "the file names no tag; it is read as tag %q, after the file without the mark of a copy in its name. Write tag = \"…\" for it under [[source]] in plant.toml if that is wrong", col.Name)
	default:
		t.F.Note(ledger.Note, 0, "the file names no tag; it is read as tag %q, after the file without the date in its name. Write tag = \"…\" for it under [[source]] in plant.toml if that is wrong", col.Name)
	}
	t.F.FileNote = t.F.Notes[len(t.F.Notes)-1].Text
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
	short := layout.WithoutDates(base, layout.FileDate)
	if short == layout.CopyMark.ReplaceAllString(base, "") && !r.inTags(short) && !r.bases[strings.ToLower(short)] {
		short = base // the number alone may tell two instruments apart
	}
	if bare := layout.WithoutDates(short, layout.FileMonth); r.inTags(bare) {
		return bare
	}
	return short
}

func (r *reader) inTags(name string) bool {
	_, ok := r.fold[lex.Folded(name)]
	return ok
}
