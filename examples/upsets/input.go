// Package upsets makes invented upsets whose first mover is known, and scores
// the explanation of upsets on them.
package upsets

import (
	"math"
	"sort"

	"weirbook/analysis/align"
	"weirbook/analysis/contact"
	"weirbook/analysis/quantity"
	"weirbook/analysis/upset"
	"weirbook/examples/simulate"
)

// lbPerGal is 12.5 trade percent hypochlorite, lb available chlorine per US
// gallon: 125 g/L × 3.785411784 L / 453.59237 g.
const lbPerGal = 125 * 3.785411784 / 453.59237

// Input is what the analysis would make of a month's readings, with the CT
// requirement asked of it. Readings of bad quality are left out.
func Input(m *simulate.Month, requiredCT, finalLimit float64) (upset.Input, error) {
	p := m.Config.Plant
	col := func(tag string) []float64 {
		t := m.Tag(tag)
		if t == nil {
			return nil
		}
		v := make([]float64, len(t.V))
		for i := range v {
			v[i] = t.V[i]
			if t.Q[i] < simulate.Uncertain {
				v[i] = math.NaN()
			}
			if t.Reading == "on-change" && math.IsNaN(v[i]) && i > 0 {
				v[i] = v[i-1]
			}
		}
		return v
	}
	grid := align.Grid{Start: m.Start, N: m.N}
	residualTag, kind := simulate.TagTotal, quantity.ChlorineTotal
	if !p.HasTotal {
		residualTag, kind = simulate.TagFree, quantity.ChlorineFree
	}
	flow, residual := col(simulate.TagEffluentFlow), col(residualTag)
	basin := contact.Basin{Name: "basin", VolumeGal: p.BasinGal, Factor: contact.BafflingFactor(p.Baffling)}
	track, err := contact.Dynamic(basin, contact.Minutes{FlowMGD: flow, Residual: residual}, contact.DefaultSettings())
	if err != nil {
		return upset.Input{}, err
	}
	delay := make([]float64, m.N)
	for i := range delay {
		delay[i] = track.ContactMin[i]
	}
	feed := col(simulate.TagHypoFeed)
	in := upset.Input{
		Grid: grid, Loc: m.Loc, Plant: p.Name,
		Basin: upset.Basin{Name: "basin", Title: "contact basin", CT: track.CTMgMinL, Required: []float64{requiredCT}, Residual: residual,
			Contact: track.ContactMin, Delay: delay, Flow: flow, Feed: feed, Strength: constant(m.N, lbPerGal), ResidualMin: math.NaN()},
		Chlorine: upset.Supply{Title: "hypochlorite", Capacity: p.HypoMaxGPH, FullStroke: p.HypoMaxGPH, LbPerGal: lbPerGal, Chemical: "sodium hypochlorite", Ratio: math.NaN()},
		Dechlorination: upset.Supply{Title: "bisulfite", Capacity: p.SulfiteMaxGPH, FullStroke: p.SulfiteMaxGPH, LbPerGal: 0.38 * 11.1, Ratio: 1.61,
			RatioFrom: "field guide, sodium bisulfite", Chemical: "sodium bisulfite"},
		Outfall: upset.Outfall{Final: col(simulate.TagFinal), Flow: flow, RestsOn: []string{simulate.TagFinal}, DetectMgL: math.NaN()},
		Judged: []upset.Judged{{What: upset.CTShort, Title: "CT in the contact basin", Unit: "mg·min/L", V: track.CTMgMinL,
			Limit: []float64{requiredCT}, Flow: flow, RestsOn: []string{residualTag, simulate.TagEffluentFlow}, Source: "the invented permit"}},
	}
	if !math.IsNaN(finalLimit) {
		in.Judged = append(in.Judged, upset.Judged{What: upset.FinalHigh, Title: "residual at the outfall", Unit: "mg/L", V: in.Outfall.Final,
			Limit: []float64{finalLimit}, Flow: flow, RestsOn: []string{simulate.TagFinal}})
	}
	add := func(tag string, k quantity.Kind, title, unit string, place upset.Place, lead float64, steers bool) {
		if v := col(tag); v != nil {
			in.Columns = append(in.Columns, upset.Column{Tag: tag, Kind: k, Title: title, Unit: unit, V: v, Place: place, Lead: lead, Steers: steers})
		}
	}
	add(simulate.TagInfluentFlow, quantity.Flow, "influent flow", "MGD", upset.Upstream, 0, false)
	add(simulate.TagEffluentFlow, quantity.Flow, "flow through the basin", "MGD", upset.Upstream, 0, false)
	add(simulate.TagAmmonia, quantity.AmmoniaN, "ammonia after secondary", "mg/L", upset.Upstream, 1, false)
	add(simulate.TagHypoFeed, quantity.HypochloriteFeed, "hypochlorite feed", "gal/h", upset.AtFeed, 1, true)
	in.Columns = append(in.Columns, upset.Column{Tag: "dose less residual", Kind: upset.Demand, Title: "chlorine demand", Unit: "mg/L",
		V: upset.DemandOf(in), Place: upset.AtFeed, RestsOn: []string{residualTag, simulate.TagEffluentFlow, simulate.TagHypoFeed}})
	add(simulate.TagORPMiddle, quantity.ORP, "ORP, middle of the basin", "mV", upset.InBasin, 0.5, false)
	add(simulate.TagTotal, quantity.ChlorineTotal, "total residual at the basin outlet", "mg/L", upset.AtOutlet, 0, false)
	add(simulate.TagFree, quantity.ChlorineFree, "free residual at the basin outlet", "mg/L", upset.AtOutlet, 0, false)
	add(simulate.TagORPOutlet, quantity.ORP, "ORP at the basin outlet", "mV", upset.AtOutlet, 0, false)
	add(simulate.TagPH, quantity.PH, "pH", "", upset.AtOutlet, 0, false)
	add(simulate.TagTemperature, quantity.Temp, "water temperature", "°C", upset.AtOutlet, 0, false)
	add(simulate.TagSulfiteFeed, quantity.BisulfiteFeed, "bisulfite feed", "gal/h", upset.AtOutfall, 0, true)
	add(simulate.TagFinal, quantity.ChlorineTotal, "residual at the outfall", "mg/L", upset.AtOutfall, 0, false)
	_ = kind
	for _, r := range m.Lab {
		if r.What == "e_coli" {
			in.Samples = append(in.Samples, upset.Sample{At: r.Time.UnixMilli(), Value: r.Value, Qualifier: r.Qualifier, Limit: 410, Unit: r.Unit, Tag: r.Tag})
		}
	}
	return in, nil
}

func constant(n int, v float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v
	}
	return out
}

// Low gives the q-quantile of the known values, 0…1.
func Low(v []float64, q float64) float64 {
	var x []float64
	for _, a := range v {
		if !math.IsNaN(a) && !math.IsInf(a, 0) {
			x = append(x, a)
		}
	}
	if len(x) == 0 {
		return math.NaN()
	}
	sort.Float64s(x)
	return x[int(q*float64(len(x)-1))]
}
