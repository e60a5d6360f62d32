package contact

import (
	"fmt"
	"math"

	"weirbook/analysis/align"
)

// Stat is what an hour's minutes come to.
type Stat struct {
	Min, Mean float64 // NaN when not determined
	// Coverage is the share of the hour's minutes that are accounted for: known,
	// or known to have had no water leaving.
	Coverage float64
	// Running is the number of minutes that Min and Mean are made of.
	Running int
	// MinAt is the grid minute of Min; -1 when not determined.
	MinAt int
	Why   Reason
}

// TrackHour is one hour of a Track.
type TrackHour struct {
	Window     align.Window
	ContactMin Stat // min
	CTMgMinL   Stat // mg·min/L
}

// Hourly sums up a track per window: minimum and time-weighted mean over the
// minutes in which water left the basin. Minutes without flow or out of service
// count as covered and give no value.
func Hourly(g align.Grid, hours []align.Window, t Track, s Settings) ([]TrackHour, error) {
	if len(t.ContactMin) != g.N {
		return nil, fmt.Errorf("a track of %d minutes on a grid of %d", len(t.ContactMin), g.N)
	}
	out := make([]TrackHour, len(hours))
	for h, w := range hours {
		out[h] = TrackHour{
			Window:     w,
			ContactMin: statOf(g, w, t.ContactMin, t.Why, s),
			CTMgMinL:   statOf(g, w, t.CTMgMinL, t.CTWhy, s),
		}
	}
	return out, nil
}

// span gives the grid minutes [lo, hi) inside w, and the minutes of w.
func span(g align.Grid, w align.Window) (lo, hi, minutes int) {
	lo, hi = g.Index(w.Start), g.Index(w.End)
	minutes = hi - lo
	return min(max(lo, 0), g.N), min(max(hi, 0), g.N), minutes
}

func statOf(g align.Grid, w align.Window, col []float64, why []Reason, s Settings) Stat {
	lo, hi, minutes := span(g, w)
	st := Stat{Min: nan, Mean: nan, MinAt: -1}
	if minutes <= 0 {
		st.Why = LowCoverage
		return st
	}
	sum, accounted := 0.0, 0
	var tally reasonTally
	for i := lo; i < hi; i++ {
		switch {
		case why[i] == Idle || why[i] == OutOfService:
			accounted++
			tally.add(why[i])
		case math.IsNaN(col[i]):
			tally.add(why[i])
		default:
			accounted++
			st.Running++
			sum += col[i]
			if st.MinAt < 0 || col[i] < st.Min {
				st.Min, st.MinAt = col[i], i
			}
		}
	}
	tally.addN(BeforeData, minutes-(hi-lo))
	st.Coverage = float64(accounted) / float64(minutes)
	st.Why = verdictOfCoverage(st.Coverage, st.Running, tally, s)
	if st.Why != Known {
		st.Min, st.MinAt = nan, -1
		return st
	}
	st.Mean = sum / float64(st.Running)
	return st
}

// verdictOfCoverage gives Known, or why an hour has no value.
func verdictOfCoverage(coverage float64, running int, tally reasonTally, s Settings) Reason {
	if coverage < s.MinCoverage {
		return tally.worst()
	}
	if running == 0 {
		return tally.quiet()
	}
	return Known
}

// reasonTally counts why minutes gave no value.
type reasonTally [OutsideTable + 1]int

func (t *reasonTally) add(r Reason)         { t[r]++ }
func (t *reasonTally) addN(r Reason, n int) { t[r] += n }

// worst is the commonest reason that is a lack of knowledge.
func (t reasonTally) worst() Reason {
	best, n := LowCoverage, 0
	for r := ServiceDoubt; r <= OutsideTable; r++ {
		if r != Idle && t[r] > n {
			best, n = r, t[r]
		}
	}
	return best
}

// quiet is why an hour without a running minute was quiet.
func (t reasonTally) quiet() Reason {
	if t[OutOfService] > t[Idle] {
		return OutOfService
	}
	if t[Idle] > 0 {
		return Idle
	}
	return t.worst()
}
