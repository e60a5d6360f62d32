package analysis

import (
	"cmp"
	"fmt"
	"math"
	"slices"

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
	flows, _, err := basinFlows(f)
	if err != nil {
		return nil, err
	}
	var out []Feed
	for _, pf := range f.Plant.Feeds {
		d := Feed{Feed: pf, Ratio: math.NaN(), Stoichiometric: math.NaN()}
		if !pf.Chlorinates() {
			agent, err := loading.AgentOf(pf.Chemical)
			if err != nil {
				return nil, fmt.Errorf("feed %s: %w", pf.Name, err)
			}
			d.Ratio, d.RatioFrom, d.Stoichiometric = agent.Field, agent.FieldSource, agent.Stoichiometric
			if !math.IsNaN(pf.Ratio) {
				d.Ratio, d.RatioFrom = pf.Ratio, "the plant description"
			}
		}
		d.takeFlow(f, flows)
		if !d.Gas() {
			d.Strengths = d.strength(f)
		}
		d.tank(f)
		if t, ok := f.Plant.Tag(pf.Tag); ok {
			d.Tag = t
			if err := d.reckon(f); err != nil {
				return nil, err
			}
		} else {
			d.Note = fmt.Sprintf("%s is known by its tank only, so its use and dose are reckoned by the day and not by the hour", pf.Title)
		}
		out = append(out, d)
	}
	return out, nil
}

// takeFlow gives the flow that the feed doses: that of the point it names, or
// the basin's own share of it.
func (d *Feed) takeFlow(f *Frame, flows [][]float64) {
	d.FlowTag, d.FlowMGD = f.flow(d.FlowAt)
	if d.OwnFlow {
		for i, b := range f.Plant.Basins {
			if b.Name == d.Basin {
				d.FlowMGD = flows[i]
			}
		}
	}
	if d.FlowMGD == nil {
		d.FlowMGD = unknown(f.Grid.N)
	}
}

// reckon fills the minute columns from what the feed's tag says.
func (d *Feed) reckon(f *Frame) error {
	tag := f.Minutes(d.Tag)
	if d.Tag.Working.Dimension == quantity.Percent {
		cal := loading.FullStroke(d.FullStroke)
		if len(d.Calibration) > 0 {
			cal = loading.Calibration{}
			for _, p := range d.Calibration {
				cal.Percent, cal.Output = append(cal.Percent, p[0]), append(cal.Output, p[1])
			}
		}
		if err := cal.Check(); err != nil {
			return fmt.Errorf("feed %s: %w", d.Name, err)
		}
		if t, ok := f.Plant.Tag(d.StrokeTag); ok {
			tag = strokeTimesSpeed(f.Minutes(t), tag)
		}
		tag = loading.PercentColumn(tag, cal)
	}
	k := factor(f.Plant)
	switch {
	case d.Gas():
		d.LbPerDay = tag
	case d.Tag.Working.Dimension == quantity.MassRate:
		// A liquid whose tag is in pounds a day: pounds of active chemical.
		d.LbPerDay = tag
		d.GalPerHour = loading.RatioColumn(tag, loading.LiquidColumn(ones(f.Grid.N), d.Strengths, k), 0)
	default:
		d.GalPerHour = tag
		d.LbPerDay = loading.LiquidColumn(tag, d.Strengths, k)
	}
	d.DoseMgL = loading.DoseColumn(d.LbPerDay, d.FlowMGD, contact.DefaultSettings().ZeroFlowMGD, k)
	return nil
}

func strokeTimesSpeed(stroke, speed []float64) []float64 {
	out := make([]float64, len(speed))
	for i := range out {
		out[i] = loading.StrokeAndSpeed(stroke[i], speed[i])
	}
	return out
}

// strength gives g/L of active chemical by minute: measured where a tag
// measures it; else as stated, and fallen since the last delivery where the
// plant states when it was delivered and how fast it falls.
//
// The model is a tank emptied by each delivery: the strength stated is that of
// every delivery, and what was left of the one before does not weaken it. Before
// the first delivery stated the age is not known and no decay is taken.
func (d *Feed) strength(f *Frame) []float64 {
	stated := loading.Strength{Value: d.Strength, As: loading.StrengthAs(d.StrengthAs), SpecificGravity: d.SpecificGravity}
	var measured []float64
	t, ok := f.Plant.Tag(d.StrengthTag)
	if ok {
		measured = f.Minutes(t)
	}
	out := make([]float64, f.Grid.N)
	fresh := stated.GramsPerLitre()
	tanks := d.deliveries(stated)
	next, last := 0, int64(math.MinInt64)
	for i := range out {
		for next < len(tanks) && tanks[next].at <= f.Grid.Milli(i) {
			last, fresh = tanks[next].at, tanks[next].grams
			next++
		}
		out[i] = fresh
		if last != math.MinInt64 && !math.IsNaN(d.HalfLifeDays) {
			out[i] = loading.AfterStorage(out[i], float64(f.Grid.Milli(i)-last)/86_400_000, d.HalfLifeDays)
		}
		if measured == nil || math.IsNaN(measured[i]) {
			continue
		}
		if t.Working.Dimension == quantity.Percent {
			s := stated
			s.Value = measured[i]
			out[i] = s.GramsPerLitre()
		} else if g, err := quantity.Convert(measured[i], t.Working, quantity.MustUnit("g/L")); err == nil {
			out[i] = g
		}
	}
	return out
}

// filled is a tank as it was filled.
type filled struct {
	at    int64   // Unix milliseconds
	grams float64 // g/L
}

// deliveries lists those of plant.toml, with the strength stated, and those of
// log.csv, with their own where it says one, by time.
func (d *Feed) deliveries(stated loading.Strength) []filled {
	var out []filled
	for _, t := range d.Delivered {
		out = append(out, filled{t.UnixMilli(), stated.GramsPerLitre()})
	}
	for _, l := range d.Logged {
		s := stated
		if !math.IsNaN(l.Value) {
			s.Value, s.As = l.Value, loading.StrengthAs(l.As)
		}
		out = append(out, filled{l.At.UnixMilli(), s.GramsPerLitre()})
	}
	slices.SortStableFunc(out, func(a, b filled) int { return cmp.Compare(a.at, b.at) })
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
	t, err := contact.Dynamic(whole, contact.Minutes{FlowMGD: b.Flow, Residual: b.Residual, InService: b.InService}, contact.DefaultSettings())
	if err != nil {
		return unknown(f.Grid.N)
	}
	return t.ContactMin
}

// doses says that a feed doses the water of a basin as it comes in: the basin it
// names, or, for one that names none, every first basin of the flow it doses, or
// of a plant with one train.
func (r *Result) doses(f *Feed, b *Basin) bool {
	if f.Basin != "" {
		return f.Basin == b.Name
	}
	return len(r.Basins) == 1 || len(b.After) == 0 && (b.FlowAt == f.FlowAt || r.oneTrain())
}
