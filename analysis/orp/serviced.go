package orp

import "weirbook/analysis/series"

// serviced lists the service dips, with five minutes to recover, by column and
// start.
func (w *work) serviced() []Service {
	var out []Service
	n := w.in.Grid.N
	for i, c := range w.in.columns() {
		for _, t := range w.trouble[i] {
			if t.kind != "service" {
				continue
			}
			from, to := t.from-3, t.to+5 // the reading's own recovery; models wait longer, see maskOf
			out = append(out, Service{series.Stretch{Start: w.in.Grid.Milli(max(0, from)), End: w.in.Grid.Milli(min(n, to))}, c.Tag})
		}
	}
	for _, t := range w.finalService() {
		out = append(out, Service{series.Stretch{Start: w.in.Grid.Milli(max(0, t.from-3)), End: w.in.Grid.Milli(min(n, t.to+5))}, w.in.Final.Tag})
	}
	return out
}

// maskOf gives the minutes that a service dip takes out: a little before it, and
// a tail in which the instrument settles.
func (w *work) maskOf(t trouble) (from, to int) {
	return t.from - 3, t.to + min(w.s.SettleMin, 10+2*t.len())
}
