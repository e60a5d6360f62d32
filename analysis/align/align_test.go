package align_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/series"
)

const minute = int64(60_000)

var (
	line = align.Rule{Reading: series.Continuous, MaxGap: 10 * time.Minute}
	hold = align.Rule{Reading: series.OnChange, MaxGap: 4 * time.Hour}
)

// is asserts a number close to want; NaN is never close.
func is(t *testing.T, want, got, tol float64) {
	t.Helper()
	require.False(t, math.IsNaN(got), "NaN, want %v", want)
	require.InDelta(t, want, got, tol)
}

func of(points ...[2]float64) *series.Series { // minute, value
	s := &series.Series{Tag: "t"}
	for _, p := range points {
		s.Append(int64(p[0]*float64(minute)), p[1], 0)
	}
	return s
}

func TestNothingIsBridgedBeyondTheGap(t *testing.T) {
	s := of([2]float64{0, 1}, [2]float64{10, 1}, [2]float64{21, 5}, [2]float64{30, 5})
	w := []align.Window{{0, 30 * minute}}
	st := align.Over(s, line, w)[0]
	is(t, 19.0/30, st.Cover, 1e-12) // 0-10 and 21-30; the 11 minutes between are unknown
	is(t, (10*1+9*5)/19.0, st.Mean, 1e-12)
	require.True(t, math.IsNaN(st.At(0.75)), "too little covered is not determined")
	is(t, st.Mean, st.At(0.6), 0)

	// A hold is believed for MaxGap, then no longer.
	h := align.Over(of([2]float64{0, 7}), align.Rule{Reading: series.OnChange, MaxGap: 15 * time.Minute}, w)[0]
	is(t, 0.5, h.Cover, 1e-12)
	is(t, 7, h.Mean, 0)

	// The zero rule bridges nothing.
	require.Zero(t, align.Over(s, align.Rule{}, w)[0].Cover)
}

func TestOneBadSampleIsBridgedAndCounted(t *testing.T) {
	s := of([2]float64{0, 1}, [2]float64{1, 2}, [2]float64{2, 999}, [2]float64{3, 4}, [2]float64{4, 5})
	s.F[2] = series.Spike
	w := []align.Window{{0, 4 * minute}}
	st := align.Over(s, line, w)[0]
	is(t, 3, st.Mean, 1e-12)
	is(t, 1, st.Cover, 0)
	is(t, 0.5, st.Bridged, 1e-12)
	is(t, 5, st.Max, 0)
	require.Equal(t, 3, st.N, "the reading at 4 belongs to the next window")
	require.Equal(t, 1, st.Unusable)

	// For an on-change tag the same reading ends what is known.
	h := align.Over(s, hold, w)[0]
	is(t, 0.75, h.Cover, 1e-12)
	is(t, (1+2+4)/3.0, h.Mean, 1e-12)
}

func TestUncertainIsUsedUnlessToldOtherwise(t *testing.T) {
	s := of([2]float64{0, 1}, [2]float64{5, 3}, [2]float64{10, 1})
	s.F[1] = series.Uncertain
	w := []align.Window{{0, 10 * minute}}
	is(t, 2, align.Over(s, line, w)[0].Mean, 1e-12)
	is(t, 1, align.Over(s, line, w)[0].Uncertain, 0)
	r := line
	r.UncertainAsBad = true
	is(t, 1, align.Over(s, r, w)[0].Mean, 1e-12)
}

func TestGrabsAreNeverSpread(t *testing.T) {
	s := of([2]float64{5, 2}, [2]float64{50, 4}, [2]float64{70, 9})
	for _, kind := range []series.Reading{series.Grab, series.Composite} {
		r := align.Rule{Reading: kind, MaxGap: 24 * time.Hour}
		st := align.Over(s, r, []align.Window{{0, 60 * minute}, {120 * minute, 180 * minute}})
		is(t, 3, st[0].Mean, 1e-12)
		require.Equal(t, 2, st[0].N)
		require.Zero(t, st[0].Cover)
		require.True(t, math.IsNaN(st[0].At(0.01)))
		require.True(t, math.IsNaN(st[1].Mean))
		for _, v := range align.Minutes(s, r, align.Grid{N: 100}) {
			require.True(t, math.IsNaN(v))
		}
		is(t, 2, align.At(s, r, 5*minute), 0)
		require.True(t, math.IsNaN(align.At(s, r, 6*minute)))
	}
}

// dirty makes an irregular series with gaps, bad readings and missing numbers.
func dirty(r *rand.Rand, n int) *series.Series {
	s := &series.Series{Tag: "dirty"}
	t := int64(r.IntN(1000))
	for range n {
		v, f := 5+r.NormFloat64(), series.Flag(0)
		switch r.IntN(12) {
		case 0:
			v = math.NaN()
		case 1:
			f = series.Bad
		case 2:
			f = series.Uncertain
		}
		s.Append(t, v, f)
		t += 1 + int64(r.IntN(90_000))
		if r.IntN(20) == 0 {
			t += 15 * minute
		}
	}
	return s
}

// sampled is the mean over a window by brute force: the value at every
// millisecond step through At, which shares no sum with Over.
func sampled(s *series.Series, r align.Rule, w align.Window, step int64) (mean, cover float64) {
	var sum float64
	var n, all int
	for x := w.Start; x < w.End; x += step {
		all++
		if v := align.At(s, r, x); !math.IsNaN(v) {
			sum += v
			n++
		}
	}
	return sum / float64(n), float64(n) / float64(all)
}

func TestOverAgreesWithBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 15 {
		s := dirty(r, 120)
		for _, rule := range []align.Rule{
			line, hold,
			{Reading: series.Continuous, MaxGap: 10 * time.Minute, AtBad: align.Stop},
			{Reading: series.OnChange, MaxGap: 10 * time.Minute, AtBad: align.Bridge},
		} {
			from := s.T[0] - 100_000
			w := align.Window{Start: from, End: from + 20*minute + int64(r.IntN(30*int(minute)))}
			st := align.Over(s, rule, []align.Window{w})[0]
			mean, cover := sampled(s, rule, w, 37)
			require.InDelta(t, cover, st.Cover, 0.003)
			is(t, mean, st.Mean, 0.01)
			require.LessOrEqual(t, st.Min, st.Mean)
			require.GreaterOrEqual(t, st.Max, st.Mean)
		}
	}
}

func TestWindowsInAnyOrderGiveTheSame(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	s, q := dirty(r, 300), dirty(r, 300)
	var ws []align.Window
	for range 60 {
		a := s.T[0] + int64(r.IntN(int(s.T[len(s.T)-1]-s.T[0])))
		ws = append(ws, align.Window{Start: a, End: a + 1 + int64(r.IntN(int(40*minute)))})
	}
	for _, rule := range []align.Rule{line, hold} {
		all, prod := align.Over(s, rule, ws), align.Product(s, q, rule, hold, ws)
		for k, w := range ws {
			require.Equal(t, nanless(align.Over(s, rule, []align.Window{w})[0]), nanless(all[k]))
			one := align.Product(s, q, rule, hold, []align.Window{w})[0]
			require.Equal(t, one.Cover, prod[k].Cover)
			require.Equal(t, math.Float64bits(one.Mean), math.Float64bits(prod[k].Mean))
		}
	}
}

func nanless(s align.Stat) align.Stat {
	for _, p := range []*float64{&s.Mean, &s.Min, &s.Max} {
		if math.IsNaN(*p) {
			*p = -1e9
		}
	}
	return s
}

func TestProductAgreesWithBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 10 {
		a, b := dirty(r, 120), dirty(r, 120)
		w := align.Window{Start: a.T[0], End: a.T[0] + 60*minute}
		j := align.Product(a, b, line, hold, []align.Window{w})[0]
		var sum, sa float64
		var n, all int
		for x := w.Start; x < w.End; x += 29 {
			all++
			u, v := align.At(a, line, x), align.At(b, hold, x)
			if !math.IsNaN(u) && !math.IsNaN(v) {
				sum += u * v
				sa += u
				n++
			}
		}
		require.Greater(t, n, 1000)
		is(t, float64(n)/float64(all), j.Cover, 0.002)
		is(t, sum/float64(n), j.Mean, 0.03)
		is(t, sa/float64(n), j.A, 0.01)
	}
}

// Hour means weighted by their coverage add up to the day: nothing is lost or
// counted twice between windows.
func TestHoursAddUpToTheDay(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	loc, err := time.LoadLocation("America/New_York")
	require.NoError(t, err)
	for _, date := range []string{"2026-03-08", "2026-11-01", "2026-06-01"} {
		d, err := time.ParseInLocation("2006-01-02", date, loc)
		require.NoError(t, err)
		s := dirty(r, 2500)
		for i := range s.T {
			s.T[i] += d.UnixMilli() - 3*60*minute
		}
		day := align.Days(d.UnixMilli(), d.UnixMilli()+1, loc)
		hours := align.Hours(day[0].Start, day[0].End, loc)
		whole := align.Over(s, line, day)[0]
		var area, covered float64
		var n int
		for i, st := range align.Over(s, line, hours) {
			h := float64(hours[i].End - hours[i].Start)
			if st.Cover > 0 {
				area += st.Mean * st.Cover * h
				covered += st.Cover * h
			}
			n += st.N
		}
		is(t, whole.Mean, area/covered, 1e-9)
		is(t, whole.Cover, covered/float64(day[0].End-day[0].Start), 1e-9)
		require.Equal(t, whole.N, n)
	}
}

func TestMinutesAndFoldAgreeWithOver(t *testing.T) {
	// A reading on every whole minute: the minute column keeps all there is.
	r := rand.New(rand.NewPCG(9, 10))
	s := &series.Series{Tag: "m"}
	for i := range int64(600) {
		s.Append(i*minute, 3+r.NormFloat64(), 0)
	}
	g := align.Grid{Start: 0, N: 600}
	for _, rule := range []align.Rule{line, hold} {
		col := align.Minutes(s, rule, g)
		ws := align.Hours(0, 600*minute, time.UTC)
		exact, folded := align.Over(s, rule, ws), align.Fold(col, g, ws)
		for k := range ws[:9] {
			is(t, exact[k].Mean, folded[k].Mean, 1e-9)
			is(t, 1, folded[k].Cover, 1e-12)
			require.GreaterOrEqual(t, folded[k].Min, exact[k].Min)
			require.LessOrEqual(t, folded[k].Max, exact[k].Max)
		}
	}
	col := align.Minutes(s, line, g)
	is(t, (s.V[0]+s.V[1])/2, col[0], 1e-12)
	require.True(t, math.IsNaN(col[599]), "nothing follows the last reading of a continuous tag")

	// Half a minute is enough, less is not.
	half := of([2]float64{0, 1}, [2]float64{1.5, 1}, [2]float64{30, 2}, [2]float64{30.4, 2})
	c := align.Minutes(half, line, align.Grid{N: 31})
	is(t, 1, c[1], 0)
	require.True(t, math.IsNaN(c[30]))
	require.True(t, math.IsNaN(c[2]))
}

func TestFoldCutsMinutesAtAWindowsEdge(t *testing.T) {
	g := align.Grid{Start: 0, N: 3}
	st := align.Fold([]float64{1, 2, math.NaN()}, g, []align.Window{{30_000, 150_000}})[0]
	is(t, 0.75, st.Cover, 1e-12)
	is(t, (1*30+2*60)/90.0, st.Mean, 1e-12)
	none := align.Fold(nil, g, []align.Window{{0, 60_000}})[0]
	require.True(t, math.IsNaN(none.Mean))
}

func TestEmptyAndOneReading(t *testing.T) {
	w := []align.Window{{0, minute}, {minute, minute}}
	for _, s := range []*series.Series{{Tag: "empty"}, of([2]float64{0.5, 1})} {
		for _, st := range align.Over(s, line, w) {
			require.True(t, math.IsNaN(st.Mean))
			require.Zero(t, st.Cover)
		}
		require.True(t, math.IsNaN(align.At(s, line, 0)))
		require.Zero(t, align.Spacing(s))
	}
}

func TestSettingsFollowASparseTag(t *testing.T) {
	c := align.DefaultSettings()
	s := &series.Series{Tag: "quarter hours"}
	for i := range int64(50) {
		s.Append(i*15*minute, 1, 0)
	}
	require.Equal(t, 15*time.Minute, align.Spacing(s))
	require.Equal(t, time.Duration(37.5*float64(time.Minute)), c.RuleFor(s, series.Continuous).MaxGap)
	require.Equal(t, c.MaxGapOnChange, c.RuleFor(s, series.OnChange).MaxGap)
	require.Equal(t, c.MaxGapContinuous, c.RuleFor(of([2]float64{0, 1}), series.Continuous).MaxGap)
	require.Zero(t, c.RuleFor(s, series.Grab).MaxGap)
}

// Days whose 00:00 does not exist begin at the change: in Santiago clocks went from 24:00
// of 5 September 2026 to 01:00 of the 6th, 04:00 UTC (IANA time zone database), a day of
// 23 hours; and in Apia 30 December 2011 did not exist.
func TestDaysThatBeginAtAClockChange(t *testing.T) {
	hours := func(zone string, from, to time.Time) (out []float64) {
		loc, err := time.LoadLocation(zone)
		require.NoError(t, err)
		last := int64(0)
		for _, d := range align.Days(from.UnixMilli(), to.UnixMilli(), loc) {
			require.True(t, last == 0 || d.Start == last, "no gap and no overlap")
			last = d.End
			out = append(out, float64(d.End-d.Start)/3_600_000)
		}
		return out
	}
	utc := func(y int, m time.Month, d, h int) time.Time { return time.Date(y, m, d, h, 0, 0, 0, time.UTC) }
	require.Equal(t, []float64{24, 23, 24}, hours("America/Santiago", utc(2026, 9, 5, 12), utc(2026, 9, 7, 12)))
	require.Equal(t, []float64{24, 23, 24}, hours("America/Havana", utc(2026, 3, 7, 12), utc(2026, 3, 9, 12)))
	require.Equal(t, []float64{24, 24}, hours("Pacific/Apia", utc(2011, 12, 29, 20), utc(2011, 12, 30, 20)))
	loc, err := time.LoadLocation("America/Santiago")
	require.NoError(t, err)
	require.Equal(t, utc(2026, 9, 6, 4).UnixMilli(), align.StartOfDay(2026, 9, 6, loc))
}
