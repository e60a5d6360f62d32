package examples_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/plant"
	"weirbook/examples"
	"weirbook/examples/simulate"
)

func contents(t *testing.T, files []examples.File) map[string]string {
	out := map[string]string{}
	for _, f := range files {
		var b bytes.Buffer
		require.NoError(t, f.Write(&b), f.Name)
		require.NotContains(t, out, f.Name)
		out[f.Name] = b.String()
	}
	return out
}

func TestDemoFiles(t *testing.T) {
	files, err := examples.Demo(examples.DemoSeed)
	require.NoError(t, err)
	got := contents(t, files)
	p, err := plant.Load("plant.toml", strings.NewReader(got["plant/plant.toml"]), "tags.csv", strings.NewReader(got["plant/tags.csv"]))
	require.NoError(t, err)

	// Every tag of the exports is described and every described tag is exported.
	exported := map[string]bool{}
	for _, line := range strings.Split(got["exports/process-2026-03.csv"], "\n")[1:] {
		if f := strings.Split(line, ","); len(f) == 4 {
			exported[f[1]] = true
		}
	}
	for _, line := range strings.Split(got["exports/lab-2026-03.csv"], "\n")[1:] {
		if f := strings.Split(line, ","); len(f) == 5 {
			exported[f[1]] = true
		}
	}
	head, _, _ := strings.Cut(got["exports/analysers-2026-03.csv"], "\n")
	for _, tag := range strings.Split(head, ",")[1:] {
		exported[tag] = true
	}
	for _, tag := range p.Tags {
		require.True(t, exported[tag.Name], "described but not exported: %s", tag.Name)
		delete(exported, tag.Name)
	}
	require.Empty(t, exported, "exported but not described")

	require.True(t, strings.Contains(got["exports/lab-2026-03.csv"], ",<1,MPN/100mL,"), "no E. coli result below 1")
	require.False(t, strings.Contains(got["exports/analysers-2026-03.csv"], "2026-03-08 02:"), "the hour that the clock skipped")
	require.Contains(t, got["truth/truth_hourly.csv"], "2026-03-08T01:00:00-07:00,")
	require.Contains(t, got["truth/truth_hourly.csv"], "2026-03-08T03:00:00-06:00,")

	again, err := examples.Demo(examples.DemoSeed)
	require.NoError(t, err)
	require.Equal(t, got, contents(t, again), "the same seed gives the same bytes")
}

// The plant file states what the generator simulates.
func TestDemoPlantAgreesWithGenerator(t *testing.T) {
	if testing.Short() {
		t.Skip("whole simulated months; the tests without -short have it")
	}
	files, err := examples.Demo(1)
	require.NoError(t, err)
	got := contents(t, files)
	p, err := plant.Load("plant.toml", strings.NewReader(got["plant/plant.toml"]), "tags.csv", strings.NewReader(got["plant/tags.csv"]))
	require.NoError(t, err)
	sim := simulate.DemoPlant()
	b, ok := p.Basin("contact_basin")
	require.True(t, ok)
	require.Equal(t, sim.BasinGal, b.Volume)
	require.Equal(t, sim.Baffling, b.BafflingFactor)
	require.Equal(t, sim.HypoMaxGPH, p.Feeds[0].Capacity)
	require.Equal(t, sim.SulfiteMaxGPH, p.Feeds[1].Capacity)
	m, err := simulate.Run(simulate.DemoConfig(1))
	require.NoError(t, err)
	require.Equal(t, m.TagsCSV(), got["plant/tags.csv"])
}

func TestMonth(t *testing.T) {
	if testing.Short() {
		t.Skip("whole simulated months; the tests without -short have it")
	}
	for _, nm := range simulate.NamedMonths() {
		files, err := examples.Month(nm.Name)
		require.NoError(t, err)
		require.Contains(t, contents(t, files)["truth/truth_events.csv"], string(nm.Config.Events[0].Kind))
	}
	_, err := examples.Month("no such month")
	require.ErrorContains(t, err, "storm")
}

func TestTwoTrains(t *testing.T) {
	if testing.Short() {
		t.Skip("whole simulated months; the tests without -short have it")
	}
	files, err := examples.TwoTrains(31)
	require.NoError(t, err)
	got := contents(t, files)
	p, err := plant.Load("plant.toml", strings.NewReader(got["plant/plant.toml"]), "tags.csv", strings.NewReader(got["plant/tags.csv"]))
	require.NoError(t, err)
	trains, err := simulate.TwoTrains(31)
	require.NoError(t, err)
	require.Equal(t, trains.TagsCSV(), got["plant/tags.csv"])
	for name, m := range map[string]*simulate.Month{"fixed_film_basin": trains.FixedFilm, "membrane_basin": trains.Membrane} {
		b, ok := p.Basin(name)
		require.True(t, ok)
		require.Equal(t, m.Config.Plant.BasinGal, b.Volume)
		require.Equal(t, m.Config.Plant.Baffling, b.BafflingFactor)
	}
	// 03:00 summer time, the first hour after the change: the fixed-film clock
	// still says 02:00, an hour that the plant's own clock does not have.
	require.True(t, strings.Contains(got["exports/fixed-film-2026-03.csv"], "\n2026-03-08 02:00,FF.CCB.FLOW,"))
	require.False(t, strings.Contains(got["exports/membrane-2026-03.csv"], "\n2026-03-08 02:"))
	require.True(t, strings.Contains(got["truth/truth_events.csv"], "2026-03-08T03:00:00-06:00,2026-04-01T00:00:00-06:00,clock-winter,data,fixed-film,"))
	for _, e := range []string{"feed-short,process,FF.HYPO.RATE", "analyser-drift,residual-analyser,MB-AIT-421"} {
		require.True(t, strings.Contains(got["truth/truth_events.csv"], e), e)
	}
	// What leaves the outfall is what leaves both trains.
	flow := 0.0
	for i := range trains.Outfall[0].V {
		flow += trains.Outfall[0].V[i] / (trains.FixedFilm.Truth.FlowMGD[i] + trains.Membrane.Truth.FlowMGD[i])
	}
	require.InDelta(t, 1, flow/float64(len(trains.Outfall[0].V)), 0.05)
}
