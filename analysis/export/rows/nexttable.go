package rows

import (
	"slices"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/sample"
)

// A file can hold several tables, one below the other: columns that changed from
// one day to the next, or a block a tag. A line that names columns, but not those
// of the table it stands in, begins a table of its own, which is looked at and
// read like a file. So does a line that names another tag, in a table of one.

// MaxTables is how many tables of one file are read; what follows is set aside.
const MaxTables = 500

// nextTable says whether the row, whose time cannot be read, begins another
// table.
func (w *Worker) nextTable(row []byte) bool {
	f := w.f
	if !f.Follow {
		return false
	}
	if !w.otherTag(row) && !w.otherName() && !w.otherLine() && !layout.StatesZone(row, f.SepBytes) {
		if len(row) > maxHeading || record.TrimmedWidth(w.fields) < 2 || !sample.HeadLine(w.fields) && !f.HeadedAlike(w.fields) {
			return false
		}
		cells := sample.HeadCells(w.fields)
		for _, h := range f.HeadLines {
			if sample.SameCells(h, cells) {
				return false // the heading once more
			}
		}
	}
	return !f.NoTable[string(row)]
}

const maxHeading = 64 << 10

// otherTag says whether a line names a tag other than the table's only one.
func (w *Worker) otherTag(row []byte) bool {
	if w.f.Single == "" || !w.f.Follow {
		return false
	}
	key, value := sample.PreambleKey(row)
	return sample.NamesTag(key) && value != "" && value != w.f.Single && !w.f.NoTable[string(row)]
}

// otherName says whether a row is a name alone, in a table that is headed so.
func (w *Worker) otherName() bool {
	if w.f.CaptionTag == "" || record.TrimmedWidth(w.fields) != 1 {
		return false
	}
	name := record.CleanName(w.fields[0])
	return name != w.f.CaptionTag && sample.TagLike(name, true) && !cell.IsNumberCell(lex.Trim(w.fields[0]), w.f.Dec)
}

// otherLine says whether a row is a line that may name the tag of the next table,
// in a table whose tag is named after its file, or by such a line.
func (w *Worker) otherLine() bool {
	if !w.f.ByFile || record.TrimmedWidth(w.fields) != 1 {
		return false
	}
	name := layout.CaptionLine(w.fields, w.f.Dec)
	return name != "" && !slices.Contains(w.f.Titles, name)
}
