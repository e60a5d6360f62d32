package orp

import (
	"fmt"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/orp/signal"
	"weirbook/analysis/series"
	"weirbook/analysis/speciation"
)

// Column is one tag on the minute grid. A zero Column is a signal that the plant
// does not have.
type Column = signal.Column

// Place says where along the water a probe stands.
type Place int

// Places.
const (
	Outlet   Place = iota // basin outlet, beside the residual analyser
	MidBasin              // inside the basin, VolumeFraction of the way through
	Final                 // after dechlorination
)

// Probe is one ORP probe.
type Probe struct {
	Column
	Place          Place
	VolumeFraction float64 // MidBasin: share of the basin volume before the probe; 0 means one half
	// Reference is the probe's reference electrode; empty when not stated.
	Reference speciation.Reference
}

// Grab is one DPD sample of the basin outlet.
type Grab struct {
	At   int64 // Unix milliseconds
	MgL  float64
	Free bool // free chlorine; otherwise total
}

// Input is what a judgement is made from. Every column has Grid.N values or is
// absent; any may be absent.
type Input struct {
	Grid align.Grid
	Loc  *time.Location // the plant's clock, for the usual pattern of the day; nil: UTC

	Free, Total  Column // mg/L as Cl2, basin outlet
	PH           Column
	Temp         Column // °C
	Flow         Column // MGD through the basin
	InfluentFlow Column // MGD
	Feed         Column // chlorine fed, lb/d as Cl2
	Ammonia      Column // mg/L N before the chlorine
	Bisulfite    Column // dechlorination feed, any unit
	Final        Column // total residual after dechlorination, mg/L as Cl2

	// Dose in mg/L at the feed point; nil: Feed / (8.34 · Flow).
	Dose []float64
	// Delay in minutes from the feed point to the outlet for the water that
	// leaves in each minute; nil: BasinGal / Flow.
	Delay    []float64
	BasinGal float64 // contact volume, gal; 0 or NaN: unknown

	Probes []Probe
	Grabs  []Grab

	// Gas says that the chlorine is fed as gas, SulfurDioxide that the water is
	// dechlorinated with it: the words of a finding are those of the chemical.
	Gas, SulfurDioxide bool

	// Idle marks the minutes in which there is nothing to judge: the basin is out of
	// service, or disinfection is not in season. Nil: none. Minutes without flow need
	// not be named.
	Idle []bool

	// Rerouted marks the minutes in which this basin carries the water of another that is
	// out of service: its flow changes without a storm and without a fault. Nil: none.
	Rerouted []bool

	// Reference names stretches known to be sound; empty: they are found.
	Reference []series.Stretch

	usualFlow, usualInfluent float64 // MGD while in use
	usualFeed                float64 // lb/d while in use
}

// check reports the first thing that the engine cannot work with.
func (in *Input) check() error {
	if in.Grid.N <= 0 {
		return fmt.Errorf("the time grid is empty")
	}
	for _, c := range in.columns() {
		if c.Present() && len(c.V) != in.Grid.N {
			return fmt.Errorf("tag %s: %d minutes, the grid has %d", c.Tag, len(c.V), in.Grid.N)
		}
		if c.F != nil && len(c.F) != len(c.V) {
			return fmt.Errorf("tag %s: %d flags for %d minutes", c.Tag, len(c.F), len(c.V))
		}
	}
	for _, d := range []struct {
		name string
		v    []float64
	}{{"dose", in.Dose}, {"delay", in.Delay}} {
		if d.v != nil && len(d.v) != in.Grid.N {
			return fmt.Errorf("%s: %d minutes, the grid has %d", d.name, len(d.v), in.Grid.N)
		}
	}
	if in.Idle != nil && len(in.Idle) != in.Grid.N {
		return fmt.Errorf("idle: %d minutes, the grid has %d", len(in.Idle), in.Grid.N)
	}
	if in.Rerouted != nil && len(in.Rerouted) != in.Grid.N {
		return fmt.Errorf("rerouted: %d minutes, the grid has %d", len(in.Rerouted), in.Grid.N)
	}
	seen := map[string]bool{}
	for i := range in.Probes {
		if t := in.Probes[i].Tag; seen[t] {
			return fmt.Errorf("two probes are called %q", t)
		} else {
			seen[t] = true
		}
	}
	return nil
}

// columns lists every column in a fixed order.
func (in *Input) columns() []*Column {
	cs := []*Column{&in.Free, &in.Total, &in.PH, &in.Temp, &in.Flow, &in.InfluentFlow,
		&in.Feed, &in.Ammonia, &in.Bisulfite, &in.Final}
	for i := range in.Probes {
		cs = append(cs, &in.Probes[i].Column)
	}
	return cs
}
