package upset

import (
	"math"
	"sort"
	"time"

	"weirbook/analysis/robust"
	"weirbook/analysis/series"
)

// Normal says what the same hours of the clean days before looked like.
type Normal struct {
	Days []string // local dates that it was taken from, oldest first
	// After is true when too few clean days lay before, and days after were
	// taken too.
	After bool
	// Like is "weekdays" or "weekend days" where only such days were taken, as
	// the episode's own; empty: all.
	Like string
}

// clean marks the minutes that are normal operation: outside the episodes and
// the unclean stretches, with a margin.
func clean(in *Input, all []Episode, s *Settings, this series.Stretch) []bool {
	ok := make([]bool, in.Grid.N)
	for i := range ok {
		ok[i] = true
	}
	strike := func(x series.Stretch) {
		m := s.CleanMargin.Milliseconds()
		lo, hi := in.Grid.Index(x.Start-m), in.Grid.Index(x.End+m)
		for i := max(lo, 0); i < min(hi+1, len(ok)); i++ {
			ok[i] = false
		}
	}
	for _, e := range all {
		strike(e.Stretch)
	}
	for _, u := range in.Unclean {
		strike(u)
	}
	// What led up to this episode is no normal either.
	strike(series.Stretch{Start: this.Start - s.Look.Milliseconds(), End: this.End})
	return ok
}

// days picks the local days whose clean hours serve as normal for a window: the
// nearest ones before it with at least half of their minutes clean, of the same
// sort (weekday or weekend) as the day on which the episode begins where there
// are enough of those, and days after it when all are fewer than MinDays. Each
// is given as the shift, in local days, from the window's first day.
func days(in *Input, ok []bool, start, begin int64, s *Settings) (shifts []int, n Normal) {
	first := in.Grid.Time(min(max(in.Grid.Index(start), 0), in.Grid.N-1)).In(in.Loc)
	day := func(d int) (int, int) {
		a := dateShift(first, d, 0, in.Loc)
		b := dateShift(first, d+1, 0, in.Loc)
		return in.Grid.Index(a), in.Grid.Index(b)
	}
	good := func(d int) bool {
		lo, hi := day(d)
		c := 0
		for i := max(lo, 0); i < min(hi, in.Grid.N); i++ {
			if ok[i] {
				c++
			}
		}
		return float64(c) >= s.CleanCover*float64(hi-lo)
	}
	weekend := func(d int) bool {
		w := time.UnixMilli(dateShift(first, d, 12*60, in.Loc)).In(in.Loc).Weekday()
		return w == time.Saturday || w == time.Sunday
	}
	collect := func(take func(d int) bool, enough int) (out []int, after bool) {
		for d := -1; d >= -s.SearchDays && len(out) < s.NormalDays; d-- {
			if good(d) && take(d) {
				out = append(out, d)
			}
		}
		for d := 1; len(out) < enough && d <= s.SearchDays; d++ {
			if good(d) && take(d) {
				out = append(out, d)
				after = true
			}
		}
		return out, after
	}
	// The day that counts is the one that the episode begins on.
	own := weekend(dayNumber(time.UnixMilli(begin).In(in.Loc)) - dayNumber(first))
	shifts, n.After = collect(func(d int) bool { return weekend(d) == own }, 0)
	if len(shifts) >= s.MinSameDays {
		n.Like = "weekdays"
		if own {
			n.Like = "weekend days"
		}
	} else {
		shifts, n.After = collect(func(int) bool { return true }, s.MinDays)
	}
	sort.Ints(shifts)
	for _, d := range shifts {
		lo, _ := day(d)
		n.Days = append(n.Days, in.Grid.Time(lo).In(in.Loc).Format("2006-01-02"))
	}
	return shifts, n
}

// reference holds the clean days of one explanation: for each bin of the window
// the bins of the same local time on those days.
type reference struct {
	in   *Input
	ok   []bool
	lo   int // first minute of the window
	bins int
	bin  int   // minutes in a bin
	off  []int // minutes to add for each of the days, for each bin: off[day*bins+bin]
	days int
	half int // minutes either side that count as the same hour
}

func newReference(in *Input, ok []bool, shifts []int, lo, hi int, s *Settings) *reference {
	r := &reference{in: in, ok: ok, lo: lo, bin: s.BinMin, days: len(shifts), half: int(s.HourWindow.Minutes())}
	r.bins = (hi - lo) / s.BinMin
	first := in.Grid.Time(min(max(lo, 0), in.Grid.N-1)).In(in.Loc)
	y0 := dayNumber(first)
	for _, d := range shifts {
		for k := 0; k < r.bins; k++ {
			i := lo + k*r.bin
			t := in.Grid.Time(i).In(in.Loc)
			// d counts from the window's first day: later days of a long window
			// are held against the same clean days.
			c := dateShift(t, d-(dayNumber(t)-y0), t.Hour()*60+t.Minute(), in.Loc)
			r.off = append(r.off, in.Grid.Index(c)-i)
		}
	}
	return r
}

// normal gives the usual value of v in each bin of the window: the median of the
// clean values within half an hour of the same clock time on the clean days.
func (r *reference) normal(v []float64) []float64 {
	out := make([]float64, r.bins)
	var buf []float64
	for k := range out {
		buf = buf[:0]
		for d := 0; d < r.days; d++ {
			c := r.lo + k*r.bin + r.off[d*r.bins+k]
			for i := max(c-r.half, 0); i < min(c+r.half+r.bin, len(v)); i += 3 {
				if r.ok[i] && !isNaN(v[i]) {
					buf = append(buf, v[i])
				}
			}
		}
		out[k] = math.NaN()
		if len(buf) >= 5 {
			out[k] = robust.Median(buf)
		}
	}
	return out
}

// binned gives the median of each bin of the window, NaN where fewer than half
// of its minutes are known.
func (r *reference) binned(v []float64) []float64 {
	out := make([]float64, r.bins)
	var buf []float64
	for k := range out {
		buf = buf[:0]
		for i := r.lo + k*r.bin; i < r.lo+(k+1)*r.bin; i++ {
			if x := at(v, i); !isNaN(x) {
				buf = append(buf, x)
			}
		}
		out[k] = math.NaN()
		if 2*len(buf) >= r.bin {
			out[k] = robust.Median(buf)
		}
	}
	return out
}

// scatter gives the robust standard deviation (1.4826 · median absolute
// deviation) of changes of v over h hours in clean time of so many days before and after, the usual pattern of
// the day taken off by comparing with the next day's same hours. NaN where too
// little is known.
func (r *reference) scatter(v []float64, h float64, days int) float64 {
	step := 15
	lag := int(h * 60)
	var diffs []float64
	// Not the whole record: what a signal does in another season says little.
	from := max(0, r.lo-days*1440)
	for i := from - from%step; i+1440+lag < min(r.in.Grid.N, r.lo+days*1440); i += step {
		j := i + lag
		if !r.ok[i] || !r.ok[j] || !r.ok[i+1440] || !r.ok[j+1440] {
			continue
		}
		d := (v[j] - v[i]) - (v[j+1440] - v[i+1440])
		if !isNaN(d) {
			diffs = append(diffs, d/math.Sqrt2) // two changes of one scatter
		}
	}
	if len(diffs) < 48 {
		return math.NaN()
	}
	m := robust.Median(diffs)
	for i := range diffs {
		diffs[i] = math.Abs(diffs[i] - m)
	}
	return 1.4826 * robust.Median(diffs)
}

// dayNumber counts local calendar days.
func dayNumber(t time.Time) int {
	y, m, d := t.Date()
	return int(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// dateShift gives the moment, Unix milliseconds, when the clock shows minute
// min of the local day that lies d calendar days after t's.
func dateShift(t time.Time, d, min int, loc *time.Location) int64 {
	y, m, day := t.Date()
	return time.Date(y, m, day+d, 0, min, 0, 0, loc).UnixMilli()
}
