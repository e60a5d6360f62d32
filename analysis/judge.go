package analysis

import (
	"fmt"
	"math"
	"slices"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/finding"
	"weirbook/analysis/orp"
	"weirbook/analysis/orp/signal"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/robust"
	"weirbook/analysis/screen"
	"weirbook/analysis/series"
	"weirbook/analysis/speciation"
)

// judge asks the who-is-wrong engine about every basin outlet that has both a
// residual analyser and an ORP probe, or at least one of them.
func (r *Result) judge() error {
	set, err := orpSettings(r.Plant)
	if err != nil {
		return err
	}
	seen := map[string]bool{}
	for i := range r.Basins {
		b := &r.Basins[i]
		if seen[b.Outlet] {
			continue // basins in parallel that share an outlet share its instruments
		}
		seen[b.Outlet] = true
		in := r.orpInput(b)
		if len(in.Probes) == 0 && !in.Free.Present() && !in.Total.Present() {
			r.Notes = append(r.Notes, fmt.Sprintf("%s: neither an ORP probe nor a residual analyser stands at %s, so nothing was judged there.", b.Title, b.Outlet))
			continue
		}
		res, err := orp.Judge(in, set)
		if err != nil {
			return fmt.Errorf("basin %s: %w", b.Name, err)
		}
		r.Judgements = append(r.Judgements, Judgement{Basin: b.Name, Result: res})
		r.Findings = addOnce(r.Findings, res.Findings)
	}
	return nil
}

// orpSettings are the thresholds with those that [orp] of plant.toml overrides.
func orpSettings(p *plant.Plant) (orp.Settings, error) {
	set := orp.DefaultSettings()
	if err := override(&set, p.ORP); err != nil {
		return set, fmt.Errorf("plant.toml: [orp]: %w", err)
	}
	return set, nil
}

// addOnce adds findings, and those that two basins share (a flow meter, a link) once.
func addOnce(have, more []finding.Finding) []finding.Finding {
	known := len(have)
	for _, f := range more {
		if k := slices.IndexFunc(have[:known], func(h finding.Finding) bool {
			return h.Kind == f.Kind && h.Subject == f.Subject && h.Start < f.End && f.Start < h.End
		}); k >= 0 {
			have[k].Start, have[k].End = min(have[k].Start, f.Start), max(have[k].End, f.End)
			continue
		}
		have = append(have, f)
	}
	return have
}

// orpInput gathers what the engine is told about one basin.
func (r *Result) orpInput(b *Basin) orp.Input {
	in := orp.Input{Grid: r.Grid, Loc: r.Plant.Zone, Delay: b.DelayMin, BasinGal: b.Volume}
	in.Free = r.column(quantity.ChlorineFree, b.Outlet)
	in.Total = r.column(quantity.ChlorineTotal, b.Outlet)
	in.PH = r.column(quantity.PH, b.Outlet)
	in.Temp = r.column(quantity.Temp, b.Outlet)
	in.Flow = r.columnOfTag(b.FlowTag)
	in.Flow.V, in.Flow.F = b.Flow, nil // this basin's share of it
	for i := range b.InService {
		if b.InService[i] < 0.5 {
			if in.Idle == nil {
				in.Idle = make([]bool, r.Grid.N)
			}
			in.Idle[i] = true
		}
	}
	in.Rerouted = r.rerouted(b)
	if r.onlyFlow(b) {
		for _, q := range r.Plant.Points {
			if q.Influent {
				in.InfluentFlow = r.column(quantity.Flow, q.Name)
			}
		}
	}
	for i := range r.Feeds {
		f := &r.Feeds[i]
		switch {
		case f.LbPerDay == nil:
		case f.Chlorinates() && r.doses(f, b):
			in.Feed, in.Gas = r.feedColumn(f), f.Chemical == "chlorine" || f.Tag.Measures == quantity.ChlorineFeed
			in.Dose = f.DoseMgL
		case !f.Chlorinates() && r.sameWater(f.FlowAt, b):
			in.Bisulfite, in.SulfurDioxide = r.feedColumn(f), f.Chemical == "sulfur_dioxide" || f.Tag.Measures == quantity.SulfurDioxideFeed
		}
	}
	if t, ok := Ammonia(r.Plant, b.Train); ok {
		in.Ammonia = r.columnOfTag(t)
	}
	for _, q := range r.Plant.Points {
		if q.Dechlorinated && r.sameWater(q.Name, b) && !in.Final.Present() {
			in.Final = r.column(quantity.ChlorineTotal, q.Name)
		}
	}
	r.addProbes(&in, b)
	r.addGrabs(&in, b)
	for _, s := range r.Plant.Reference {
		in.Reference = append(in.Reference, series.Stretch{Start: s.From.UnixMilli(), End: s.To.UnixMilli()})
	}
	return in
}

// rerouted marks the minutes, with two hours after each change, in which another basin
// is out of service while it usually is not: this one then carries its water.
func (r *Result) rerouted(b *Basin) []bool {
	var out []bool
	const after = 120
	for k := range r.Basins {
		o := &r.Basins[k]
		if o.Name == b.Name || len(o.InService) == 0 {
			continue
		}
		last := -1
		for i, s := range o.InService {
			if s < 0.5 {
				last = i
			}
			if last >= 0 && i-last <= after {
				if out == nil {
					out = make([]bool, r.Grid.N)
				}
				out[i] = true
			}
		}
	}
	return out
}

// feedColumn is what a feed delivered, stored when its tag was.
func (r *Result) feedColumn(f *Feed) orp.Column {
	c := r.columnOfTag(f.Tag)
	c.V, c.F, c.Low, c.High = f.LbPerDay, nil, 0, 0 // the span is that of the tag's own unit
	return c
}

// onlyFlow says that all water passes this basin, so that the influent flow is
// its flow some time before.
func (r *Result) onlyFlow(b *Basin) bool {
	for i := range r.Basins {
		if r.Basins[i].FlowAt != b.FlowAt {
			return false
		}
	}
	return b.FlowShare == 1
}

// sameWater says that a point carries the water of the basin.
func (r *Result) sameWater(point string, b *Basin) bool {
	if len(r.Basins) == 1 || point == b.FlowAt || point == b.Outlet {
		return true
	}
	q, _ := r.Plant.Point(point)
	return q.FlowAt == b.FlowAt || q.FlowAt == b.Outlet
}

func (r *Result) addProbes(in *orp.Input, b *Basin) {
	for _, t := range r.Plant.TagsAt(quantity.ORP, "") {
		q, _ := r.Plant.Point(t.At)
		p := orp.Probe{Column: r.columnOfTag(t)}
		switch {
		case t.Sampled() || !p.Present():
			continue
		case t.At == b.Outlet:
			p.Place = orp.Outlet
		case q.Basin == b.Name && !math.IsNaN(q.Fraction):
			p.Place, p.VolumeFraction = orp.MidBasin, q.Fraction
		case q.Dechlorinated && r.sameWater(t.At, b):
			p.Place = orp.Final
		default:
			continue
		}
		for _, pp := range r.Plant.Probes {
			if pp.Tag == t.Name {
				if ref, err := speciation.ParseReference(pp.Reference); err == nil {
					p.Reference = ref
				}
			}
		}
		in.Probes = append(in.Probes, p)
	}
}

func (r *Result) addGrabs(in *orp.Input, b *Basin) {
	for _, k := range []quantity.Kind{quantity.ChlorineFree, quantity.ChlorineTotal} {
		for _, t := range r.Plant.TagsAt(k, b.Outlet) {
			s := r.Series[t.Name]
			for i := 0; t.Reading == series.Grab && i < s.Len(); i++ {
				if s.Usable(i) && s.F[i]&(series.LessThan|series.GreaterThan) == 0 {
					in.Grabs = append(in.Grabs, orp.Grab{At: s.T[i], MgL: s.V[i], Free: k == quantity.ChlorineFree})
				}
			}
		}
	}
}

func (r *Result) column(k quantity.Kind, point string) orp.Column {
	t, ok := r.Plant.Signal(k, point)
	if !ok {
		return orp.Column{}
	}
	return r.columnOfTag(t)
}

// columnOfTag is a tag as the engine wants it: what was read in each minute,
// not what lies between. A tag that is read less often than every minute and a
// half is laid over the minutes as everywhere else.
func (r *Result) columnOfTag(t plant.Tag) orp.Column {
	s := r.Series[t.Name]
	if s == nil || s.Len() == 0 {
		return orp.Column{}
	}
	c := orp.Column{Tag: t.Name, OnChange: t.Reading == series.OnChange}
	c.Low, c.High = t.Span()
	c.Mixed = r.mixedUnits(t.Name)
	if t.Reading != series.Continuous || align.Spacing(s) > 90*time.Second {
		c.V, c.Point = r.Minutes(t), make([]bool, r.Grid.N)
		for i := range s.T {
			if k := r.Grid.Index(s.T[i]); k >= 0 && k < r.Grid.N && s.Usable(i) {
				c.Point[k] = true
			}
		}
		return c
	}
	c.V, c.F = unknown(r.Grid.N), make([]series.Flag, r.Grid.N)
	sum, n, at := 0.0, 0, -1
	flush := func() {
		if n > 0 {
			c.V[at] = sum / float64(n)
		}
		sum, n = 0, 0
	}
	for i := range s.T {
		k := r.Grid.Index(s.T[i])
		if k < 0 || k >= r.Grid.N {
			continue
		}
		if k != at {
			flush()
			at = k
		}
		if s.Usable(i) {
			sum += s.V[i]
			n++
			c.F[k] |= s.F[i]
		}
	}
	flush()
	return c
}

// mixedUnits are the stretches of a tag that screening took for another unit, with
// the factor by which they stand off the rest.
func (r *Result) mixedUnits(tag string) []signal.Mixed {
	s := r.Series[tag]
	var out []signal.Mixed
	for _, t := range r.Screen.Tags {
		for _, x := range t.Stretches {
			if t.Tag != tag || x.Defect != screen.Unit && x.Defect != screen.Span {
				continue
			}
			var in, rest []float64
			for i := range s.T {
				switch {
				case s.T[i] >= x.Start && s.T[i] < x.End:
					in = append(in, s.V[i])
				case s.Usable(i):
					rest = append(rest, s.V[i])
				}
			}
			m := signal.Mixed{Span: signal.Between(max(0, r.Grid.Index(x.Start)), min(r.Grid.N, r.Grid.Index(x.End))), Factor: robust.Median(in) / robust.Median(rest)}
			if x.Defect == screen.Span && (m.Len() < 20 || !(m.Factor > 100 || m.Factor < 0.01)) {
				continue // outside the span, but not by a factor between units
			}
			if m.Len() > 0 {
				out = append(out, m)
			}
		}
	}
	return out
}
