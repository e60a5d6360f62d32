package upset_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/finding"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
	"weirbook/analysis/upset"
)

const minute = int64(60_000)

var nan = math.NaN()

func constant(n int, v float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v
	}
	return out
}

// set puts v into [lo, hi) of col.
func set(col []float64, lo, hi int, v float64) {
	for i := lo; i < hi; i++ {
		col[i] = v
	}
}

// judgedCT is an input with nothing but a CT of 60, 30 required, 4 MGD.
func judgedCT(n int) (upset.Input, []float64) {
	ct := constant(n, 60)
	return upset.Input{Grid: align.Grid{Start: 1_772_500_020, N: n}, Loc: time.UTC, Plant: "Reed Hollow",
		Outfall: upset.Outfall{DetectMgL: nan},
		Judged: []upset.Judged{{What: upset.CTShort, Title: "CT in the basin", Unit: "mg·min/L", V: ct, Limit: []float64{30}, Flow: constant(n, 4),
			RestsOn: []string{"AIT-1", "FIT-1"}}}}, ct
}

func find(t *testing.T, in upset.Input) []upset.Episode {
	t.Helper()
	es, err := upset.Find(in, upset.DefaultSettings())
	require.NoError(t, err)
	return es
}

func TestAnEpisodeIsMeasured(t *testing.T) {
	in, ct := judgedCT(1000)
	set(ct, 300, 390, 20)
	set(ct, 350, 360, 5)
	es := find(t, in)
	require.Len(t, es, 1)
	e := es[0]
	require.Equal(t, in.Grid.Milli(300), e.Start)
	require.Equal(t, in.Grid.Milli(390), e.End)
	b := e.Main()
	require.Equal(t, 90, b.Minutes)
	is(t, 5, b.Worst, 0)
	require.Equal(t, in.Grid.Milli(350), b.WorstAt)
	is(t, (80*20+10*5)/90.0, b.Mean, 1e-9)
	is(t, 4*90/1440.0, b.MG, 1e-9)
	is(t, 4*90/1440.0, e.MG, 1e-9)
	require.Zero(t, b.Trust.Doubtful)
}

func TestHysteresisAndMerging(t *testing.T) {
	// Nine minutes are none.
	in, ct := judgedCT(2000)
	set(ct, 300, 309, 20)
	require.Empty(t, find(t, in))
	// Ten are, and a value just inside does not end it: 31 is not 5 % better than 30.
	set(ct, 300, 310, 20)
	set(ct, 310, 400, 31)
	set(ct, 400, 420, 29)
	es := find(t, in)
	require.Len(t, es, 1)
	require.Equal(t, in.Grid.Milli(420), es[0].End)
	require.Equal(t, 30, es[0].Main().Minutes, "minutes inside are not counted")
	// Well inside for an hour: two breaches, one episode; for three hours: two.
	set(ct, 310, 420, 60)
	set(ct, 370, 390, 20)
	es = find(t, in)
	require.Len(t, es, 1)
	require.Len(t, es[0].Breaches, 2)
	set(ct, 370, 390, 60)
	set(ct, 500, 520, 20)
	require.Len(t, find(t, in), 2)
	// Exactly at the requirement is met.
	set(ct, 0, 2000, 30)
	require.Empty(t, find(t, in))
}

func TestBasinAndOutfallAreToldApart(t *testing.T) {
	in, ct := judgedCT(1000)
	final := constant(1000, 0)
	in.Judged = append(in.Judged, upset.Judged{What: upset.FinalHigh, Title: "residual at the outfall", Unit: "mg/L", V: final, Limit: []float64{0.1}})
	set(final, 100, 200, 0.5)
	set(ct, 210, 240, 10)
	require.Len(t, find(t, in), 2, "one after the other")
	set(ct, 190, 240, 10)
	require.Len(t, find(t, in), 1, "overlapping")
	// A long one at the outfall that both short ones in the basin overlap joins them.
	set(ct, 190, 300, 60)
	set(ct, 110, 125, 10)
	set(ct, 180, 195, 10)
	es := find(t, in)
	require.Len(t, es, 1)
	require.Len(t, es[0].Breaches, 3)
}

func TestGapsAreNeitherShortNorMet(t *testing.T) {
	in, ct := judgedCT(2000)
	set(ct, 300, 400, 20)
	set(ct, 320, 380, nan)
	es := find(t, in)
	require.Len(t, es, 1)
	require.Equal(t, 40, es[0].Main().Minutes)
	require.Equal(t, 60, es[0].Main().Unknown)
	// A gap longer than the merge gap ends it where it was last known.
	set(ct, 320, 700, nan)
	set(ct, 700, 720, 20)
	es = find(t, in)
	require.Len(t, es, 2)
	require.Equal(t, in.Grid.Milli(320), es[0].End)
	// All unknown is no episode.
	set(ct, 0, 2000, nan)
	require.Empty(t, find(t, in))
}

func TestDoubtfulInstrumentsAreNamed(t *testing.T) {
	in, ct := judgedCT(1000)
	set(ct, 300, 400, 20)
	in.Doubts = []upset.Doubt{
		{Stretch: series.Stretch{Start: in.Grid.Milli(250), End: in.Grid.Milli(380)}, Tag: "AIT-1", Party: finding.ResidualAnalyser, Kind: "residual-offset", Confidence: 0.9},
		{Stretch: series.Stretch{Start: in.Grid.Milli(300), End: in.Grid.Milli(360)}, Tag: "FIT-1", Party: finding.FlowMeter, Kind: "flow-step", Confidence: 0.6},
		{Stretch: series.Stretch{Start: in.Grid.Milli(300), End: in.Grid.Milli(400)}, Tag: "AIT-9", Party: finding.ORPProbe, Kind: "orp-offset", Confidence: 0.9},
		{Stretch: series.Stretch{Start: in.Grid.Milli(300), End: in.Grid.Milli(400)}, Tag: "AIT-1", Party: finding.Process, Kind: "ammonia", Confidence: 0.9},
	}
	e := find(t, in)[0]
	is(t, 0.8, e.Main().Trust.Doubtful, 1e-9)
	require.Equal(t, []string{"AIT-1", "FIT-1"}, e.Main().Trust.Tags)
	require.Contains(t, e.Main().Trust.Says, "AIT-1 (residual offset, 90 % sure)")
	require.Equal(t, []string{"AIT-1", "FIT-1"}, e.DoubtfulCT())

	// A breach with trusted instruments goes before one without.
	final := constant(1000, 0)
	set(final, 310, 330, 0.5)
	in.Judged = append(in.Judged, upset.Judged{What: upset.FinalHigh, Title: "residual at the outfall", Unit: "mg/L", V: final,
		Limit: []float64{0.1}, Flow: constant(1000, 4), RestsOn: []string{"AIT-5"}})
	e = find(t, in)[0]
	require.Equal(t, upset.FinalHigh, e.Main().What)
	is(t, 4*20/1440.0, e.MG, 1e-9)

	// Bacteria above their limit confirm it.
	in.Samples = []upset.Sample{{At: in.Grid.Milli(370), Value: 900, Limit: 410, Unit: "MPN/100 mL"}}
	e = find(t, in)[0]
	require.True(t, e.Confirmed())
	require.Empty(t, e.DoubtfulCT())
}

func TestSamplesAgainstTheirLimit(t *testing.T) {
	in, _ := judgedCT(1000)
	at := in.Grid.Milli(500)
	for _, c := range []struct {
		s    upset.Sample
		want int
	}{
		{upset.Sample{At: at, Value: 411, Limit: 410}, 1},
		{upset.Sample{At: at, Value: 410, Limit: 410}, 0},
		{upset.Sample{At: at, Value: 410, Limit: 410, Qualifier: ">"}, 1},
		{upset.Sample{At: at, Value: 500, Limit: 410, Qualifier: "<"}, 0},
		{upset.Sample{At: at, Value: 5000, Limit: nan}, 0},
	} {
		in.Samples = []upset.Sample{c.s}
		require.Len(t, find(t, in), c.want, "%+v", c.s)
	}
}

func TestBadInputIsRefused(t *testing.T) {
	in, _ := judgedCT(100)
	in.Judged[0].Limit = []float64{1, 2}
	_, err := upset.Find(in, upset.DefaultSettings())
	require.ErrorContains(t, err, "limit of CT in the basin has 2 values")
	in, _ = judgedCT(100)
	in.Columns = []upset.Column{{Title: "pH", Kind: quantity.PH, V: make([]float64, 3)}}
	_, err = upset.Find(in, upset.DefaultSettings())
	require.ErrorContains(t, err, "pH has 3 minutes")
	in.Columns, in.Loc = nil, nil
	_, err = upset.Find(in, upset.DefaultSettings())
	require.ErrorContains(t, err, "time zone")
	in, _ = judgedCT(100)
	_, err = upset.Explain(in, upset.Episode{Stretch: series.Stretch{Start: 5, End: 5}}, nil, upset.DefaultSettings())
	require.Error(t, err)
	_, err = upset.Explain(in, upset.Episode{Stretch: series.Stretch{Start: 5, End: 10}}, nil, upset.DefaultSettings())
	require.ErrorContains(t, err, "outside the record")
}

func TestAGivenStretchWithoutBreach(t *testing.T) {
	in, _ := judgedCT(3000)
	over := series.Stretch{Start: in.Grid.Milli(1000), End: in.Grid.Milli(1500)}
	e, err := upset.Given(in, upset.DefaultSettings(), over)
	require.NoError(t, err)
	require.Equal(t, over, e.Stretch)
	x, err := upset.Explain(in, e, nil, upset.DefaultSettings())
	require.NoError(t, err)
	require.Contains(t, upset.Headline(&in, &x)[0], "nothing was outside")
	require.Contains(t, upset.Narrative(in, x), "nothing was outside")
}

func TestReceivingWater(t *testing.T) {
	in, ct := judgedCT(10 * 1440)
	set(ct, 8000, 8120, 10)
	final := constant(in.Grid.N, 0.01)
	set(final, 8000, 8060, 0.2) // one hour
	in.Outfall = upset.Outfall{Final: final, Flow: constant(in.Grid.N, 6), DetectMgL: nan, RestsOn: []string{"AIT-5"}}
	x, err := upset.Explain(in, find(t, in)[0], nil, upset.DefaultSettings())
	require.NoError(t, err)
	r := x.Receiving
	require.True(t, r.Measured)
	is(t, 1, r.Hours, 1e-9)
	is(t, 8.34*6*0.2/24, r.Pounds, 1e-9)
	is(t, 8.34*6*(0.2+0.01)/24, r.PoundsAll, 1e-9)
	is(t, 6*2/24.0, r.MG, 1e-9)
	is(t, 0.2, r.Hour.MgL, 1e-9)
	is(t, 0.2/0.019, r.Hour.Times, 1e-9)
	is(t, (60*0.2+5700*0.01)/5760, r.FourDay.MgL, 1e-9)
	// A record shorter than four days has no four-day average.
	short, ct := judgedCT(2000)
	set(ct, 800, 900, 10)
	short.Outfall = upset.Outfall{Final: constant(2000, 0.2), Flow: constant(2000, 6), DetectMgL: nan}
	x, err = upset.Explain(short, find(t, short)[0], nil, upset.DefaultSettings())
	require.NoError(t, err)
	require.True(t, math.IsNaN(x.Receiving.FourDay.MgL))
	is(t, 0.2, x.Receiving.Hour.MgL, 1e-9)
}
