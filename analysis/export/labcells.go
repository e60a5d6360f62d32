package export

import (
	"cmp"
	"slices"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/lab"
)

// labCells puts together what the tables hold of sampled tags besides plain
// numbers. A cell that several files hold alike stands once.
func (r *reader) labCells() {
	for _, t := range r.tables {
		for tag, cells := range t.Lab {
			if r.res.Lab == nil {
				r.res.Lab = map[string][]lab.Cell{}
			}
			r.res.Lab[tag] = append(r.res.Lab[tag], cells...)
		}
	}
	for tag, cells := range r.res.Lab {
		slices.SortFunc(cells, func(a, b lab.Cell) int {
			return cmp.Or(cmp.Compare(a.T, b.T), cmp.Compare(a.Written(), b.Written()), ledger.CompareNames(a.File, b.File), cmp.Compare(a.Line, b.Line))
		})
		r.res.Lab[tag] = slices.CompactFunc(cells, func(a, b lab.Cell) bool {
			return a.T == b.T && a.Text == b.Text && a.Qualifier == b.Qualifier
		})
	}
}

// laboratoryWord says that a sampled tag's text is a word of laboratories, which is
// a result or the reason for none and not a number spoilt.
func (r *reader) laboratoryWord(tag, text string) bool {
	_, known := lab.Of(text)
	return known && r.res.Lab[tag] != nil
}
