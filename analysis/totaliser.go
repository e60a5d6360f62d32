package analysis

import (
	"fmt"
	"math"
	"time"

	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/screen"
	"weirbook/analysis/series"
)

// totaliserSettings say how the readings of a running total become a flow.
// Common practice, no source.
type totaliserSettings struct {
	// Every is the least time over which a total is differenced: a total that
	// counts in thousand gallons says little about one minute.
	Every time.Duration
	// Longest is the longest time between two readings that still gives a flow.
	Longest time.Duration
	// Faster is how many times the highest flow seen elsewhere a fall may stand
	// for, taken as the register turning over to zero. Any other fall is a reset:
	// what passed in between is not known.
	Faster float64
}

func defaultTotaliserSettings() totaliserSettings {
	return totaliserSettings{Every: 15 * time.Minute, Longest: 4 * time.Hour, Faster: 2}
}

// withTotalisers gives a plant description in which the running totals of points
// without a flow meter stand as flows, and the flows' series by tag. p is not
// written to.
func withTotalisers(p *plant.Plant, all map[string]*series.Series, screening screen.Settings) (*plant.Plant, map[string]*series.Series, []string) {
	set := defaultTotaliserSettings()
	out := map[string]*series.Series{}
	var notes []string
	var extra []plant.Tag
	for _, t := range p.Tags {
		if t.Measures != quantity.FlowTotal || t.Sampled() || all[t.Name] == nil {
			continue
		}
		if _, metered := p.Signal(quantity.Flow, t.At); metered {
			continue
		}
		top := t.High
		if math.IsNaN(top) {
			top = nextTen(all[t.Name], t.Unit)
		}
		s, rolled, resets, jumped := flowOfTotal(all[t.Name], top, set, screen.TotalJumps(all[t.Name], screening))
		flow := t
		flow.Name, flow.Measures, flow.Reading, flow.MaxGap = t.Name+" (differenced)", quantity.Flow, series.OnChange, set.Longest
		flow.Unit = quantity.MustUnit("MGD")
		flow.Working, flow.Low, flow.High, flow.Percent, flow.Absolute = flow.Unit, math.NaN(), math.NaN(), t.Percent, math.NaN()
		s.Tag = flow.Name
		out[flow.Name] = s
		extra = append(extra, flow)
		note := fmt.Sprintf("%s: no tag measures the flow at %s, so the totaliser's readings are differenced: mean flow over %g min or more", t.Name, t.At, set.Every.Minutes())
		if rolled > 0 {
			note += fmt.Sprintf("; rolled over at %.0f gal: %s", top, times(rolled))
		}
		if resets > 0 {
			note += fmt.Sprintf("; set back, where what passed is not known: %s", times(resets))
		}
		if jumped > 0 {
			note += fmt.Sprintf("; rises by far more than the flow can, where what passed is not known: %s", times(jumped))
		}
		notes = append(notes, note+".")
	}
	if len(extra) == 0 {
		return p, nil, nil
	}
	q := *p
	q.Tags = append(append([]plant.Tag(nil), p.Tags...), extra...)
	return &q, out, notes
}

// nextTen is the round number of the meter's own unit that its highest reading
// lies below, in gallons: a six-digit register turns at 1,000,000.
func nextTen(s *series.Series, unit quantity.Unit) float64 {
	high := 0.0
	for i, v := range s.V {
		if s.Usable(i) {
			high = math.Max(high, v/unit.Scale)
		}
	}
	if high <= 0 {
		return math.NaN()
	}
	return math.Pow(10, math.Floor(math.Log10(high))+1) * unit.Scale
}

// flowOfTotal turns a running total in gallons into a flow in MGD that holds
// from one reading to the next. top is the total at which the register turns, and
// before a reading in jumps it rose by more than a flow can.
func flowOfTotal(total *series.Series, top float64, set totaliserSettings, jumps map[int]bool) (flow *series.Series, rolled, resets, jumped int) {
	flow = &series.Series{}
	prev, highest, jump := -1, highestRate(total, set, jumps), false
	for i := range total.T {
		if !total.Usable(i) {
			continue
		}
		if prev < 0 {
			prev = i
			continue
		}
		dt := total.T[i] - total.T[prev]
		gal := total.V[i] - total.V[prev]
		fell := gal < 0
		jump = jump || jumps[i]
		if !fell && dt < set.Every.Milliseconds() && i < total.Len()-1 {
			continue
		}
		known := dt <= set.Longest.Milliseconds() && !jump
		if jump {
			jumped++
			jump = false
		}
		if fell {
			if turned := gal + top; turned >= 0 && turned/float64(dt) <= set.Faster*highest {
				gal = turned
				rolled++
			} else {
				known = false
				resets++
			}
		}
		if known {
			flow.Append(total.T[prev], gal/1e6/(float64(dt)/86_400_000), 0)
		} else {
			flow.Append(total.T[prev], math.NaN(), series.Bad)
		}
		prev = i
	}
	if prev >= 0 {
		flow.Append(total.T[prev], math.NaN(), series.Bad) // nothing is known beyond the last reading
	}
	return flow, rolled, resets, jumped
}

// highestRate is the fastest rise of the total between readings Every or more
// apart, gallons per millisecond.
func highestRate(total *series.Series, set totaliserSettings, jumps map[int]bool) float64 {
	prev, highest := -1, 0.0
	for i := range total.T {
		if !total.Usable(i) {
			continue
		}
		if jumps[i] {
			prev = i
			continue
		}
		if prev >= 0 && total.V[i] >= total.V[prev] {
			dt := total.T[i] - total.T[prev]
			if dt < set.Every.Milliseconds() {
				continue
			}
			highest = math.Max(highest, (total.V[i]-total.V[prev])/float64(dt))
		}
		prev = i
	}
	return highest
}

// times says how often.
func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}
