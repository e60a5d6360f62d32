package chart

import (
	"math"
	"math/rand"
	"sync"
	"time"
	_ "time/tzdata" // a machine without zone files must pass too
)

// The samples are an invented plant's month and upset, made only to be drawn:
// minutes with noise, gaps, a clock change, a frozen probe and a feed loss.

var zone = sync.OnceValue(func() *time.Location {
	z, err := time.LoadLocation("America/Chicago")
	if err != nil {
		panic(err)
	}
	return z
})

func at(s string) int64 {
	t, err := time.ParseInLocation("2006-01-02 15:04", s, zone())
	if err != nil {
		panic(err)
	}
	return t.UnixMilli()
}

type minutes struct {
	t                                       []int64
	flow, influent, residual, orp, feed, ct []float64
	lo, hi                                  []float64
}

// fake makes minutes from start to end, with a feed loss of five hours at the
// given time and a stuck probe of nine hours a day before it.
func fake(start, end, loss int64) *minutes {
	rng := rand.New(rand.NewSource(7))
	m := &minutes{t: Times(start, minuteMs, int((end-start)/minuteMs))}
	drift, stuck := 0.0, math.NaN()
	for _, t := range m.t {
		h := time.UnixMilli(t).In(zone())
		hour := float64(h.Hour()) + float64(h.Minute())/60
		drift += rng.NormFloat64() * 0.004
		drift *= 0.999
		flow := 4.6 + 1.3*math.Sin((hour-8)/24*2*math.Pi) + 0.5*math.Sin((hour-2)/12*2*math.Pi) + drift*4 + rng.NormFloat64()*0.05
		d := float64(t-loss) / float64(hourMs)
		feed := 150 + 25*math.Sin((hour-8)/24*2*math.Pi) + rng.NormFloat64()*1.5
		res := 1.55 + drift*2 - 0.15*math.Sin((hour-9)/24*2*math.Pi) + rng.NormFloat64()*0.03
		if d > 0 && d < 5 {
			feed = 8 + rng.NormFloat64()
		}
		if d > 0.6 {
			res *= 1 - 0.93*math.Exp(-math.Max(0, d-5.6)*1.4)*(1-math.Exp(-math.Min(d-0.6, 5)*1.5))
		}
		expected := 620 + 66*math.Log10(math.Max(res, 0.02))
		orp := expected + rng.NormFloat64()*3
		if d > -27 && d < -18 {
			if math.IsNaN(stuck) {
				stuck = orp
			}
			orp = stuck
		}
		if d > -60 && d < -57 { // a gap in the export
			res, orp = math.NaN(), math.NaN()
			expected = math.NaN()
		}
		m.flow = append(m.flow, flow)
		m.influent = append(m.influent, flow*1.02+rng.NormFloat64()*0.2)
		m.feed = append(m.feed, feed)
		m.residual = append(m.residual, res)
		m.orp = append(m.orp, orp)
		m.lo = append(m.lo, expected-18)
		m.hi = append(m.hi, expected+18)
		m.ct = append(m.ct, math.Max(res, 0)*95/flow*1.4)
	}
	return m
}

func timeline(title string, start, end, loss int64) *Timeline {
	m := fake(start, end, loss)
	var grabT []int64
	var grabs []float64
	for i := 8 * 60; i < len(m.t); i += 24 * 60 {
		if !math.IsNaN(m.residual[i]) {
			grabT = append(grabT, m.t[i])
			grabs = append(grabs, m.residual[i]*1.03)
		}
	}
	return &Timeline{
		Title: title, Zone: zone(), Start: start, End: end,
		Panels: []Panel{
			{Name: "Flow", Unit: "MGD", Series: []Series{{Name: "effluent", T: m.t, Y: m.flow}, {Name: "influent", T: m.t, Y: m.influent, Faint: true}}, Include: []float64{0}},
			{Name: "Hypochlorite feed", Unit: "lb/d as Cl₂", Series: []Series{{T: m.t, Y: m.feed}}, Include: []float64{0}},
			{Name: "Total residual, basin outlet", Unit: "mg/L", Series: []Series{{Name: "analyser", T: m.t, Y: m.residual}},
				Points: []Points{{Name: "DPD grab", T: grabT, Y: grabs}}, Limits: []Limit{{Name: "minimum", Value: 0.5}}, Include: []float64{0}},
			{Name: "ORP, basin outlet", Unit: "mV", Series: []Series{{Name: "probe", T: m.t, Y: m.orp}},
				Bands:  []Band{{Name: "expected for the residual", T: m.t, Lo: m.lo, Hi: m.hi}},
				Marked: []Span{{From: loss - 27*hourMs, To: loss - 18*hourMs, Name: "probe not moving"}}},
			{Name: "CT", Unit: "mg·min/L", Series: []Series{{T: m.t, Y: m.ct}}, Limits: []Limit{{Name: "required", Value: 15}}, Include: []float64{0}},
		},
		Spans: []Span{{From: loss + 30*minuteMs, To: loss + 6*hourMs, Name: "CT short, 5 h 30 min"}},
		Marks: []Mark{{At: loss, Name: "first mover: feed fell from 160 to 8 lb/d", First: true}, {At: loss + 36*minuteMs, Name: "residual fell"},
			{At: loss + 44*minuteMs, Name: "ORP fell"}, {At: loss + 5*hourMs, Name: "feed back"}},
	}
}

func loadings() *Timeline {
	start, end := at("2026-03-02 00:00"), at("2026-03-09 00:00")
	n := int((end - start) / hourMs)
	t := Times(start, hourMs, n)
	rng := rand.New(rand.NewSource(3))
	mk := func(base, swing float64) []float64 {
		y := make([]float64, n)
		for i := range y {
			y[i] = base + swing*math.Sin(float64(i-8)/24*2*math.Pi) + rng.NormFloat64()*swing/10
			if i > 60 && i < 66 {
				y[i] = math.NaN()
			}
		}
		return y
	}
	return &Timeline{Title: "Hourly loadings, week of 2 March", Zone: zone(), Start: start, End: end,
		Message: "Ammonia load kept its daily swing all week.",
		Panels: []Panel{
			{Name: "Chlorine fed", Unit: "lb/d", Series: []Series{{Name: "hour mean", T: t, Y: mk(155, 30), Form: Bars, Width: hourMs}}},
			{Name: "Residual leaving the basin", Unit: "lb/d", Series: []Series{{Name: "total", T: t, Y: mk(60, 12), Form: Step, Width: hourMs},
				{Name: "free", T: t, Y: mk(21, 5), Form: Step, Width: hourMs}, {Name: "after dechlorination", T: t, Y: mk(3, 1), Form: Step, Width: hourMs}}},
			{Name: "Ammonia as N", Unit: "lb/d", Series: []Series{{T: t, Y: mk(12, 6), Form: Step, Width: hourMs}}, Limits: []Limit{{Name: "design load, upper bound of the plant", Value: 21}}},
		}}
}

func scatter() *Scatter {
	m := fake(at("2026-03-01 00:00"), at("2026-04-01 00:00"), at("2026-03-19 04:10"))
	c := &Scatter{Title: "ORP against residual at the basin outlet", X: Axis{Name: "Total residual", Unit: "mg/L", Log: true}, Y: Axis{Name: "ORP", Unit: "mV"}}
	cloud := Group{Name: "minutes in good order", Cloud: true}
	stuck := Group{Name: "18 March, probe not moving"}
	drift := Group{Name: "9 March, analyser low"}
	for i := range m.t {
		x, y := m.residual[i], m.orp[i]
		switch {
		case m.t[i] > at("2026-03-18 01:10") && m.t[i] < at("2026-03-18 10:10"):
			if i%10 == 0 {
				stuck.X, stuck.Y = append(stuck.X, x), append(stuck.Y, y)
			}
		case m.t[i] > at("2026-03-09 06:00") && m.t[i] < at("2026-03-09 15:00"):
			if i%15 == 0 {
				drift.X, drift.Y = append(drift.X, x*0.6), append(drift.Y, y)
			}
		default:
			cloud.X, cloud.Y = append(cloud.X, x), append(cloud.Y, y)
		}
	}
	grabs := Group{Name: "DPD grabs", Strong: true}
	for i := 500; i < len(m.t); i += 1440 {
		grabs.X, grabs.Y = append(grabs.X, m.residual[i]*1.04), append(grabs.Y, m.orp[i])
	}
	c.Groups = []Group{cloud, stuck, drift, grabs}
	k, b := Curve{Name: "fitted to the month"}, CurveBand{Name: "19 of 20 readings"}
	for x := 0.08; x < 2.4; x *= 1.1 {
		y := 620 + 66*math.Log10(x)
		k.X, k.Y = append(k.X, x), append(k.Y, y)
		b.X, b.Lo, b.Hi = append(b.X, x), append(b.Lo, y-18), append(b.Hi, y+18)
	}
	c.Curves, c.Bands = []Curve{k}, []CurveBand{b}
	c.Note = "ORP is a potential, not a concentration: one millivolt value fits many residuals."
	return c
}

func day(s string) time.Time {
	t, err := time.Parse("2006-01-02", s)
	if err != nil {
		panic(err)
	}
	return t
}

func daily() *DailyRange {
	rng := rand.New(rand.NewSource(5))
	c := &DailyRange{Title: "CT per day, March 2026", Name: "CT", Unit: "mg·min/L"}
	for i := range 31 {
		d := DayRange{Day: day("2026-03-01").AddDate(0, 0, i), Low: 20 + 5*rng.Float64(), Required: 15, State: Met}
		d.Mean = d.Low + 6 + 3*rng.Float64()
		switch i {
		case 8:
			d.Low, d.State = 3.1, Short
		case 18:
			d.Low, d.Mean, d.State = 11.2, 16, Short
		case 20:
			d.Low, d.State = 16.1, Near
		case 13:
			d.Low, d.Mean, d.State = math.NaN(), math.NaN(), NotDetermined
		}
		c.Days = append(c.Days, d)
	}
	return c
}

func dayHour(from, to string) *DayHour {
	c := &DayHour{Title: "Hours in which CT was met", Zone: zone(), Meaning: map[State]string{Near: "met by less than 20 %"}}
	rng := rand.New(rand.NewSource(9))
	for t := at(from + " 00:00"); t < at(to+" 00:00"); t += hourMs {
		st := Met
		l := time.UnixMilli(t).In(zone())
		switch {
		case l.Day() == 19 && l.Hour() >= 4 && l.Hour() < 10:
			st = Short
		case l.Day() == 19 && (l.Hour() == 3 || l.Hour() == 10):
			st = Near
		case l.Day() == 14 && l.Hour() > 12:
			st = NotDetermined
		case l.Hour() > 17 && l.Hour() < 21 && rng.Float64() < 0.15:
			st = Near
		}
		c.Hours = append(c.Hours, HourState{t, st})
	}
	return c
}

func coverage(days int) *Coverage {
	rng := rand.New(rand.NewSource(4))
	c := &Coverage{Title: "Can the data bear it? Good readings per tag and day", First: day("2026-03-01")}
	for k, name := range []string{"FIT-101 effluent flow", "FIC-210 hypochlorite", "AIT-301 total residual", "AIT-302 ORP basin", "AIT-401 ORP final", "AIT-402 final residual", "AIT-305 ammonia"} {
		r := CoverageRow{Name: name}
		for i := range days {
			v := 1.0
			if rng.Float64() < 0.12 {
				v = rng.Float64()
			}
			if k == 3 && i > 9 && i < 13 {
				v = 0
			}
			if k == 6 && i < 8 {
				v = math.NaN()
			}
			r.Share = append(r.Share, v)
		}
		c.Rows = append(c.Rows, r)
	}
	return c
}

func waterfall() *Waterfall {
	return &Waterfall{Title: "Where the CT went, 19 March 04:10 to 10:10", Name: "CT", Unit: "mg·min/L",
		From:   Part{Name: "same hours of clean days", Value: 29.4},
		To:     Part{Name: "this episode", Value: 9.0},
		Parts:  []Part{{"flow up", -9.2, "4.1 → 6.6 MGD"}, {"feed down", -12.6, "160 → 8 lb/d"}, {"demand down", 1.9, "3.2 → 2.8 mg/L"}, {"hypochlorite weaker", -0.5, "12.5 → 12.2 %"}},
		Limits: []Limit{{Name: "required", Value: 15}}}
}

func probability() *Probability {
	rng := rand.New(rand.NewSource(3))
	c := &Probability{Title: "How reliably is CT met? Lowest hour of each day", Y: Axis{Name: "CT", Unit: "mg·min/L", Log: true},
		Limits: []Limit{{Name: "required", Value: 15}, {Name: "50 %", Value: 25}}, LineX: []float64{0.01, 0.99}, LineY: []float64{13, 48}}
	for i := range 240 {
		p := (float64(i) + 0.625) / 240.25
		c.Values, c.Share, c.Below = append(c.Values, math.Pow(10, 1.4+0.12*probit(p)+0.002*rng.NormFloat64())), append(c.Share, p), append(c.Below, i < 12)
	}
	return c
}

func monthly() *Monthly {
	c := &Monthly{Title: "E. coli, March 2026", Name: "E. coli", Unit: "MPN/100 mL", Log: true, First: day("2026-03-01"), Days: 31,
		Limits: []Limit{{Name: "monthly geometric mean", Value: 126}, {Name: "daily maximum", Value: 410}}}
	for i, v := range []float64{12, 1, 30, 2, 88, 1, 2419, 45, 9, 1, 160, 22, 7} {
		r := Result{Day: day("2026-03-01").AddDate(0, 0, 1+2*i), Value: v}
		if v == 1 {
			r.Sign = '<'
		}
		if v == 2419 {
			r.Sign = '>'
		}
		c.Results = append(c.Results, r)
	}
	for w := range 4 {
		c.Averages = append(c.Averages, Average{"week's geometric mean", day("2026-03-01").AddDate(0, 0, 7*w), day("2026-03-01").AddDate(0, 0, 7*w+6), []float64{9, 60, 14, 25}[w]})
	}
	c.Averages = append(c.Averages, Average{"month's geometric mean", day("2026-03-01"), day("2026-03-31"), 19})
	return c
}

// samples are all charts that the tests draw.
func samples() map[string]Chart {
	loss := at("2026-03-19 04:10")
	fall := timeline("The night the clock goes back", at("2026-10-31 12:00"), at("2026-11-01 12:00"), at("2026-11-01 00:30"))
	fall.Spans, fall.Marks = nil, nil
	two := timeline("Two days around the upset of 19 March", at("2026-03-18 00:00"), at("2026-03-20 00:00"), loss)
	week := timeline("The week around the upset", at("2026-03-15 00:00"), at("2026-03-22 00:00"), loss)
	month := timeline("March 2026", at("2026-03-01 00:00"), at("2026-04-01 00:00"), loss)
	spring := timeline("The night the clock goes forward", at("2026-03-08 00:00"), at("2026-03-08 09:00"), at("2026-03-08 04:00"))
	spring.Panels = spring.Panels[:2]
	return map[string]Chart{
		"upset": two, "week": week, "month": month, "fall": fall, "spring": spring,
		"loadings": loadings(), "scatter": scatter(), "daily": daily(),
		"glance": dayHour("2026-03-01", "2026-04-01"), "glance-fall": dayHour("2026-10-15", "2026-11-15"), "coverage": coverage(31), "coverage-year": coverage(365),
		"waterfall": waterfall(), "probability": probability(), "monthly": monthly(),
	}
}
