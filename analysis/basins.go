package analysis

import (
	"fmt"
	"math"
	"slices"

	"weirbook/analysis/align"
	"weirbook/analysis/contact"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
)

// basins sets every basin up: its flow, its residual, and how its contact time
// is reckoned.
func basins(f *Frame) ([]Basin, error) {
	flows, service, err := basinFlows(f)
	if err != nil {
		return nil, err
	}
	out := make([]Basin, len(f.Plant.Basins))
	for i, pb := range f.Plant.Basins {
		b := Basin{Basin: pb, Flow: flows[i], InService: service[i]}
		b.FlowTag, _ = f.Plant.FlowTag(pb.FlowAt)
		b.pickResidual(f)
		if b.Contact, err = contactBasin(f, pb); err != nil {
			return nil, fmt.Errorf("basin %s: %w", pb.Name, err)
		}
		b.DelayMin = delay(f, &b)
		out[i] = b
	}
	return out, nil
}

// follow goes with the water through every basin, those upstream first.
func follow(f *Frame, bs []Basin) error {
	set := contact.DefaultSettings()
	set.MinCoverage = f.Plant.HourCoverage
	for i := range bs {
		b := &bs[i]
		m := contact.Minutes{FlowMGD: b.Flow, Residual: b.Residual, InService: b.InService}
		var err error
		if b.Track, err = contact.Dynamic(b.Contact, m, set); err != nil {
			return err
		}
		if b.Steady, err = contact.Steady(f.Grid, f.Hours, b.Contact, m, set); err != nil {
			return err
		}
		for _, k := range []struct {
			kind contact.TimeKind
			out  *[]contact.SteadyHour
		}{{contact.T10, &b.SteadyT10}, {contact.Modal, &b.SteadyModal}} {
			other := b.Contact
			var ok bool
			if other.Factor, ok, _ = factorOf(b.Basin, k.kind); !ok {
				continue
			}
			if *k.out, err = contact.Steady(f.Grid, f.Hours, other, m, set); err != nil {
				return err
			}
		}
		b.segments(f)
		b.path(f)
		b.Own = b.Track
	}
	return addSeries(f, bs, set)
}

// segments gives, for each hour, the disinfection segment that the basin is: its
// own T10 and lowest residual, with the coldest and most alkaline water of the
// hour, which is the careful reading of the inactivation tables.
func (b *Basin) segments(f *Frame) {
	var ph, temp []float64
	b.PHTag, ph = f.conditions(quantity.PH, b.Basin)
	b.TempTag, temp = f.conditions(quantity.Temp, b.Basin)
	if ph == nil || temp == nil || b.SteadyT10 == nil {
		return
	}
	b.PHHour, b.TempHour = align.Fold(ph, f.Grid, f.Hours), align.Fold(temp, f.Grid, f.Hours)
	b.Segments = make([][]contact.SegmentCT, len(f.Hours))
	for i, st := range b.SteadyT10 {
		b.Segments[i] = []contact.SegmentCT{{CTMgMinL: st.CTMgMinL, Conditions: contact.Conditions{
			TempC: b.TempHour[i].Min, PH: b.PHHour[i].Max, ChlorineMgL: st.LowestResidual}}}
	}
}

// conditions is the signal of pH or temperature that a basin's water has: at its
// outlet, its inlet or where its flow is measured, else at those of the basins in
// series with it.
func (f *Frame) conditions(k quantity.Kind, b plant.Basin) (plant.Tag, []float64) {
	near := []plant.Basin{b}
	for i := 0; i < len(near); i++ {
		for _, o := range f.Plant.Basins {
			known := false
			for _, n := range near {
				known = known || n.Name == o.Name
			}
			if !known && (slices.Contains(o.After, near[i].Name) || slices.Contains(near[i].After, o.Name)) {
				near = append(near, o)
			}
		}
	}
	for _, n := range near {
		for _, point := range []string{n.Outlet, n.Inlet, n.FlowAt} {
			if t, col := f.signal(k, point); col != nil && point != "" {
				return t, col
			}
		}
	}
	return plant.Tag{}, nil
}

// path adds the exposure along the way where the inlet's residual is measured.
func (b *Basin) path(f *Frame) {
	_, inlet := f.signal(b.ResidualTag.Measures, b.Inlet)
	if b.Inlet == "" || inlet == nil || b.ResidualTag.Name == "" { // no point: every tag would match
		return
	}
	if p, err := contact.PathExposure(b.Track, inlet, b.Residual); err == nil {
		b.Path = p.ExposureMgMinL
	}
}

// basinFlows gives each basin's own flow and service state. Basins with a share
// of the same flow are in parallel: those in service carry it all.
func basinFlows(f *Frame) (flows, service [][]float64, err error) {
	bs := f.Plant.Basins
	flows, service = make([][]float64, len(bs)), make([][]float64, len(bs))
	for i, b := range bs {
		if b.RunTag == "" && len(b.Closed) == 0 {
			continue
		}
		var run []float64
		if t, ok := f.Plant.Tag(b.RunTag); ok {
			run = f.Minutes(t)
		}
		var closed []align.Window
		for _, c := range b.Closed {
			closed = append(closed, align.Window{Start: c.From.UnixMilli(), End: c.To.UnixMilli()})
		}
		service[i] = contact.InService(f.Grid, run, closed)
	}
	for i, b := range bs {
		if flows[i] != nil {
			continue
		}
		_, common := f.flow(b.FlowAt)
		if common == nil {
			common = unknown(f.Grid.N)
		}
		var members []int
		for j, o := range bs {
			if o.FlowAt == b.FlowAt && o.FlowShare < 1 && b.FlowShare < 1 {
				members = append(members, j)
			}
		}
		if len(members) == 0 {
			flows[i] = common
			continue
		}
		shares, states := make([]float64, len(members)), make([][]float64, len(members))
		for k, j := range members {
			shares[k], states[k] = bs[j].FlowShare, service[j]
		}
		split, err := contact.SplitFlow(common, shares, states)
		if err != nil {
			return nil, nil, fmt.Errorf("basin %s: %w", b.Name, err)
		}
		for k, j := range members {
			flows[j] = split[k]
		}
	}
	return flows, service, nil
}

// addSeries adds to each basin's CT that of the basins before it, taken when the
// water left those, and sums the hours up. Where several in parallel lie before
// it, the one with the least counts: its water is in the mixture.
func addSeries(f *Frame, bs []Basin, set contact.Settings) error {
	done := make([]bool, len(bs))
	for range bs {
		for i := range bs {
			b := &bs[i]
			if done[i] {
				continue
			}
			var ups []*Basin
			ready := true
			for j := range bs {
				if slices.Contains(b.After, bs[j].Name) {
					ups = append(ups, &bs[j])
					ready = ready && done[j]
				}
			}
			if !ready {
				continue
			}
			if len(ups) > 0 {
				if err := b.addUpstream(ups); err != nil {
					return err
				}
			}
			var err error
			if b.Dynamic, err = contact.Hourly(f.Grid, f.Hours, b.Track, set); err != nil {
				return err
			}
			done[i] = true
		}
	}
	return nil
}

// addUpstream adds to b what the basins before it, in parallel with each other,
// give the water at the least.
func (b *Basin) addUpstream(ups []*Basin) error {
	tracks := make([]contact.Track, len(ups))
	for i, up := range ups {
		tracks[i] = up.Track
	}
	least, err := contact.LowestTrack(tracks...)
	if err != nil {
		return err
	}
	if b.Track, err = contact.Chain(least, b.Track); err != nil {
		return err
	}
	for _, k := range []struct {
		of  func(*Basin) []contact.SteadyHour
		out *[]contact.SteadyHour
	}{
		{func(u *Basin) []contact.SteadyHour { return u.Steady }, &b.Steady},
		{func(u *Basin) []contact.SteadyHour { return u.SteadyT10 }, &b.SteadyT10},
		{func(u *Basin) []contact.SteadyHour { return u.SteadyModal }, &b.SteadyModal},
	} {
		var before [][]contact.SteadyHour
		for _, up := range ups {
			if h := k.of(up); h != nil {
				before = append(before, h)
			}
		}
		if len(before) < len(ups) || *k.out == nil {
			*k.out = nil // a time that one of the basins does not state is not known for all
			continue
		}
		lowest, err := contact.LowestSteady(before...)
		if err != nil {
			return err
		}
		if *k.out, err = contact.AddSteady(lowest, *k.out); err != nil {
			return err
		}
	}
	for h := range b.Segments {
		first := leastSegments(ups, h)
		if first == nil {
			b.Segments[h] = nil // not all segments are known
			continue
		}
		b.Segments[h] = append(append([]contact.SegmentCT(nil), first...), b.Segments[h]...)
	}
	return nil
}

// leastSegments are the disinfection segments of the basin among parallel ones
// whose CT is the least in hour h, of those through which water left; nil where
// one is not known.
func leastSegments(ups []*Basin, h int) []contact.SegmentCT {
	var out []contact.SegmentCT
	least := math.Inf(1)
	for _, up := range ups {
		if up.SteadyT10 == nil || up.Segments == nil {
			return nil
		}
		st := up.SteadyT10[h]
		switch {
		case st.CTWhy == contact.Idle || st.CTWhy == contact.OutOfService:
		case st.CTWhy != contact.Known:
			return nil
		case st.CTMgMinL < least:
			least, out = st.CTMgMinL, up.Segments[h]
		}
	}
	return out
}

// pickResidual takes the residual that the requirement names, or the other kind
// where the plant measures only that, and says so.
func (b *Basin) pickResidual(f *Frame) {
	want, other := b.Require.Residual, quantity.ChlorineFree
	if want == other {
		other = quantity.ChlorineTotal
	}
	if b.ResidualTag, b.Residual = f.signal(want, b.Outlet); b.Residual != nil {
		return
	}
	if b.ResidualTag, b.Residual = f.signal(other, b.Outlet); b.Residual != nil {
		b.Note = fmt.Sprintf("no tag measures %s at %s, so CT is reckoned with %s (%s)", want, b.Outlet, other, b.ResidualTag.Name)
		return
	}
	b.Residual = unknown(f.Grid.N)
	b.Note = fmt.Sprintf("no tag measures a chlorine residual at %s, so CT is not determined", b.Outlet)
}

// contactBasin turns the plant description of a basin into the one that contact
// time is reckoned with.
func contactBasin(f *Frame, pb plant.Basin) (contact.Basin, error) {
	cb := contact.Basin{Name: pb.Name, VolumeGal: pb.Volume}
	if pb.LevelAt != "" {
		_, level := f.signal(quantity.Level, pb.LevelAt)
		if level == nil {
			level = unknown(f.Grid.N)
		}
		if len(pb.VolumeCurve) > 0 {
			curve := make([]contact.CurvePoint, len(pb.VolumeCurve))
			for i, p := range pb.VolumeCurve {
				curve[i] = contact.CurvePoint{LevelFt: p[0], Gal: p[1]}
			}
			var err error
			if cb.VolumeByMinute, err = contact.VolumeFromCurve(level, curve); err != nil {
				return cb, err
			}
		} else {
			cb.VolumeByMinute = contact.VolumeFromLevel(level, pb.Area)
		}
	}
	kinds := []contact.TimeKind{contact.T10, contact.Modal} // a basin may state its modal time only
	if pb.Require.Time == "modal" {
		kinds = kinds[1:]
	}
	var err error
	for _, k := range kinds {
		var ok bool
		if cb.Factor, ok, err = factorOf(pb, k); ok {
			return cb, cb.Factor.Check()
		}
	}
	if err == nil {
		err = cb.Factor.Check()
	}
	return cb, err
}

// factorOf gives the share of volume / flow that counts as contact time of the
// kind asked for, from what the plant description states; ok is false where it
// states nothing of that kind, or its tracer test does not show it (err).
func factorOf(pb plant.Basin, kind contact.TimeKind) (f contact.Factor, ok bool, err error) {
	switch {
	case kind == contact.Modal && !math.IsNaN(pb.ModalFactor):
		return contact.ModalFactor(pb.ModalFactor), true, nil
	case pb.Tracer != nil:
		r, err := contact.AnalyseTracer(contact.TracerTest{Kind: contact.TracerKind(pb.Tracer.Kind), FlowMGD: pb.Tracer.Flow, VolumeGal: pb.Tracer.Volume,
			Background: pb.Tracer.Background, Applied: pb.Tracer.Applied, Min: pb.Tracer.Minutes, MgL: pb.Tracer.MgL})
		f = r.Factor(kind)
		if err == nil {
			err = f.Check()
		}
		return f, err == nil, err
	case !math.IsNaN(pb.Tanks):
		return contact.TanksFactor(pb.Tanks, kind), true, nil
	case !math.IsNaN(pb.Dispersion):
		return contact.DispersionFactor(pb.Dispersion, kind), true, nil
	case kind == contact.T10 && !math.IsNaN(pb.BafflingFactor):
		return contact.BafflingFactor(pb.BafflingFactor), true, nil
	}
	return contact.Factor{Value: math.NaN(), Kind: kind}, false, nil
}

func unknown(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.NaN()
	}
	return out
}
