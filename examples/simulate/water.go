package simulate

import (
	"math"
	"time"
)

// water is what reaches the chlorination, a column a minute.
type water struct {
	influent, effluent []float64 // MGD
	temp, pH           []float64
	ammonia            []float64 // mg/L N
	fast, slow         []float64 // demand, mg/L as Cl2
	organic            []float64 // what organic nitrogen can bind, mg/L as Cl2
	hour               []float64 // of the local day, 0 … 24
	weekday            []time.Weekday
	yearday            []int
}

// localClock fills hour, weekday and yearday.
func (w *water) localClock(begin int64, n int, loc *time.Location) {
	for i := 0; i < n; {
		t := time.Unix(begin+60*int64(i), 0).In(loc)
		h, wd, yd := t.Hour(), t.Weekday(), t.YearDay()
		for min := t.Minute(); min < 60 && i < n; min++ {
			w.hour = append(w.hour, float64(h)+float64(min)/60)
			w.weekday = append(w.weekday, wd)
			w.yearday = append(w.yearday, yd)
			i++
		}
	}
}

// season is +1 in the warmest days of the water year (early August), -1 half
// a year away.
func season(yearday int) float64 { return math.Cos(2 * math.Pi * float64(yearday-218) / 365.25) }

// diurnal is the usual flow of the hour as a multiple of the mean: a night
// trough, a morning peak and a lower evening one; later and flatter at
// weekends.
func diurnal(hour float64, wd time.Weekday) float64 {
	late := 0.0
	scale := 1.0
	if wd == time.Saturday || wd == time.Sunday {
		late, scale = 1.4, 0.9
	}
	bump := func(at, width float64) float64 {
		d := math.Mod(hour-at-late+36, 24) - 12
		return math.Exp(-d * d / (2 * width * width))
	}
	return 1 + scale*(0.42*bump(9.5, 2.3)+0.34*bump(20, 2.6)-0.46*bump(4, 2.4)-0.06)
}

// stormShape rises to 1 at a quarter of the storm and recedes.
func stormShape(x float64) float64 {
	if x < 0 || x >= 1 {
		return 0
	}
	if x < 0.25 {
		s := math.Sin(math.Pi / 2 * x / 0.25)
		return s * s
	}
	return (math.Exp(-3.2*(x-0.25)/0.75) - math.Exp(-3.2)) / (1 - math.Exp(-3.2))
}

// makeWater draws the water of n minutes.
func makeWater(c Config, events []Event, begin int64, n int, loc *time.Location) *water {
	w := &water{}
	w.localClock(begin, n, loc)
	wet := w.storms(c, events, n)
	w.flows(c, wet, n)
	w.quality(c, events, wet, n)
	return w
}

// storms gives the wet-weather share of each minute: 0 dry, 1 doubles the flow.
func (w *water) storms(c Config, events []Event, n int) []float64 {
	wet := make([]float64, n)
	for k := range events {
		e := &events[k]
		if e.Kind != Storm {
			continue
		}
		for i := max(e.from, 0); i < min(e.to, n); i++ {
			wet[i] += (e.Size - 1) * stormShape(e.part(i))
		}
	}
	if c.Clean {
		return wet
	}
	// Small rain, no event: up to a quarter more flow, a few times a month.
	r := stream(c.Seed, "rain")
	for at := r.ExpFloat64() * 9000; at < float64(n); at += r.ExpFloat64() * 9000 {
		length := 400 + 900*r.Float64()
		peak := 0.08 + 0.17*r.Float64()
		for i := int(at); i < int(at+length) && i < n; i++ {
			wet[i] += peak * stormShape((float64(i)-at)/length)
		}
	}
	return wet
}

func (w *water) flows(c Config, wet []float64, n int) {
	r := stream(c.Seed, "flow")
	day := newWander(r, 0.04, 1.5*1440)
	hours := newWander(r, 0.03, 90)
	ripple := newWander(r, 0.02, 5)
	outRipple := newWander(r, 0.012, 3)
	backwash := newBurst(20, 10, 18)
	// The plant between the two meters: three ponds in a row, 25 min each.
	var pond [3]float64
	for k := range pond {
		pond[k] = c.Plant.DesignFlowMGD
	}
	for i := 0; i < n; i++ {
		// Winter and spring groundwater adds a tenth.
		base := c.Plant.DesignFlowMGD * (1 - 0.05*season(w.yearday[i]))
		f := base * (diurnal(w.hour[i], w.weekday[i]) + day.step(r) + hours.step(r) + wet[i]) * (1 + ripple.step(r))
		f = math.Max(f, 0.15*c.Plant.DesignFlowMGD)
		w.influent = append(w.influent, f)
		in := f
		for k := range pond {
			pond[k] += (in - pond[k]) / 25
			in = pond[k]
		}
		out := in * 0.985 * (1 + outRipple.step(r))
		if backwash.step(r) > 0 {
			out *= 0.93
		}
		w.effluent = append(w.effluent, out)
	}
}

func (w *water) quality(c Config, events []Event, wet []float64, n int) {
	p := c.Plant
	r := stream(c.Seed, "water")
	tempDays := newWander(r, 0.6, 3*1440)
	phDays, phHours := newWander(r, 0.05, 2*1440), newWander(r, 0.025, 120)
	nDays, nHours := newWander(r, 0.3, 2.5*1440), newWander(r, 0.15, 150)
	fastDays, fastHours := newWander(r, 0.16, 1.8*1440), newWander(r, 0.07, 200)
	slowDays := newWander(r, 0.15, 2*1440)
	orgDays := newWander(r, 0.2, 1440)
	demandBurst := newBurst(1.2, 60, 180)
	bump := newWander(r, 1, 30)
	nDiurnal := 0.35
	if p.Regime == Partly {
		nDiurnal = 0.6
	}
	chill := 0.0
	for i := 0; i < n; i++ {
		cosAt := func(h float64) float64 { return math.Cos(2 * math.Pi * (w.hour[i] - h) / 24) }
		chill += (wet[i] - chill) / 180
		dilute := 1 / (1 + 0.8*chill)

		w.temp = append(w.temp, p.TempMeanC+p.TempSwingC*season(w.yearday[i])+
			0.35*cosAt(16)+tempDays.step(r)-1.6*chill)
		w.pH = append(w.pH, p.PH+0.05*cosAt(15)+phDays.step(r)+phHours.step(r)-0.1*chill)

		nh := p.AmmoniaMgL * math.Exp(nDiurnal*cosAt(13)+nDays.step(r)+nHours.step(r)) * dilute
		if p.Regime == Chloraminated {
			// A plant that does not nitrify passes what comes in: no wide swings.
			nh = p.AmmoniaMgL * (1 + 0.15*cosAt(13) + 0.25*nDays.now + 0.2*nHours.now) * dilute
		}
		fast := p.FastDemandMgL * math.Exp(0.12*cosAt(12)+fastDays.step(r)+fastHours.step(r)) * (1 + 0.35*math.Min(wet[i], 2))
		// Demand that no model knows of: slugs of nitrite or industry, up to half a mg/L.
		size := demandBurst.step(r)
		b := bump.step(r)
		if !c.Clean && size > 0 {
			fast += 0.3 * math.Min(size, 1.6) * (1 + 0.1*b)
		}
		for k := range events {
			e := &events[k]
			if !e.on(i) {
				continue
			}
			switch e.Kind {
			case Ammonia:
				// Where nitrification fails, nitrite comes along and takes chlorine at once.
				nh += e.Size * e.ramp(i, 120) * (1 + 0.08*b)
				fast += 0.5 * e.Size * e.ramp(i, 120)
			case DemandSpike:
				fast += e.Size * e.ramp(i, 20) * (1 + 0.08*b)
			}
		}
		w.ammonia = append(w.ammonia, math.Max(nh, 0.01))
		w.fast = append(w.fast, fast)
		w.slow = append(w.slow, p.SlowDemandMgL*math.Exp(0.1*cosAt(13)+slowDays.step(r)))
		w.organic = append(w.organic, 0.28*math.Exp(0.1*cosAt(14)+orgDays.step(r)))
	}
}
