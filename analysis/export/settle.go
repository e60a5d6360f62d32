package export

import (
	"fmt"

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
	case !sure && m.Thousandfold(f.Sep):
		f.RefuseDecimal()
		f.DecSure, f.Weigh, f.DecAsk = true, false, true
		return true
	case !sure:
		f.AskDecimal(m)
		f.Asked = f.Dec
	case m.Comma > 0 && m.Point > 0:
		f.Ask(ledger.Question{Key: "decimal", Values: []string{",", "."}}, 0, "%d numbers only fit a decimal comma and %d only a decimal point; read with a decimal %s. Split the file, or write decimal = \",\" or \".\" under [[source]] in plant.toml", m.Comma, m.Point, cell.MarkNames[f.Dec])
	}
	f.DecSure, f.Weigh = true, false
	return f.Dec != was
}

// settleHours finds repeated hours that this table shares with a file read before, which
// ends in the first pass where this one begins with the second.
func (r *reader) settleHours(t *table, _ *merge.PassResult) (again bool) {
	for _, k := range t.Tracks {
		if k == nil || !k.Spec.Ruled {
			continue
		}
		for i := range k.Passes {
			pass := &k.Passes[i]
			if !pass.Begins || t.SecondPasses[pass.Change] {
				continue
			}
			if from := r.firstPassOf(t, k.Spec.Name, pass); from != "" {
				if t.SecondPasses == nil {
					t.SecondPasses = map[int64]bool{}
				}
				t.SecondPasses[pass.Change] = true
				again = true
				r.message(ledger.Note, t.M.Name, 0, fmt.Sprintf("the hour that the clock change repeats is shared with %s, which ends in its first pass: what this file begins with is taken as the second", from))
			}
		}
	}
	return again
}

// firstPassOf names the table read before that ends in the first pass of an hour whose
// second one continues it; "" if there is none.
func (r *reader) firstPassOf(t *table, tag string, pass *merge.HourPass) string {
	for _, o := range r.tables {
		if o == t {
			continue
		}
		for _, k := range o.Tracks {
			if k == nil || k.Spec.Name != tag {
				continue
			}
			for i := range k.Passes {
				if pass.Continues(&k.Passes[i]) {
					return o.M.Name
				}
			}
		}
	}
	return ""
}
