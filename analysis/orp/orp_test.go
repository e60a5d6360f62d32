package orp

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/finding"
	"weirbook/analysis/series"
	"weirbook/analysis/speciation"
	"weirbook/examples/simulate"
)

// monthInput hands a simulated month's tags to the engine.
func monthInput(t testing.TB, c simulate.Config) Input {
	m, err := simulate.Run(c)
	require.NoError(t, err)
	in := Input{Grid: align.Grid{Start: m.Start, N: m.N}, Loc: m.Loc, BasinGal: m.Config.Plant.BasinGal}
	col := func(name string) Column {
		g := m.Tag(name)
		if g == nil {
			return Column{}
		}
		return Column{Tag: name, V: g.V, Low: g.Low, High: g.High, OnChange: g.Reading == "on-change"}
	}
	in.InfluentFlow, in.Flow = col(simulate.TagInfluentFlow), col(simulate.TagEffluentFlow)
	in.Total, in.Free = col(simulate.TagTotal), col(simulate.TagFree)
	in.PH, in.Temp = col(simulate.TagPH), col(simulate.TagTemperature)
	in.Ammonia, in.Bisulfite, in.Final = col(simulate.TagAmmonia), col(simulate.TagSulfiteFeed), col(simulate.TagFinal)
	in.Feed = col(simulate.TagHypoFeed)
	for i := range in.Feed.V {
		in.Feed.V[i] *= 24 * 1.0432 // 12.5 trade percent, lb/gal
	}
	for k, name := range []string{simulate.TagORPOutlet, simulate.TagORPMiddle, simulate.TagORPFinal} {
		if c := col(name); c.Present() {
			in.Probes = append(in.Probes, Probe{Column: c, Place: Place(k), Reference: speciation.AgCl3M})
		}
	}
	for _, l := range m.Lab {
		if l.At == simulate.PointOutlet && l.Qualifier == "" {
			in.Grabs = append(in.Grabs, Grab{At: l.Time.UnixMilli(), MgL: l.Value, Free: l.What == "chlorine_free"})
		}
	}
	return in
}

func named(t testing.TB, name string) simulate.Config {
	for _, n := range simulate.NamedMonths() {
		if n.Name == name {
			return n.Config
		}
	}
	t.Fatalf("no month %q", name)
	return simulate.Config{}
}

func covers(f finding.Finding, at time.Time) bool {
	return f.Start <= at.UnixMilli() && at.UnixMilli() < f.End
}

// Each told month has one event; the engine must name its party, in a finding that
// holds the middle of the event, with all that a person needs beside it.
func TestNamedMonths(t *testing.T) {
	for _, c := range []struct {
		name    string
		party   finding.Party
		subject string
	}{
		{"probe-fouling", finding.ORPProbe, simulate.TagORPOutlet},
		{"lost-sample", finding.ResidualAnalyser, simulate.TagTotal},
		{"ammonia-breakthrough", finding.Process, ""},
		{"feed-loss", finding.Process, simulate.TagHypoFeed},
		{"storm", finding.Process, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			cfg := named(t, c.name)
			in := monthInput(t, cfg)
			res, err := Judge(in, DefaultSettings())
			require.NoError(t, err)
			ev := cfg.Events[0]
			middle := ev.Start.Add(ev.End.Sub(ev.Start) * 2 / 3)
			found := false
			for _, f := range res.Findings {
				require.NotEmpty(t, f.Summary)
				require.NotEmpty(t, f.Evidence)
				require.NotEmpty(t, f.CheckNext)
				require.NotEmpty(t, f.Cautions)
				require.NotEmpty(t, f.Votes)
				require.Greater(t, f.Confidence, 0.0)
				require.Less(t, f.Confidence, 1.0)
				require.Less(t, f.Start, f.End)
				if covers(f, middle) && f.AtFault == c.party && (c.subject == "" || f.Subject == c.subject) {
					found = true
					t.Log(f.Summary)
				}
			}
			require.True(t, found, "no finding names %s", c.party)
			require.Len(t, res.Alarms, len(res.Findings))
			require.Len(t, res.Models, len(in.Probes))
		})
	}
}

// Whatever a plant lacks, the engine says what it can and does not fall over.
func TestEachColumnMayBeMissing(t *testing.T) {
	cfg := named(t, "lost-sample")
	cfg.Days = 20
	whole := monthInput(t, cfg)
	strip := []func(in *Input){
		func(in *Input) { in.Free = Column{} },
		func(in *Input) { in.Total = Column{} },
		func(in *Input) { in.Free, in.Total = Column{}, Column{} },
		func(in *Input) { in.PH, in.Temp = Column{}, Column{} },
		func(in *Input) { in.Flow = Column{} },
		func(in *Input) { in.InfluentFlow = Column{} },
		func(in *Input) { in.Feed = Column{} },
		func(in *Input) { in.Ammonia, in.Bisulfite, in.Final = Column{}, Column{}, Column{} },
		func(in *Input) { in.BasinGal = 0 },
		func(in *Input) { in.Probes = nil },
		func(in *Input) { in.Probes = in.Probes[:1] },
		func(in *Input) { in.Grabs = nil },
		func(in *Input) { *in = Input{Grid: in.Grid} },
		func(in *Input) { *in = Input{Grid: in.Grid, Probes: in.Probes} },
	}
	for i, f := range strip {
		in := whole
		in.Probes = append([]Probe(nil), whole.Probes...)
		f(&in)
		res, err := Judge(in, DefaultSettings())
		require.NoError(t, err, "case %d", i)
		require.Len(t, res.Models, len(in.Probes), "case %d", i)
	}
}

// Columns without a number, constant columns and short records.
func TestEmptyAndConstantColumns(t *testing.T) {
	for _, n := range []int{1, 7, 1439, 1440, 5 * 1440} {
		for _, v := range []float64{math.NaN(), 0, 650, math.Inf(1)} {
			col := func(tag string) Column {
				c := Column{Tag: tag, V: make([]float64, n)}
				for i := range c.V {
					c.V[i] = v
				}
				return c
			}
			in := Input{Grid: align.Grid{Start: 1_780_000_000 / 60 * 60, N: n}, BasinGal: 1e5,
				Free: col("f"), Total: col("t"), PH: col("p"), Temp: col("T"), Flow: col("q"), InfluentFlow: col("i"),
				Feed: col("d"), Ammonia: col("n"), Bisulfite: col("b"), Final: col("e"),
				Probes: []Probe{{Column: col("o1")}, {Column: col("o2"), Place: MidBasin}, {Column: col("o3"), Place: Final}},
				Grabs:  []Grab{{At: 1_780_000_000_000, MgL: 2}, {At: 0, MgL: math.NaN()}}}
			_, err := Judge(in, DefaultSettings())
			require.NoError(t, err)
		}
	}
}

func TestInputIsChecked(t *testing.T) {
	_, err := Judge(Input{}, DefaultSettings())
	require.ErrorContains(t, err, "grid is empty")
	g := align.Grid{N: 10}
	_, err = Judge(Input{Grid: g, Free: Column{Tag: "AIT-1", V: make([]float64, 9)}}, DefaultSettings())
	require.ErrorContains(t, err, "AIT-1: 9 minutes")
	_, err = Judge(Input{Grid: g, Free: Column{Tag: "AIT-1", V: make([]float64, 10), F: make([]series.Flag, 3)}}, DefaultSettings())
	require.ErrorContains(t, err, "3 flags")
	p := Probe{Column: Column{Tag: "AIT-9", V: make([]float64, 10)}}
	_, err = Judge(Input{Grid: g, Probes: []Probe{p, p}}, DefaultSettings())
	require.ErrorContains(t, err, "AIT-9")
}

// The same input gives the same result, and leaves the input alone.
func TestDeterministic(t *testing.T) {
	cfg := named(t, "probe-fouling")
	in := monthInput(t, cfg)
	before := append([]float64(nil), in.Probes[0].V...)
	a, err := Judge(in, DefaultSettings())
	require.NoError(t, err)
	b, err := Judge(in, DefaultSettings())
	require.NoError(t, err)
	require.Equal(t, a.Findings, b.Findings)
	require.Equal(t, a.Doubts, b.Doubts)
	require.Equal(t, a.Alarms, b.Alarms)
	for i, v := range before {
		if !math.IsNaN(v) {
			require.Equal(t, v, in.Probes[0].V[i])
		}
	}
}

// The band holds sound readings and the slope has the right sign and size.
func TestBandHoldsSoundReadings(t *testing.T) {
	cfg := named(t, "feed-loss")
	cfg.Events = nil
	res, err := Judge(monthInput(t, cfg), DefaultSettings())
	require.NoError(t, err)
	in := monthInput(t, cfg)
	for p := 0; p < 2; p++ {
		m := res.Models[p]
		require.Greater(t, m.Slope, 20.0)
		require.Less(t, m.Slope, 150.0)
		n, inside := 0, 0
		for i := range m.Expected {
			if v := in.Probes[p].V[i]; !math.IsNaN(v) && !math.IsNaN(m.Lo[i]) {
				n++
				if v >= m.Lo[i] && v <= m.Hi[i] {
					inside++
				}
			}
		}
		require.Greater(t, n, 30_000)
		require.Greater(t, float64(inside)/float64(n), 0.95)
	}
}

func BenchmarkJudgeMonthTwoProbes(b *testing.B) {
	in := monthInput(b, named(b, "probe-fouling"))
	b.ResetTimer()
	for range b.N {
		if _, err := Judge(in, DefaultSettings()); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkJudgeYearTwoProbes(b *testing.B) {
	c := named(b, "probe-fouling")
	c.Days = 365
	in := monthInput(b, c)
	b.ResetTimer()
	for range b.N {
		if _, err := Judge(in, DefaultSettings()); err != nil {
			b.Fatal(err)
		}
	}
}
