package plants

import (
	"math"
	"time"
)

// minute is the water that comes to the chlorine in a minute, and the clock.
type minute struct {
	hour                          float64 // of the local day
	day                           int     // of the record
	inflow, flow                  float64 // MGD: plant inlet; through all basins
	temp, ph, nh3, no2            float64
	fast, slow, organic, sun, wet float64
	ahead                         float64 // mean flow of the next six hours: what operators expect
}

// makeWater draws n minutes that begin at the Unix second begin.
func makeWater(s *Site, seed uint64, begin int64, n int, loc *time.Location, ev *events) []minute {
	w := make([]minute, n)
	clockOf(w, begin, loc)
	r := stream(seed, "water")
	late, second := between(r, -1.5, 1.5), between(r, 0.25, 0.6)
	days, hours, ripple := newWalk(r, 0.05, 2000), newWalk(r, 0.03, 100), newWalk(r, 0.012, 6)
	temp, ph, phFast := newWalk(r, 0.7, 5000), newWalk(r, 0.06, 3000), newWalk(r, 0.02, 90)
	nDay, nHour := newWalk(r, 0.22, 3000), newWalk(r, 0.1, 160)
	demand, demandFast := newWalk(r, 0.14, 2600), newWalk(r, 0.05, 150)
	slow, no2 := newWalk(r, 0.12, 3000), newWalk(r, 0.4, 900)
	cloud := newWalk(r, 0.3, 400)
	wet := rains(s, seed, n)
	slugs := slugs(seed, n)
	stop, start := 23+1.2*r.Float64(), 4.6+1.5*r.Float64()
	out := math.NaN()
	trend := between(r, -0.06, 0.06) // °C a day
	for i := range w {
		m := &w[i]
		at := func(h float64) float64 { return math.Cos(2 * math.Pi * (m.hour - h) / 24) }
		shape := 1 + s.Swing*(0.75*at(13.5+late)+second*math.Cos(4*math.Pi*(m.hour-10-late)/24))
		m.wet = wet[i] + ev.size(Storm, "", i)
		m.inflow = s.FlowMGD * math.Max(0.12, shape+days.step()+hours.step()+m.wet) * (1 + ripple.step())
		m.flow = toward(&out, m.inflow, 45)
		if s.NightStop && (m.hour > stop || m.hour < start) {
			m.flow = 0
		}
		if i >= s.ClosedFrom && i < s.ClosedTo {
			m.flow = 0
		}
		dilute := 1 / (1 + 0.6*m.wet)
		m.temp = s.TempC + trend*float64(m.day) + 0.4*at(16) + temp.step() - 1.1*m.wet
		m.ph = s.AcidPH + 0.06*at(15) + ph.step() + phFast.step() - 0.06*m.wet
		m.nh3 = math.Max(0.01, s.NH3*math.Exp(s.NH3Swing*at(14)+nDay.step()+nHour.step())*dilute+ev.size(Breakthrough, "", i))
		m.no2 = math.Max(0, s.NO2*math.Exp(no2.step()))*dilute + ev.size(Nitrite, "", i) + 0.06*ev.size(Breakthrough, "", i)
		m.fast = s.Fast*math.Exp(0.1*at(13)+demand.step()+demandFast.step())*(1+0.15*m.wet) + slugs[i] + ev.size(Demand, "", i)
		m.slow = s.Slow * math.Exp(slow.step())
		m.organic = s.Organic
		if up := -at(0) - 0.15; up > 0 {
			m.sun = s.Sun * up * clamp(0.7+cloud.now, 0.1, 1)
		}
		cloud.step()
	}
	sum := 0.0
	for i := len(w) - 1; i >= 0; i-- {
		sum += w[i].flow
		last := min(i+360, len(w))
		if last < len(w) {
			sum -= w[last].flow
		}
		w[i].ahead = sum / float64(last-i)
	}
	return w
}

// clockOf fills hour and day.
func clockOf(w []minute, begin int64, loc *time.Location) {
	first := time.Unix(begin, 0).In(loc)
	day0 := time.Date(first.Year(), first.Month(), first.Day(), 12, 0, 0, 0, time.UTC)
	for i := 0; i < len(w); {
		t := time.Unix(begin+60*int64(i), 0).In(loc)
		d := int(time.Date(t.Year(), t.Month(), t.Day(), 12, 0, 0, 0, time.UTC).Sub(day0).Hours() / 24)
		for k := t.Minute(); k < 60 && i < len(w); k++ {
			w[i].hour, w[i].day = float64(t.Hour())+float64(k)/60, d
			i++
		}
	}
}

// rains gives what rain adds to the flow, as a share of the mean: a gamma-shaped
// rise and fall, up to half the flow.
func rains(s *Site, seed uint64, n int) []float64 {
	wet := make([]float64, n)
	if s.Rain == 0 {
		return wet
	}
	r := stream(seed, "rain")
	gap := 30 * 1440 / s.Rain
	for at := gap * r.ExpFloat64(); at < float64(n); at += gap * r.ExpFloat64() {
		peak, top := 0.05+0.4*r.Float64()*r.Float64(), between(r, 120, 600)
		for k := 0; k < int(9*top) && int(at)+k < n; k++ {
			x := float64(k) / top
			wet[int(at)+k] += peak * x * math.Exp(1-x)
		}
	}
	return wet
}

// slugs are demands that nobody knows of, up to 0.4 mg/L for an hour or two, a
// few times a month.
func slugs(seed uint64, n int) []float64 {
	out := make([]float64, n)
	r := stream(seed, "slugs")
	for at := 9000 * r.ExpFloat64(); at < float64(n); at += 9000 * r.ExpFloat64() {
		size, length := 0.1+0.3*r.Float64(), 40+80*r.Float64()
		for k := 0; k < int(length) && int(at)+k < n; k++ {
			out[int(at)+k] += size * math.Sin(math.Pi*float64(k)/length)
		}
	}
	return out
}
