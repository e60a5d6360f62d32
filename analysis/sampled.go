package analysis

import (
	"math"
	"time"

	"weirbook/analysis/contact"
	"weirbook/analysis/discharge"
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
	FlowTag plant.Tag
	Samples []loading.Sample // those whose middle lies in the period
}

// Band is a sample's load, MGD·mg/L, with the band of the flow meter's and the
// laboratory's stated accuracies.
func (s SampledLoads) Band(x loading.Sample) contact.Band {
	return loadBand(s.FlowTag, x.FlowMGD, s.Tag, x.MgL)
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
		s := SampledLoads{Tag: t, FlowTag: flow}
		var all []loading.Sample
		if t.Reading == series.Composite {
			all = loading.CompositeLoads(r.Series[t.Name], r.Series[flow.Name], r.Rule(flow), compositePeriod, false, r.Plant.DayCoverage)
		} else {
			all = loading.GrabLoads(r.Series[t.Name], r.Series[flow.Name], r.Rule(flow))
		}
		for _, x := range all {
			if mid := (x.Start + x.End) / 2; mid >= r.From && mid < r.To {
				s.Samples = append(s.Samples, x)
			}
		}
		r.Sampled = append(r.Sampled, s)
	}
}

// addSampledLoads puts composites into the daily table, on the day that holds
// the middle of their sampling period. Grabs carry no day's mass and stay out.
func (r *Result) addSampledLoads() {
	t := &r.Daily
	k := factor(r.Plant)
	for _, s := range r.Sampled {
		if s.Tag.Reading != series.Composite {
			continue
		}
		n := len(t.Windows)
		conc, load, low, high := unknown(n), unknown(n), unknown(n), unknown(n)
		var signs, loadSigns []discharge.Sign
		for _, x := range s.Samples {
			mid := (x.Start + x.End) / 2
			for d, w := range t.Windows {
				if mid >= w.Start && mid < w.End && math.IsNaN(conc[d]) {
					conc[d], load[d] = x.MgL, k.PoundsPerDay(float64(x.Load), 1)
					sign := discharge.SignOf(x.Flag)
					off := r.anyAtEnd([]plant.Tag{s.FlowTag}, x.Window, 0)
					if sign == discharge.Less && off {
						load[d] = math.NaN() // below one, above the other
					}
					signs = withSign(signs, n, d, sign)
					if off && sign == discharge.Exact {
						sign = discharge.Greater
					}
					loadSigns = withSign(loadSigns, n, d, sign)
					band := s.Band(x).Scale(k.PoundsPerDay(1, 1))
					low[d], high[d] = lowEnd(band), band.High()
				}
			}
		}
		name, title := r.columnOf(s.Tag), r.title(s.Tag)
		first := len(t.Columns)
		t.add(Composite, name, title, conc, nil)
		t.add(CompositeLoad, name, title, load, nil)
		t.Columns[first].Signs = signs
		if accuracy(s.Tag).Stated() || accuracy(s.FlowTag).Stated() {
			t.add(CompositeLoadLow, name, title, low, nil)
			t.add(CompositeLoadHigh, name, title, high, nil)
		}
		for i := first + 1; i < len(t.Columns); i++ {
			t.Columns[i].Signs = loadSigns
		}
		t.ofTag(first, s.Tag)
	}
}

// withSign puts a sign into a column of n, made where the first is met.
func withSign(to []discharge.Sign, n, i int, s discharge.Sign) []discharge.Sign {
	if s == discharge.Exact {
		return to
	}
	if to == nil {
		to = make([]discharge.Sign, n)
	}
	to[i] = s
	return to
}
