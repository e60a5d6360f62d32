package analysis

import (
	"math"

	"weirbook/analysis/loading"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// Removal is how much of a substance is taken out between two points, day by
// day and over the period, by load.
type Removal struct {
	From, To  plant.Tag
	Daily     []float64 // percent by load; NaN on days on which either load is not determined
	Days      int       // days with both
	LoadIn    float64   // mean lb/d of those days
	LoadOut   float64
	MgLIn     float64 // mean concentration of those days
	MgLOut    float64
	ByLoad    float64 // percent, of the summed loads
	ByMgL     float64 // percent, of the mean concentrations
	Composite bool
}

// removals pairs what is measured in the influent with the same at the end of
// the same water: composites with composites, signals with signals. Single grabs
// are not paired: the water of one is not the water of the other.
func (r *Result) removals() {
	for _, in := range r.Plant.Tags {
		q, _ := r.Plant.Point(in.At)
		if !q.Influent || in.Working.Dimension != quantity.Concentration || in.Reading == series.Grab {
			continue
		}
		out, ok := r.lastMeasured(in)
		if !ok {
			continue
		}
		m := Removal{From: in, To: out, Composite: in.Reading == series.Composite, Daily: unknown(len(r.Days))}
		inLoad, inMgL, ok1 := r.dailyLoad(in)
		outLoad, outMgL, ok2 := r.dailyLoad(out)
		if !ok1 || !ok2 {
			continue
		}
		for d := range m.Daily {
			if math.IsNaN(inLoad[d]) || math.IsNaN(outLoad[d]) {
				continue
			}
			m.Daily[d] = loading.Removal(inLoad[d], outLoad[d])
			m.Days++
			m.LoadIn, m.LoadOut = m.LoadIn+inLoad[d], m.LoadOut+outLoad[d]
			m.MgLIn, m.MgLOut = m.MgLIn+inMgL[d], m.MgLOut+outMgL[d]
		}
		if m.Days == 0 {
			continue
		}
		n := float64(m.Days)
		m.LoadIn, m.LoadOut, m.MgLIn, m.MgLOut = m.LoadIn/n, m.LoadOut/n, m.MgLIn/n, m.MgLOut/n
		m.ByLoad, m.ByMgL = loading.Removal(m.LoadIn, m.LoadOut), loading.Removal(m.MgLIn, m.MgLOut)
		r.Removals = append(r.Removals, m)
		r.Daily.add(LoadRemoval, r.columnOf(out), r.title(out)+": removal from "+r.Plant.Title(in.At), m.Daily, nil).Tag = out.Name
	}
}

// lastMeasured is the tag at the end of in's water that measures the same in the
// same manner: at the outfall, else after dechlorination, else elsewhere.
func (r *Result) lastMeasured(in plant.Tag) (best plant.Tag, ok bool) {
	rank := 0
	train := r.Plant.TrainOf(in.At)
	for _, t := range r.Plant.Tags {
		q, _ := r.Plant.Point(t.At)
		if t.Measures != in.Measures || t.Reading != in.Reading || q.Influent || !r.oneTrain() && r.Plant.TrainOf(t.At) != train {
			continue
		}
		k := 1
		if q.Dechlorinated {
			k = 2
		}
		if q.Outfall {
			k = 3
		}
		if k > rank {
			best, rank, ok = t, k, true
		}
	}
	return best, ok
}

// dailyLoad gives a tag's daily loads and concentrations from the daily table.
func (r *Result) dailyLoad(t plant.Tag) (load, mgL []float64, ok bool) {
	lb, conc := Load, FlowWeighted
	if t.Reading == series.Composite {
		lb, conc = CompositeLoad, Composite
	}
	l, ok1 := r.Daily.Find(lb, r.columnOf(t))
	c, ok2 := r.Daily.Find(conc, r.columnOf(t))
	return l.Values, c.Values, ok1 && ok2
}
