package export

import (
	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/merge"
)

// settleDecimal decides the decimal mark over the whole file, where its first rows
// did not. It says whether the file is to be read again.
func (r *reader) settleDecimal(t *table, p *merge.PassResult) (again bool) {
	f := t.F
	if f.DecSure {
		return false
	}
	m := &p.Marks
	if !f.Weigh {
		// The first rows held no mark at all. Only what does not read as a plain
		// number was looked at, and every comma is among it.
		f.Dec, f.DecSure = m.Decide(f.Sep)
		f.DecSure = m.Comma+m.Comma3 == 0
		f.Weigh = !f.DecSure
		return f.Weigh
	}
	was := f.Dec
	var sure bool
	f.Dec, sure = m.Decide(f.Sep)
	switch {
	case !sure && f.Asked == f.Dec: // of a table before, in the same file
	case !sure:
		f.AskDecimal(m)
		f.Asked = f.Dec
	case m.Comma > 0 && m.Point > 0:
		f.Ask(ledger.Question{Key: "decimal", Values: []string{",", "."}}, 0, "%d numbers only fit a decimal comma and %d only a decimal point; read with a decimal %s. Split the file, or write decimal = \",\" or \".\" under [[source]] in plant.toml", m.Comma, m.Point, cell.MarkNames[f.Dec])
	}
	f.DecSure, f.Weigh = true, false
	return f.Dec != was
}
