package analysis

import (
	"fmt"
	"math"

	"weirbook/analysis/contact"
	"weirbook/analysis/loading"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
)

// factor is the pounds factor: the trade's for US reports, the exact one for
// metric ones.
func factor(p *plant.Plant) loading.Factor {
	if p.Units == plant.Metric {
		return loading.Exact
	}
	return loading.Trade
}

// feeds reckons each chemical feed: solution, active chemical, and dose of the
// water it goes into.
func feeds(f *Frame) ([]Feed, error) {
	var out []Feed
	for _, pf := range f.Plant.Feeds {
		d := Feed{Feed: pf, Ratio: math.NaN()}
		if !pf.Chlorinates() {
			agent, err := loading.AgentOf(pf.Chemical)
			if err != nil {
				return nil, fmt.Errorf("feed %s: %w", pf.Name, err)
			}
			d.Ratio, d.RatioFrom = agent.Field, agent.FieldSource
			if !math.IsNaN(pf.Ratio) {
				d.Ratio, d.RatioFrom = pf.Ratio, "the plant description"
			}
		}
		if t, ok := f.Plant.Tag(pf.Tag); ok {
			d.Tag = t
			d.reckon(f, f.Minutes(t))
		} else {
			d.Note = fmt.Sprintf("%s is known by its tank's level only; its dose is not reckoned by the hour", pf.Title)
		}
		out = append(out, d)
	}
	return out, nil
}

// reckon fills the minute columns from what the feed's tag says.
func (d *Feed) reckon(f *Frame, tag []float64) {
	_, flow := f.flow(d.FlowAt)
	if flow == nil {
		flow = unknown(f.Grid.N)
	}
	if d.Tag.Working.Dimension == quantity.Percent {
		tag = loading.PercentColumn(tag, loading.FullStroke(d.FullStroke))
	}
	k := factor(f.Plant)
	switch {
	case d.Gas():
		d.LbPerDay = tag
	case d.Tag.Working.Dimension == quantity.MassRate:
		// A liquid whose tag is in pounds a day: pounds of active chemical.
		d.LbPerDay = tag
		d.Strengths = d.strength(f)
		d.GalPerHour = loading.RatioColumn(tag, loading.LiquidColumn(ones(f.Grid.N), d.Strengths, k), 0)
	default:
		d.GalPerHour, d.Strengths = tag, d.strength(f)
		d.LbPerDay = loading.LiquidColumn(tag, d.Strengths, k)
	}
	d.DoseMgL = loading.DoseColumn(d.LbPerDay, flow, contact.DefaultSettings().ZeroFlowMGD, k)
}

// strength gives g/L of active chemical by minute: measured where a tag
// measures it, else as stated.
func (d *Feed) strength(f *Frame) []float64 {
	stated := loading.Strength{Value: d.Strength, As: loading.StrengthAs(d.StrengthAs), SpecificGravity: d.SpecificGravity}
	var measured []float64
	t, ok := f.Plant.Tag(d.StrengthTag)
	if ok {
		measured = f.Minutes(t)
	}
	out := make([]float64, f.Grid.N)
	for i := range out {
		out[i] = stated.GramsPerLitre()
		if measured == nil || math.IsNaN(measured[i]) {
			continue
		}
		out[i] = measured[i]
		if t.Working.Dimension == quantity.Percent {
			s := stated
			s.Value = measured[i]
			out[i] = s.GramsPerLitre()
		}
	}
	return out
}

func ones(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 1
	}
	return out
}

// delay gives, for the water leaving a basin in each minute, the minutes since
// it was dosed: the whole volume passed, not the part that counts for CT.
func delay(f *Frame, b *Basin) []float64 {
	whole := b.Contact
	whole.Factor = contact.Factor{Value: 1, Kind: contact.Mean, Source: "whole volume"}
	t, err := contact.Dynamic(whole, contact.Minutes{FlowMGD: b.Flow, Residual: b.Residual}, contact.DefaultSettings())
	if err != nil {
		return unknown(f.Grid.N)
	}
	return t.ContactMin
}
