package export

import "slices"

// cells takes a row of a wide table apart into its values, each with what belongs
// to it: its quality, wherever that stands, its unit and the signs of its result.
// A value beyond the row's end is missing. They hold until the next row.
func (w *worker) cells() []cellOf {
	f, n := w.f, len(w.fields)
	held := w.held[:0]
	text := func(k int) []byte {
		if k < n {
			return w.fields[k]
		}
		return nil
	}
	for k := range f.cols {
		c := &f.cols[k]
		switch {
		case c.role == roleValue:
			x := cellOf{col: c, text: text(k), missing: k >= n}
			if f.scattered && c.quality > 0 {
				x.quality, x.hasQ = text(c.quality-1), true
			}
			held = append(held, x)
		case c.role == roleSign, c.role == roleQuality && f.scattered, len(held) == 0:
		default:
			held[len(held)-1].attach(c, text(k))
		}
	}
	for k := range f.cols {
		c := &f.cols[k]
		if c.role != roleSign {
			continue
		}
		for i := range held {
			if held[i].col == &f.cols[c.signs] {
				held[i].signs = append(held[i].signs, signCell{c, text(k)})
			}
		}
	}
	if f.hourly && f.newest { // the day's last hour first, as the days run
		slices.Reverse(held)
	}
	w.held = held
	return held
}
