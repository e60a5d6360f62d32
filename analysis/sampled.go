package analysis

import (
	"math"
	"time"

	"weirbook/analysis/loading"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// compositePeriod is how long a composite collects, and ends at its time.
const compositePeriod = 24 * time.Hour

// SampledLoads are the loads of one laboratory tag's results.
type SampledLoads struct {
	Tag     plant.Tag
	Samples []loading.Sample
}

// sampledLoads works out the loads of composites and grabs of concentration.
func (r *Result) sampledLoads() {
	for _, t := range r.Plant.Tags {
		if !t.Sampled() || t.Working.Dimension != quantity.Concentration {
			continue
		}
		flow, ok := r.Plant.FlowTag(t.At)
		if !ok {
			continue
		}
		s := SampledLoads{Tag: t}
		if t.Reading == series.Composite {
			s.Samples = loading.CompositeLoads(r.Series[t.Name], r.Series[flow.Name], r.Rule(flow), compositePeriod, false, r.Plant.DayCoverage)
		} else {
			s.Samples = loading.GrabLoads(r.Series[t.Name], r.Series[flow.Name], r.Rule(flow))
		}
		r.Sampled = append(r.Sampled, s)
	}
}

// addSampledLoads puts composites into the daily table, on the day that holds
// the middle of their sampling period. Grabs carry no day's mass and stay out.
func (r *Result) addSampledLoads() {
	t := &r.Daily
	for _, s := range r.Sampled {
		if s.Tag.Reading != series.Composite {
			continue
		}
		conc, load := unknown(len(t.Windows)), unknown(len(t.Windows))
		for _, x := range s.Samples {
			mid := (x.Start + x.End) / 2
			for d, w := range t.Windows {
				if mid >= w.Start && mid < w.End && math.IsNaN(conc[d]) {
					conc[d], load[d] = x.MgL, factor(r.Plant).PoundsPerDay(float64(x.Load), 1)
				}
			}
		}
		name, title := r.columnOf(s.Tag), r.title(s.Tag)
		t.add(name+"_composite", title+": composite", "mg/L", conc, nil)
		t.add(name+"_composite_load", title+": load by composite", "lb/d", load, nil)
	}
}
