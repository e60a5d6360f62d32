package export

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/merge"
)

// A number that a system writes for "no value" is not always one of the usual ones. It
// shows by standing alone: the same low number again and again, far below all others.

// What counts as standing alone. Our choice.
const (
	fillRepeats  = 3    // times, at least; fewer where it lies fillFar away
	fillShare    = 0.5  // of a tag's readings, at most
	fillDistance = 1.5  // from the others' lower twentieth, in widths of their middle nine tenths
	fillFar      = 10   // the same, of a number that stands once or twice
	fillOthers   = 8    // different values that the others have, at least
	fillSample   = 4000 // of the others that are looked at
)

// settleFills finds such numbers after a pass and asks about them. It gives true where
// there are any: the table is read again, and they are flagged.
func (r *reader) settleFills(t *table, p *merge.PassResult) (again bool) {
	if t.src != nil && t.src.FillNumbers != nil || r.opt.FillNumbers != nil {
		return false
	}
	for _, name := range lex.SortedKeys(p.Lows) {
		lows := p.Lows[name]
		if len(lows) > cell.MostLows {
			continue
		}
		for _, v := range slices.Sorted(maps.Keys(lows)) {
			lo, hi, ok := standsAlone(t, name, v, lows[v])
			if !ok {
				continue
			}
			if t.fills == nil {
				t.fills = map[string][]float64{}
			}
			t.fills[name] = append(t.fills[name], v)
			r.ask(ledger.Warning, t.M.Name, 0, ledger.Question{Key: "fill_numbers", Values: []string{fmt.Sprint(v)}}, fmt.Sprintf("tag %s: %v stands %s, far below its other values (most lie from %.4g to %.4g): it is taken for a number that stands for no value, and flagged. Write fill_numbers = [%v] for the file under [[source]] in plant.toml if that is right, and fill_numbers = [] if it is a reading",
				name, v, lex.Counted(lows[v], "time", "times"), lo, hi, v))
			again = true
		}
	}
	return again
}

// standsAlone says whether a number lies far below what else a tag's rows hold, and
// where most of that lies, in the unit in which the tag is kept.
func standsAlone(t *table, name string, v float64, n int) (lo, hi float64, ok bool) {
	var others []float64
	at, all := math.NaN(), 0
	for _, k := range t.Tracks {
		if k == nil || k.Spec.Name != name || !k.Spec.Ruled {
			continue
		}
		w, _ := k.Spec.Finish(v, 0)
		at = w
		vs := k.Main.Values()
		all += len(vs)
		step := len(vs)/fillSample + 1
		for i := 0; i < len(vs); i += step {
			if x := vs[i]; x != w && !math.IsNaN(x) {
				others = append(others, x)
			}
		}
	}
	slices.Sort(others)
	if len(slices.Compact(slices.Clone(others))) < fillOthers || float64(n) > fillShare*float64(max(all, n)) {
		return 0, 0, false
	}
	lo, hi = others[len(others)/20], others[len(others)-1-len(others)/20]
	distance := fillDistance
	if n < fillRepeats {
		distance = fillFar
	}
	return lo, hi, lo-at > distance*(hi-lo)
}
