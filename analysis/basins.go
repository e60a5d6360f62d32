package analysis

import (
	"fmt"
	"math"

	"weirbook/analysis/contact"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
)

// basins follows the water through every basin.
func basins(f *Frame) ([]Basin, error) {
	set := contact.DefaultSettings()
	set.MinCoverage = f.Plant.HourCoverage
	var out []Basin
	for _, pb := range f.Plant.Basins {
		b := Basin{Basin: pb}
		var flow []float64
		b.FlowTag, flow = f.flow(pb.FlowAt)
		b.Flow = scaled(flow, pb.FlowShare)
		b.pickResidual(f)
		cb, err := contactBasin(f, pb)
		if err != nil {
			return nil, err
		}
		m := contact.Minutes{FlowMGD: b.Flow, Residual: b.Residual, InService: inService(f, pb)}
		if b.Track, err = contact.Dynamic(cb, m, set); err != nil {
			return nil, err
		}
		if b.Dynamic, err = contact.Hourly(f.Grid, f.Hours, b.Track, set); err != nil {
			return nil, err
		}
		if b.Steady, err = contact.Steady(f.Grid, f.Hours, cb, m, set); err != nil {
			return nil, err
		}
		out = append(out, b)
	}
	return out, nil
}

// pickResidual takes the residual that the requirement names, or the other kind
// where the plant measures only that, and says so.
func (b *Basin) pickResidual(f *Frame) {
	want := b.Require.Residual
	var t plant.Tag
	if t, b.Residual = f.signal(want, b.Outlet); b.Residual != nil {
		b.ResidualTag = t
		return
	}
	other := quantity.ChlorineFree
	if want == other {
		other = quantity.ChlorineTotal
	}
	if t, b.Residual = f.signal(other, b.Outlet); b.Residual != nil {
		b.ResidualTag = t
		b.Note = fmt.Sprintf("no tag measures %s at %s, so CT is reckoned with %s (%s)", want, b.Outlet, other, t.Name)
		return
	}
	b.Residual = unknown(f.Grid.N)
	b.Note = fmt.Sprintf("no tag measures a chlorine residual at %s, so CT is not determined", b.Outlet)
}

// contactBasin turns the plant description of a basin into the one that the
// contact time is reckoned with.
func contactBasin(f *Frame, pb plant.Basin) (contact.Basin, error) {
	cb := contact.Basin{Name: pb.Name, VolumeGal: pb.Volume}
	switch {
	case !math.IsNaN(pb.BafflingFactor):
		cb.Factor = contact.BafflingFactor(pb.BafflingFactor)
	case !math.IsNaN(pb.ModalFactor):
		cb.Factor = contact.ModalFactor(pb.ModalFactor)
	}
	return cb, nil
}

// inService gives 1 for minutes in which a basin is in service; nil when it
// always is.
func inService(f *Frame, pb plant.Basin) []float64 {
	if pb.RunTag == "" && len(pb.Closed) == 0 {
		return nil
	}
	on := make([]float64, f.Grid.N)
	var run []float64
	if t, ok := f.Plant.Tag(pb.RunTag); ok {
		run = f.Minutes(t)
	}
	for i := range on {
		on[i] = 1
		if run != nil {
			on[i] = run[i]
		}
	}
	for _, c := range pb.Closed {
		lo, hi := f.Grid.Index(c.From.UnixMilli()), f.Grid.Index(c.To.UnixMilli())
		for i := max(lo, 0); i < min(hi, len(on)); i++ {
			on[i] = 0
		}
	}
	return on
}

func scaled(col []float64, by float64) []float64 {
	if by == 1 || col == nil {
		return col
	}
	out := make([]float64, len(col))
	for i, v := range col {
		out[i] = v * by
	}
	return out
}

func unknown(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.NaN()
	}
	return out
}
