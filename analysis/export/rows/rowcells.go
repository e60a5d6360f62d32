package rows

import (
	"slices"

	"weirbook/analysis/export/layout"
)

// cells takes a row of a wide table apart into its values, each with what belongs
// to it: its quality, wherever that stands, its unit and the signs of its result.
// A value beyond the row's end is missing. They hold until the next row.
func (w *Worker) cells() []cellOf {
	f, n := w.f, len(w.fields)
	held := w.cellBuf[:0]
	text := func(k int) []byte {
		if k < n {
			return w.fields[k]
		}
		return nil
	}
	for k := range f.Cols {
		c := &f.Cols[k]
		switch {
		case c.Role == layout.RoleValue:
			x := cellOf{col: c, text: text(k), missing: k >= n}
			if f.Scattered && c.Quality > 0 {
				x.quality, x.hasQ = text(c.Quality-1), true
			}
			held = append(held, x)
		case c.Role == layout.RoleSign, c.Role == layout.RoleQuality && f.Scattered, len(held) == 0:
		default:
			held[len(held)-1].attach(c, text(k))
		}
	}
	for _, k := range f.LimitCols {
		for i := range held {
			if held[i].col == &f.Cols[f.Cols[k].LimitOf] && len(held[i].limit) == 0 {
				held[i].limit = text(k)
			}
		}
	}
	for k := range f.Cols {
		c := &f.Cols[k]
		if c.Role != layout.RoleSign {
			continue
		}
		for i := range held {
			if held[i].col == &f.Cols[c.Signs] {
				held[i].signs = append(held[i].signs, signCell{c, text(k)})
			}
		}
	}
	if f.Hourly && f.Newest { // the day's last hour first, as the days run
		slices.Reverse(held)
	}
	w.cellBuf = held
	return held
}
