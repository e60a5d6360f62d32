package orp

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/finding"
)

// One test for each fault that the engine once missed or misnamed. Each takes a sound
// month and spoils its columns by hand, by no rule of the engine's.

const day = 1440

// soundMonth is a month without events, with the probes kept; its columns are copies.
func soundMonth(t *testing.T, probes int) Input {
	t.Helper()
	c := named(t, "storm")
	c.Events = nil
	in := monthInput(t, c)
	in.Probes = in.Probes[:probes]
	return in
}

// change passes minutes [from, to) of a column through f.
func change(c *Column, from, to int, f func(v float64) float64) {
	c.V = slices.Clone(c.V)
	for i := from; i < to; i++ {
		c.V[i] = f(c.V[i])
	}
}

func times(k float64) func(float64) float64  { return func(v float64) float64 { return k * v } }
func plus(d float64) func(float64) float64   { return func(v float64) float64 { return v + d } }
func always(x float64) func(float64) float64 { return func(float64) float64 { return x } }

// told lists the findings of Judge that overlap minutes [from, to).
func told(t *testing.T, in Input, from, to int) []finding.Finding {
	t.Helper()
	res, err := Judge(in, DefaultSettings())
	require.NoError(t, err)
	var out []finding.Finding
	for _, f := range res.Findings {
		if f.Start < in.Grid.Milli(to) && f.End > in.Grid.Milli(from) {
			out = append(out, f)
		}
	}
	return out
}

func alarmOf(fs []finding.Finding, p finding.Party, subject string) *finding.Finding {
	for i := range fs {
		if fs[i].AtFault == p && fs[i].Alarm() && (subject == "" || fs[i].Subject == subject) {
			return &fs[i]
		}
	}
	return nil
}

// The month itself is quiet: what the tests below find, they put there.
func TestSoundMonthIsQuiet(t *testing.T) {
	in := soundMonth(t, 2)
	for _, f := range told(t, in, 0, in.Grid.N) {
		require.False(t, f.Alarm(), f.Summary)
	}
}

// A residual at nothing beside an ORP that stays is a lost sample, whatever the feed does.
func TestNothingBesideChlorineIsALostSample(t *testing.T) {
	in := soundMonth(t, 1)
	from := 12*day + 300
	for _, c := range []*Column{&in.Total, &in.Free} {
		if c.Present() {
			change(c, from, from+9*60, always(0))
		}
	}
	fs := told(t, in, from, from+9*60)
	f := alarmOf(fs, finding.ResidualAnalyser, in.Total.Tag)
	require.NotNil(t, f, "%v", fs)
	require.Contains(t, f.Summary, "shows next to nothing", "by what cannot be, not by a verdict that weighs")
	require.Nil(t, alarmOf(fs, finding.Process, "chlorine demand or feed"))
	require.InDelta(t, float64(in.Grid.Milli(from)), float64(f.Start), 3600e3)
	require.InDelta(t, float64(in.Grid.Milli(from+9*60)), float64(f.End), 3600e3)
}

// Where the ORP falls with it, the chlorine is gone.
func TestChlorineThatIsGoneAccusesNoAnalyser(t *testing.T) {
	in := soundMonth(t, 2)
	from := 12*day + 300
	for _, c := range []*Column{&in.Total, &in.Free} {
		if c.Present() {
			change(c, from, from+9*60, times(0.05))
		}
	}
	for p := range in.Probes {
		change(&in.Probes[p].Column, from, from+9*60, plus(-230))
	}
	require.Nil(t, alarmOf(told(t, in, from, from+9*60), finding.ResidualAnalyser, ""))
}

// More chlorine than was fed, which no probe sees, is an analyser that reads high.
func TestMoreThanWasFed(t *testing.T) {
	in := soundMonth(t, 1)
	in.Grabs, in.Free = nil, Column{}
	from := 14 * day
	change(&in.Total, from, from+20*60, times(3))
	require.NotNil(t, alarmOf(told(t, in, from, from+20*60), finding.ResidualAnalyser, in.Total.Tag))
}

// A probe in the control loop that fouls stands at its set point while dose and residual
// climb; with one probe as with two.
func TestFouledProbeInTheLoop(t *testing.T) {
	in := soundMonth(t, 1)
	from, to := 15*day, 18*day
	for _, c := range []*Column{&in.Total, &in.Free} {
		if c.Present() {
			change(c, from, to, times(4.5))
		}
	}
	change(&in.Feed, from, to, times(3.2))
	require.NotNil(t, alarmOf(told(t, in, from, to), finding.ORPProbe, in.Probes[0].Tag))
}

// A gas plant is told to look at cylinders, not to test hypochlorite; sulfur dioxide is no
// bisulfite.
func TestWordsOfAGasPlant(t *testing.T) {
	in := soundMonth(t, 1)
	in.Gas, in.SulfurDioxide = true, true
	from := 12 * day
	change(&in.Feed, from, from+180, always(0))
	change(&in.Bisulfite, 20*day, 20*day+180, always(0))
	for _, c := range []*Column{&in.Total, &in.Free} {
		if c.Present() {
			change(c, from+30, from+210, times(0.1))
		}
	}
	fs := told(t, in, from, 21*day)
	require.NotNil(t, alarmOf(fs, finding.Process, in.Feed.Tag))
	require.NotNil(t, alarmOf(fs, finding.Process, in.Bisulfite.Tag))
	for _, f := range fs {
		all := strings.ToLower(f.Summary + strings.Join(f.CheckNext, " ") + strings.Join(f.Cautions, " "))
		require.NotContains(t, all, "hypochlorite", f.Kind)
		require.NotContains(t, all, "bisulfite", f.Kind)
	}
}

// Flow that comes because another basin is closed is neither a storm nor a meter's fault.
func TestWaterOfAClosedBasin(t *testing.T) {
	in := soundMonth(t, 1)
	in.InfluentFlow = Column{}
	from, to := 10*day+600, 11*day+900
	change(&in.Flow, from, to, times(1.9))
	change(&in.Feed, from, to, times(1.9))
	require.NotEmpty(t, told(t, in, from, to), "without being told, it is something")
	in.Rerouted = make([]bool, in.Grid.N)
	for i := from; i < to+120; i++ {
		in.Rerouted[i] = true
	}
	for _, f := range told(t, in, from, to) {
		require.NotEqual(t, "storm", f.Kind)
		require.NotEqual(t, finding.FlowMeter, f.AtFault, f.Summary)
	}
}

// A probe off by 25 mV beside one that is not, from one minute to the next, is told where
// both wander by a few.
func TestSmallOffsetOfAProbe(t *testing.T) {
	in := soundMonth(t, 2)
	from := 12 * day
	change(&in.Probes[0].Column, from, from+30*60, plus(-25))
	require.NotNil(t, alarmOf(told(t, in, from, from+30*60), finding.ORPProbe, in.Probes[0].Tag))
}

// Standing at the top of its span a residual is at least that much: neither frozen nor
// low against grabs that find more.
func TestTopOfSpanIsAtLeast(t *testing.T) {
	in := soundMonth(t, 1)
	in.Free = Column{}
	from, to := 12*day, 14*day
	top := 0.0
	for _, v := range in.Total.V {
		if v > top {
			top = v
		}
	}
	in.Total.Low, in.Total.High = 0, math.Ceil(top)
	change(&in.Total, from, to, always(in.Total.High))
	change(&in.Feed, from-60, to-60, times(4))
	for i := range in.Grabs {
		if m := in.Grid.Index(in.Grabs[i].At); m >= from && m < to {
			in.Grabs[i].MgL = 2 * in.Total.High
		}
	}
	change(&in.Probes[0].Column, from, to, plus(25))
	require.Nil(t, alarmOf(told(t, in, from, to), finding.ResidualAnalyser, ""))
}

// Every kind has its confidence, which never rises from plain to contested to suspected.
func TestEveryKindHasItsConfidence(t *testing.T) {
	for _, k := range kinds {
		c, ok := confidences[k.name]
		require.True(t, ok, k.name)
		require.True(t, c.plain <= 0.97 && c.plain >= c.contested && c.contested >= c.suspected && c.suspected > 0, k.name)
	}
}
