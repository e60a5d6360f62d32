package orp

import (
	"weirbook/analysis/orp/health"
	"weirbook/analysis/series"
)

// serviced lists the service dips, with five minutes to recover, by column and
// start.
func (w *work) serviced() []Service {
	var out []Service
	n := w.in.Grid.N
	for i, c := range w.in.columns() {
		for _, t := range w.trouble[i] {
			if t.Kind != health.Service {
				continue
			}
			from, to := t.From-3, t.To+5 // the reading's own recovery; models wait longer
			out = append(out, Service{series.Stretch{Start: w.in.Grid.Milli(max(0, from)), End: w.in.Grid.Milli(min(n, to))}, c.Tag})
		}
	}
	for _, t := range w.finalService() {
		out = append(out, Service{series.Stretch{Start: w.in.Grid.Milli(max(0, t.From-3)), End: w.in.Grid.Milli(min(n, t.To+5))}, w.in.Final.Tag})
	}
	return out
}
