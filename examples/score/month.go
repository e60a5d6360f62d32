package main

import (
	"math"

	"weirbook/analysis/align"
	"weirbook/analysis/orp"
	"weirbook/analysis/series"
	"weirbook/analysis/speciation"
	"weirbook/examples/simulate"
)

// lbPerGalHour is the chlorine in a gallon an hour of 12.5 trade percent
// hypochlorite, lb/d: 1.0432 lb a gallon (product tables).
const lbPerGalHour = 24 * 1.0432

// input hands a simulated month's tags and grabs, not its truth, to the engine, as
// a plant's own description would.
func input(m *simulate.Month) orp.Input {
	p := m.Config.Plant
	in := orp.Input{
		Grid: align.Grid{Start: m.Start, N: m.N}, Loc: m.Loc,
		BasinGal: p.BasinGal,
	}
	col := func(name string) orp.Column {
		t := m.Tag(name)
		if t == nil {
			return orp.Column{}
		}
		c := orp.Column{Tag: t.Name, V: t.V, Low: t.Low, High: t.High, OnChange: t.Reading == "on-change"}
		c.F = make([]series.Flag, len(t.V))
		for i, q := range t.Q {
			switch q {
			case simulate.Bad:
				c.F[i] |= series.Bad
			case simulate.Uncertain:
				c.F[i] |= series.Uncertain
			}
		}
		return c
	}
	in.InfluentFlow, in.Flow = col(simulate.TagInfluentFlow), col(simulate.TagEffluentFlow)
	in.Total, in.Free = col(simulate.TagTotal), col(simulate.TagFree)
	in.PH, in.Temp = col(simulate.TagPH), col(simulate.TagTemperature)
	in.Ammonia, in.Bisulfite, in.Final = col(simulate.TagAmmonia), col(simulate.TagSulfiteFeed), col(simulate.TagFinal)
	in.Feed = col(simulate.TagHypoFeed)
	lb := make([]float64, len(in.Feed.V))
	for i, v := range in.Feed.V {
		lb[i] = v * lbPerGalHour
	}
	in.Feed.V = lb
	add := func(name string, place orp.Place) {
		if c := col(name); c.Present() {
			in.Probes = append(in.Probes, orp.Probe{Column: c, Place: place, VolumeFraction: 0.5, Reference: speciation.AgCl3M})
		}
	}
	add(simulate.TagORPOutlet, orp.Outlet)
	add(simulate.TagORPMiddle, orp.MidBasin)
	add(simulate.TagORPFinal, orp.Final)
	for _, l := range m.Lab {
		if l.At != simulate.PointOutlet || l.Qualifier != "" || math.IsNaN(l.Value) {
			continue
		}
		switch l.What {
		case "chlorine_total":
			in.Grabs = append(in.Grabs, orp.Grab{At: l.Time.UnixMilli(), MgL: l.Value})
		case "chlorine_free":
			in.Grabs = append(in.Grabs, orp.Grab{At: l.Time.UnixMilli(), MgL: l.Value, Free: true})
		}
	}
	return in
}
