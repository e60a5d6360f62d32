package screen_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/quantity"
	"weirbook/analysis/screen"
	"weirbook/analysis/series"
)

const (
	minute = int64(60_000)
	day    = 1440
)

// signal makes n one-minute readings with a daily wave and noise, rounded to a
// resolution as instruments round.
func signal(seed uint64, n int, level, wave, noise, resolution float64) *series.Series {
	r := rand.New(rand.NewPCG(seed, 99))
	s := &series.Series{Tag: "TAG-" + string(rune('A'+seed%26))}
	for i := range n {
		v := level + wave*math.Sin(2*math.Pi*float64(i%day)/day) + noise*r.NormFloat64()
		if resolution > 0 {
			v = math.Round(v/resolution) * resolution
		}
		s.Append(int64(i)*minute, v, 0)
	}
	return s
}

func tag(s *series.Series, k quantity.Kind, unit string) screen.Tagged {
	u := quantity.MustUnit(unit)
	work, err := quantity.Accept(k, u)
	if err != nil {
		panic(err)
	}
	for i := range s.V {
		s.V[i], _ = quantity.Convert(s.V[i], u, work)
	}
	return screen.Tagged{Series: s, Kind: k, Reading: series.Continuous, Declared: u, Low: math.NaN(), High: math.NaN(), Typical: math.NaN(), Line: 7}
}

// run screens and applies one tag, and gives its messages of one defect.
func run(t *testing.T, tg screen.Tagged, d screen.Defect) []screen.Message {
	t.Helper()
	before := append([]float64(nil), tg.Series.V...)
	rep := screen.Screen([]screen.Tagged{tg}, screen.DefaultSettings())
	for _, f := range tg.Series.F {
		require.Zero(t, f&(series.Frozen|series.Spike|series.OutsideSpan|series.UnitDoubt), "Screen itself changes nothing")
	}
	require.NoError(t, rep.Apply([]screen.Tagged{tg}))
	for i := range before {
		require.Equal(t, math.Float64bits(before[i]), math.Float64bits(tg.Series.V[i]), "values are never changed")
	}
	var out []screen.Message
	for _, m := range rep.Messages {
		require.NotEmpty(t, m.Next)
		if m.Defect == d {
			out = append(out, m)
		}
	}
	n := 0
	for i := range tg.Series.V {
		if tg.Series.Usable(i) {
			n++
		}
	}
	require.Equal(t, n, rep.Tags[0].Usable)
	return out
}

func flagged(s *series.Series, f series.Flag) (n int) {
	for _, x := range s.F {
		if x&f != 0 {
			n++
		}
	}
	return n
}

func TestCleanTagsStayClean(t *testing.T) {
	for name, tg := range map[string]screen.Tagged{
		"orp":       tag(signal(1, 14*day, 620, 25, 4, 1), quantity.ORP, "mV"),
		"residual":  tag(signal(2, 14*day, 2.1, 0.4, 0.03, 0.01), quantity.ChlorineTotal, "mg/L"),
		"flow":      tag(signal(3, 14*day, 5, 2, 0.05, 0.01), quantity.Flow, "MGD"),
		"ph":        tag(signal(4, 14*day, 7.1, 0.1, 0.02, 0.01), quantity.PH, "pH"),
		"temp":      tag(signal(5, 14*day, 18, 0.5, 0.02, 0.1), quantity.Temp, "°C"),
		"degF":      tag(signal(6, 14*day, 64, 1, 0.05, 0.1), quantity.Temp, "°F"),
		"gpm":       tag(signal(7, 14*day, 3400, 900, 20, 1), quantity.Flow, "gpm"),
		"ppb":       tag(signal(8, 14*day, 40, 10, 3, 1), quantity.ChlorineTotal, "µg/L"),
		"coarse":    tag(signal(9, 14*day, 2.1, 0.2, 0.005, 0.1), quantity.ChlorineTotal, "mg/L"),
		"turbidity": tag(signal(10, 14*day, 3, 0.5, 0.1, 0.1), quantity.TurbidityK, "NTU"),
	} {
		t.Run(name, func(t *testing.T) {
			rep := screen.Screen([]screen.Tagged{tg}, screen.DefaultSettings())
			require.Empty(t, rep.Messages)
		})
	}
}

func TestLegitimateRestIsNotFrozen(t *testing.T) {
	zero := signal(1, 14*day, 0.004, 0, 0.004, 0.01) // after dechlorination
	for i := 3 * day; i < 5*day; i++ {
		zero.V[i] = 0
	}
	feed := signal(2, 14*day, 30, 10, 0.5, 0.1)
	for i := 4 * day; i < 6*day; i++ {
		feed.V[i] = 0
	}
	for i := 8 * day; i < 9*day; i++ {
		feed.V[i] = 25 // set by hand
	}
	idle := signal(3, 14*day, 4, 1, 0.05, 0.01)
	for d := range 14 { // the plant discharges in batches
		for i := d * day; i < d*day+400; i++ {
			idle.V[i] = 0
		}
	}
	state := signal(4, 14*day, 1, 0, 0, 1)
	run1 := tag(state, quantity.RunStatus, "on/off")
	run1.Reading = series.State
	// A slow temperature, written with one decimal, rests for an hour and more
	// all the time.
	slow := signal(5, 14*day, 18, 1.5, 0.004, 0.1)
	for name, tg := range map[string]screen.Tagged{
		"residual at zero": tag(zero, quantity.ChlorineTotal, "mg/L"),
		"feed off":         tag(feed, quantity.HypochloriteFeed, "gal/h"),
		"batch flow":       tag(idle, quantity.Flow, "MGD"),
		"state":            run1,
		"temperature":      tag(slow, quantity.Temp, "°C"),
	} {
		t.Run(name, func(t *testing.T) {
			require.Empty(t, run(t, tg, screen.FrozenAt))
		})
	}
}

func TestFrozenIsFound(t *testing.T) {
	for name, f := range map[string]func(s *series.Series, i int){
		"dead still": func(s *series.Series, i int) { s.V[i] = 633 },
		"dithering":  func(s *series.Series, i int) { s.V[i] = 633 + 0.4*math.Sin(float64(i)) },
	} {
		t.Run(name, func(t *testing.T) {
			s := signal(1, 14*day, 620, 25, 4, 0)
			a, b := 6*day+300, 6*day+300+360
			for i := a; i < b; i++ {
				f(s, i)
			}
			ms := run(t, tag(s, quantity.ORP, "mV"), screen.FrozenAt)
			require.Len(t, ms, 1)
			require.InDelta(t, float64(a), float64(ms[0].Start/minute), 25)
			require.InDelta(t, float64(b), float64(ms[0].End/minute), 25)
			require.Contains(t, ms[0].Text, "633")
			n := flagged(s, series.Frozen)
			require.InDelta(t, 360, n, 40)
		})
	}
}

func TestSilentOnChangeTagIsFrozen(t *testing.T) {
	full := signal(3, 14*day, 2, 0.5, 0.05, 0.01)
	s := &series.Series{Tag: "CL2"}
	last := math.NaN()
	for i := range full.T {
		quiet := i > 7*day && i < 7*day+200
		if math.Abs(full.V[i]-last) < 0.05 || quiet {
			continue
		}
		last = full.V[i]
		s.Append(full.T[i], last, 0)
	}
	tg := tag(s, quantity.ChlorineTotal, "mg/L")
	tg.Reading = series.OnChange
	ms := run(t, tg, screen.FrozenAt)
	require.Len(t, ms, 1)
	require.InDelta(t, 7*day, float64(ms[0].Start/minute), 10)
	require.Contains(t, ms[0].Text, "usually changes about")
}

func TestTagsFrozenTogetherAreTheDataLink(t *testing.T) {
	var tags []screen.Tagged
	for k := range uint64(4) {
		s := signal(k, 14*day, 600, 30, 3, 0.1)
		if k < 3 {
			for i := 2 * day; i < 2*day+90; i++ {
				s.V[i] = s.V[2*day]
			}
		}
		tags = append(tags, tag(s, quantity.ORP, "mV"))
	}
	rep := screen.Screen(tags, screen.DefaultSettings())
	require.Len(t, rep.Messages, 1)
	require.Equal(t, screen.DataLink, rep.Messages[0].Defect)
	require.Contains(t, rep.Messages[0].Text, "3 tags stood still together")
	require.NoError(t, rep.Apply(tags))
	require.Greater(t, flagged(tags[0].Series, series.Frozen), 80, "they are still marked one by one")
}

func TestSpikes(t *testing.T) {
	s := signal(5, 7*day, 2, 0.5, 0.03, 0.01)
	s.V[3000], s.V[5000], s.V[5001], s.V[7000] = 9.5, 0.1, 0.12, -1
	for i := 8000; i < 8010; i++ {
		s.V[i] = 4.5 // ten minutes are an event
	}
	for i := 9000; i < len(s.V); i++ {
		s.V[i] += 1 // a step stays
	}
	tg := tag(s, quantity.ChlorineTotal, "mg/L")
	ms := run(t, tg, screen.SpikeAt)
	require.Len(t, ms, 1)
	require.Equal(t, 3, ms[0].Readings)
	require.Contains(t, ms[0].Text, "9.5")
	for _, i := range []int{3000, 5000, 5001} {
		require.NotZero(t, s.F[i]&series.Spike, i)
	}
	require.NotZero(t, s.F[7000]&series.OutsideSpan)
	require.Zero(t, s.F[8000]&series.Spike)
	require.Zero(t, s.F[9000]&series.Spike)
}

func TestPumpsThatStartEveryHourAreNotSpikes(t *testing.T) {
	s := signal(6, 7*day, 0.01, 0, 0.002, 0.001)
	for i := 0; i < len(s.V); i += 37 {
		s.V[i] = 3 // a minute's run of a lift pump
	}
	ms := run(t, tag(s, quantity.Flow, "MGD"), screen.SpikeAt)
	require.Len(t, ms, 1)
	require.Contains(t, ms[0].Text, "none is left out")
	require.Zero(t, flagged(s, series.Spike))
}

func TestOutsideSpanAndGaps(t *testing.T) {
	s := signal(7, 7*day, 620, 30, 4, 1)
	for i := 100; i < 130; i++ {
		s.V[i] = 1200
	}
	s.T, s.V, s.F = append(s.T[:2000], s.T[2300:]...), append(s.V[:2000], s.V[2300:]...), append(s.F[:2000], s.F[2300:]...)
	tg := tag(s, quantity.ORP, "mV")
	tg.Low, tg.High = 0, 1000
	ms := run(t, tg, screen.Span)
	require.Len(t, ms, 1)
	require.Equal(t, 30, ms[0].Readings)
	require.Contains(t, ms[0].Text, "0 to 1000 mV")
	require.Contains(t, ms[0].Next, "tags.csv line 7")
	clear(s.F)
	gaps := run(t, tg, screen.Gap)
	require.Len(t, gaps, 1)
	require.Contains(t, gaps[0].Text, "1 gap of 5.0 h")
}

func TestReportNamesWhatTheReaderFlagged(t *testing.T) {
	s := signal(8, 7*day, 620, 30, 4, 1)
	for i := 10; i < 20; i++ {
		s.V[i], s.F[i] = -9999, series.SuspectFill
	}
	s.F[50] = series.Late
	s.F[60] = series.Bad
	require.Len(t, run(t, tag(s, quantity.ORP, "mV"), screen.Fill), 1)
	require.Len(t, run(t, tag(s, quantity.ORP, "mV"), screen.Order), 1)
	require.Len(t, run(t, tag(s, quantity.ORP, "mV"), screen.Quality), 1)
	require.Empty(t, run(t, tag(s, quantity.ORP, "mV"), screen.Span))
}

func TestTheSameMessagesWhateverTheWorkers(t *testing.T) {
	make := func() []screen.Tagged {
		var tags []screen.Tagged
		for k := range uint64(6) {
			s := signal(k, 3*day, 600, 30, 3, 1)
			s.V[100+int(k)] = 5000
			tags = append(tags, tag(s, quantity.ORP, "mV"))
		}
		return tags
	}
	want := screen.Screen(make(), screen.DefaultSettings()).Messages
	require.NotEmpty(t, want)
	for range 10 {
		require.Equal(t, want, screen.Screen(make(), screen.DefaultSettings()).Messages)
	}
}

func TestSettingsFromThePlantFile(t *testing.T) {
	set, err := screen.DefaultSettings().With(map[string]float64{"frozen_minutes": 90, "spike_sigma": 6})
	require.NoError(t, err)
	require.Equal(t, 90.0, set.FrozenFor.Minutes())
	require.Equal(t, 6.0, set.SpikeSigma)
	_, err = set.With(map[string]float64{"frozen_hours": 1})
	require.ErrorContains(t, err, "frozen_minutes")
	_, err = set.With(map[string]float64{"link_tags": math.NaN()})
	require.ErrorContains(t, err, "the usual is 3")
	_, err = set.With(map[string]float64{"spike_readings": 1e9})
	require.ErrorContains(t, err, "screen setting spike_readings = 1e+09 is outside 0.002 to 2000; the usual is 2")
}

func TestEmptyTagsDoNotHurt(t *testing.T) {
	for _, r := range []series.Reading{series.Continuous, series.OnChange, series.Grab, series.Composite, series.State, series.Counter} {
		for n := range 4 {
			s := signal(1, n, 600, 1, 1, 1)
			tg := tag(s, quantity.ORP, "mV")
			tg.Reading = r
			for i := range s.V {
				if i%2 == 1 {
					s.V[i] = math.NaN()
				}
			}
			rep := screen.Screen([]screen.Tagged{tg}, screen.DefaultSettings())
			for _, m := range rep.Messages {
				require.NotContains(t, strings.ToLower(m.Text), "nan")
			}
		}
	}
}

// Tags of few steps have still hours by the dozen; none of them is a fault.
func TestCoarseTagsRestByNature(t *testing.T) {
	for name, tg := range map[string]screen.Tagged{
		"orp to 1 mV":          tag(signal(11, 31*day, 751, 3, 0.3, 1), quantity.ORP, "mV"),
		"ph to 0.01":           tag(signal(12, 31*day, 8.4, 0.03, 0.003, 0.01), quantity.PH, "pH"),
		"temperature to 0.1":   tag(signal(13, 31*day, 9, 0.6, 0.004, 0.1), quantity.Temp, "°C"),
		"residual to 0.1 mg/L": tag(signal(14, 31*day, 1.9, 0.3, 0.02, 0.1), quantity.ChlorineTotal, "mg/L"),
	} {
		t.Run(name, func(t *testing.T) { require.Empty(t, run(t, tg, screen.FrozenAt)) })
	}
}

func TestManyFrozenStretchesAreOneMessage(t *testing.T) {
	s := signal(15, 31*day, 620, 25, 4, 0.1)
	for d := 2; d < 20; d += 3 {
		for i := d * day; i < d*day+120; i++ {
			s.V[i] = s.V[d*day]
		}
	}
	ms := run(t, tag(s, quantity.ORP, "mV"), screen.FrozenAt)
	require.Len(t, ms, 1)
	require.Contains(t, ms[0].Text, "stood still 6 times")
}

func TestRowsWithoutNumbersTogetherAreTheDataLink(t *testing.T) {
	var tags []screen.Tagged
	for k := range uint64(4) {
		s := signal(k, 9*day, 600, 30, 3, 0.1)
		for d := 1; d < 8; d++ {
			for i := d * day; i < d*day+30; i++ {
				s.V[i] = math.NaN()
			}
		}
		tags = append(tags, tag(s, quantity.ORP, "mV"))
	}
	ms := screen.Screen(tags, screen.DefaultSettings()).Messages
	require.Len(t, ms, 1)
	require.Contains(t, ms[0].Text, "7 times several tags")
	require.Contains(t, ms[0].Text, "4 tags are missing together for 31 min")
}
