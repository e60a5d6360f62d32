package chart

import (
	"math"
	"math/rand"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func labelsOf(a *clockAxis) []string {
	var out []string
	for _, l := range a.labels {
		out = append(out, l.text)
	}
	return out
}

func TestClockGoesForwardAndBack(t *testing.T) {
	a := newClockAxis(at("2026-03-08 00:00"), at("2026-03-08 06:00"), zone(), 600)
	require.Equal(t, []string{"00:00", "01:00", "03:00", "04:00", "05:00", "06:00"}, labelsOf(a), "there is no 02:00")
	require.Equal(t, "Plant clock, CST (UTC−6); goes forward to CDT (UTC−5) at 02:00 on 8 Mar", a.title)

	a = newClockAxis(at("2026-11-01 00:00"), at("2026-11-01 05:00"), zone(), 600)
	require.Equal(t, []string{"00:00", "01:00", "01:00", "02:00", "03:00", "04:00", "05:00"}, labelsOf(a), "01:00 comes twice")
	require.Equal(t, "Plant clock, CDT (UTC−5); goes back to CST (UTC−6) at 02:00 on 1 Nov", a.title)

	a = newClockAxis(at("2026-06-01 00:00"), at("2026-06-02 00:00"), zone(), 600)
	require.Equal(t, "Plant clock, CDT (UTC−5)", a.title)
	require.Equal(t, "Plant clock, UTC", newClockAxis(0, dayMs, time.UTC, 600).title)
}

// TestTicksAreWholeSteps holds every tick of many spans in odd zones against
// the wall clock: whole quarter hours, and from a day of width on whole hours.
func TestTicksAreWholeSteps(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for _, name := range []string{"America/Chicago", "Asia/Kolkata", "Asia/Kathmandu", "Australia/Lord_Howe", "America/St_Johns", "America/Havana", "UTC"} {
		z, err := time.LoadLocation(name)
		require.NoError(t, err)
		for range 60 {
			start := at("2026-01-01 00:00") + rng.Int63n(365*24*60)*minuteMs
			span := int64(math.Exp(rng.Float64()*math.Log(400*24)) * float64(hourMs))
			a := newClockAxis(start, start+span, z, 650)
			require.NotEmpty(t, a.labels)
			for _, ms := range a.minor {
				l := time.UnixMilli(ms).In(z)
				require.Zero(t, l.Minute()%15, "%s %s", name, l)
				require.Zero(t, l.Second())
				if span >= dayMs && name != "Australia/Lord_Howe" && name != "America/Havana" {
					require.Zero(t, l.Minute(), "%s %s", name, l)
				}
				require.True(t, ms >= start && ms <= start+span)
			}
			for i := 1; i < len(a.labels); i++ {
				require.LessOrEqual(t, a.labels[i-1].from, a.labels[i].from)
			}
		}
	}
}

// TestEveryAxisNamesTheYear: a chart that is cut out and filed must still say
// when it was.
func TestEveryAxisNamesTheYear(t *testing.T) {
	for h := int64(1); h < 25000; h = h*5/4 + 1 {
		start := at("2026-03-06 04:47")
		a := newClockAxis(start, start+h*hourMs, zone(), 650)
		found := false
		for _, l := range a.below {
			found = found || strings.Contains(l.text, "2026")
		}
		require.True(t, found, "%d h: %v", h, a.below)
	}
}

func TestWeeksAreNamedByTheirMonday(t *testing.T) {
	a := newClockAxis(at("2026-03-06 21:00"), at("2026-04-20 00:00"), zone(), 650)
	require.Equal(t, []string{"9 Mar", "16 Mar", "23 Mar", "30 Mar", "6 Apr", "13 Apr", "20 Apr"}, labelsOf(a))
}

func TestMonthNamesEveryDay(t *testing.T) {
	a := newClockAxis(at("2026-03-01 00:00"), at("2026-04-01 00:00"), zone(), 650)
	require.Len(t, a.labels, 31)
	require.Equal(t, "1", a.labels[0].text)
	require.Equal(t, "31", a.labels[30].text)
	require.Equal(t, int64(23*hourMs), a.labels[7].to-a.labels[7].from, "8 March has 23 hours")
	require.Equal(t, "March 2026", a.below[0].text)
}

// TestThinKeepsEveryPeak compares the thinned line's reach with all points of
// each column.
func TestThinKeepsEveryPeak(t *testing.T) {
	rng := rand.New(rand.NewSource(2))
	var pts []xy
	for i := range 50_000 {
		y := rng.NormFloat64()
		if rng.Float64() < 0.001 {
			y *= 100
		}
		pts = append(pts, xy{float64(i) / 50_000 * 600, y})
	}
	reach := func(pts []xy) map[int][2]float64 {
		out := map[int][2]float64{}
		for _, p := range pts {
			k := int(p.x / 0.5)
			r, ok := out[k]
			if !ok {
				r = [2]float64{p.y, p.y}
			}
			out[k] = [2]float64{math.Min(r[0], p.y), math.Max(r[1], p.y)}
		}
		return out
	}
	thinned := thin(pts, 0.5)
	require.Less(t, len(thinned), 4*1200+1)
	require.Equal(t, reach(pts), reach(thinned))
	require.Equal(t, pts[0], thinned[0])
	require.Equal(t, pts[len(pts)-1], thinned[len(thinned)-1])
	for i := 1; i < len(thinned); i++ {
		require.LessOrEqual(t, thinned[i-1].x, thinned[i].x)
	}
}

func TestValueTicks(t *testing.T) {
	text := func(a axis1) (out []string) {
		for _, k := range a.ticks {
			out = append(out, k.label)
		}
		return out
	}
	require.Equal(t, []string{"0", "2", "4", "6"}, text(linear(extent{0, 5.3}, 3, false)))
	require.Equal(t, []string{"0.0", "2.5", "5.0", "7.5"}, text(linear(extent{0, 7.1}, 3, false)))
	require.Equal(t, []string{"−0.10", "−0.05", "0.00", "0.05"}, text(linear(extent{-0.1, 0.05}, 4, false)))
	require.Equal(t, []string{"0.1", "0.2", "0.5", "1", "2"}, text(logarithmic(extent{0.09, 2.2})))
	a := linear(extent{3, 3}, 4, false)
	require.Less(t, a.lo, 3.0)
	require.Greater(t, a.hi, 3.0)
	a = linear(noExtent(), 4, false)
	require.Equal(t, 0.0, a.lo)
}

func TestNumber(t *testing.T) {
	require.Equal(t, "1,234", number(1234, 0))
	require.Equal(t, "12,345.6", number(12345.6, 1))
	require.Equal(t, "1,234,567", number(1234567, 0))
	require.Equal(t, "−0.5", number(-0.5, 1))
	require.Equal(t, "0.0", number(-0.04, 1))
	require.Equal(t, "0.05", short(0.05))
	require.Equal(t, "126", short(126))
	require.Equal(t, "8.34", short(8.34))
}

// TestProbit holds the quantile axis against the standard normal table
// (0.975 → 1.960, 0.95 → 1.645, 0.90 → 1.282; from memory).
func TestProbit(t *testing.T) {
	for p, z := range map[float64]float64{0.5: 0, 0.975: 1.960, 0.95: 1.645, 0.9: 1.282, 0.01: -2.326} {
		require.InDelta(t, z, probit(p), 0.0005)
	}
}

func TestSpreadPartsLabels(t *testing.T) {
	rng := rand.New(rand.NewSource(3))
	for range 200 {
		var ls []label
		for range 1 + rng.Intn(6) {
			lines := []string{"a", "b", "c"}[:1+rng.Intn(3)]
			ls = append(ls, label{lines: lines, y: rng.Float64() * 400})
		}
		spread(ls, 0, 400)
		for i := 1; i < len(ls); i++ {
			require.GreaterOrEqual(t, ls[i].at-ls[i-1].at+0.05, (ls[i].h()+ls[i-1].h())/2)
		}
	}
}

func TestLanesNeverShareAPlace(t *testing.T) {
	c := crowded()["timeline"].(*Timeline)
	p := c.plan()
	require.NotEmpty(t, p.lanes)
	for i, a := range p.lanes {
		for _, b := range p.lanes[:i] {
			if a.lane != b.lane {
				continue
			}
			ax := extent{math.Min(a.x0, a.tx), math.Max(a.x1, a.tx+a.lettering().width(a.text))}
			bx := extent{math.Min(b.x0, b.tx), math.Max(b.x1, b.tx+b.lettering().width(b.text))}
			require.False(t, ax.lo < bx.hi && bx.lo < ax.hi, "%q and %q", a.text, b.text)
		}
	}
}

func TestPercentSaysWholeOnlyOfTheWhole(t *testing.T) {
	for v, want := range map[float64]string{1: "100 %", 0.99999: "99.9 %", 0.9951: "99.5 %", 0.5: "50 %", 0.0001: "0.1 %", 0: "0 %"} {
		require.Equal(t, want, percent(v))
	}
}
