package upset

import (
	"math"

	"weirbook/analysis/quantity"
	"weirbook/analysis/robust"
	"weirbook/analysis/series"
)

// Move is one signal leaving its normal.
type Move struct {
	Column int // index in Input.Columns
	Tag    string
	Kind   quantity.Kind
	Title  string
	Unit   string

	At       int64 // when it began to move, by the clock at the instrument; Unix milliseconds
	AtOutlet int64 // when the water it concerns reached the basin outlet; Unix milliseconds
	End      int64 // when it was back; the end of the window where it was not
	Back     bool  // it came back within the window
	Since    int64 // readings were missing from here to At, and it began somewhere between; 0: they were not
	Unsure   int64 // how long it took to stand out clearly after At, ms: short for a jump, long for a creep
	Peak     int64 // when it was furthest from normal

	From, To float64 // level before, and at its furthest, Unit
	NormalAt float64 // normal for the hour of Peak; NaN: not known
	Size     float64 // change beyond normal, Unit, signed
	Sigmas   float64 // the same in robust standard deviations
	Pushes   bool    // a move this way can bring about the breach
	Effect   bool    // a signal that shows the breach rather than brings it about
	Answers  bool    // a feed that moved against the breach: the plant's response
	First    bool    // the first mover
	Doubted  bool    // its instrument was in doubt then
	Crept    bool    // a demand that had risen before anything showed at the outlet
}

// earliest is the earliest that the move can have shown at the basin outlet.
func (m *Move) earliest() int64 {
	if m.Since != 0 {
		return m.AtOutlet - (m.At - m.Since)
	}
	return m.AtOutlet
}

// Rose reports the direction.
func (m *Move) Rose() bool { return m.Size > 0 }

// segment is a stretch of constant mean between change points, in bins.
type segment struct {
	lo, hi int
	mean   float64
}

func segments(y []float64, penalty float64, minLen int) []segment {
	if len(y) == 0 {
		return nil
	}
	cuts := append([]int{0}, Changes(y, penalty, minLen)...)
	cuts = append(cuts, len(y))
	var out []segment
	for i := 1; i < len(cuts); i++ {
		g := segment{lo: cuts[i-1], hi: cuts[i]}
		for _, v := range y[g.lo:g.hi] {
			g.mean += v
		}
		g.mean /= float64(g.hi - g.lo)
		out = append(out, g)
	}
	return out
}

// moves joins segments that are away from the level on the same side, at least
// one of them by t.Need, all by HoldShare of it.
func moves(in *Input, c *Column, t *Track, r *reference, y []float64, where []int, segs []segment, s *Settings) []Move {
	var out []Move
	for a := 0; a < len(segs); {
		side := math.Copysign(1, segs[a].mean)
		if side*segs[a].mean < s.HoldShare*t.Need {
			a++
			continue
		}
		b, top := a, a
		for b < len(segs) && side*segs[b].mean >= s.HoldShare*t.Need {
			if side*segs[b].mean > side*segs[top].mean {
				top = b
			}
			b++
		}
		if side*segs[top].mean >= t.Need {
			out = append(out, measure(in, c, t, r, y, where, segs, a, b, top, s))
		}
		a = b
	}
	return out
}

// measure puts times and sizes to a run of segments [a, b).
func measure(in *Input, c *Column, t *Track, r *reference, y []float64, where []int, segs []segment, a, b, top int, s *Settings) Move {
	side := math.Copysign(1, segs[top].mean)
	m := Move{Column: t.Column, Tag: c.Tag, Kind: c.Kind, Title: c.Title, Unit: c.Unit, Size: segs[top].mean,
		Sigmas: math.Abs(segs[top].mean) / t.Scale, Back: b < len(segs)}
	ms := func(bin int) int64 { return in.Grid.Milli(r.lo + bin*r.bin) }
	// What went before at a small share of the size is another, lesser move
	// that happened to run into this one.
	begin := a
	for a < top && side*segs[a].mean < s.RunInShare*side*segs[top].mean {
		a++
	}
	// Short steps up to there are the foot of a ramp, and belong to it.
	for a > begin && segs[a-1].hi-segs[a-1].lo < s.SettledMin/s.BinMin {
		a--
	}
	// The first segment of the run may be only the foot of a ramp; a change
	// point of a ramp lies half-way up it. Go back to where it left the level.
	first := segs[a]
	size := side * first.mean
	for k := a + 1; k < b && first.hi-first.lo < s.ReachMin/s.BinMin; k++ {
		if v := side * segs[k].mean; v > size {
			size = v
		}
		first.hi = segs[k].hi
	}
	i := segs[a].lo
	// What it left is the last settled level, which may have drifted already.
	rest := settled(segs, a, side, s.RunInShare*size, s.SettledMin/s.BinMin)
	foot := rest + math.Max(math.Max(s.OnsetShare*(size-rest), s.OnsetNoise*t.noise(y)), s.OnsetSigmas*t.Scale)
	foot = math.Min(foot, s.OnsetMost*size)
	back := int(s.OnsetBack.Minutes()) / r.bin
	for i > 0 && segs[a].lo-i < back && side*smooth(y, i-1) > foot {
		i--
	}
	// Or, for a segment that starts early, go forward to where it really left.
	for i+1 < segs[a].hi && side*smooth(y, i) < foot {
		i++
	}
	m.At = ms(where[i])
	clear := i
	for clear+1 < segs[b-1].hi && side*smooth(y, clear) < rest+2*(foot-rest) {
		clear++
	}
	m.Unsure = ms(where[clear]) - m.At
	if i > 0 && where[i]-where[i-1] > s.GapMin/s.BinMin {
		m.Since = ms(where[i-1] + 1)
		m.Unsure = max(m.Unsure, m.At-m.Since)
	}
	if b < len(segs) {
		m.End = ms(where[segs[b].lo])
	} else {
		m.End = ms(where[len(where)-1] + 1)
	}
	// Furthest: smoothed over three bins.
	peak := i
	for k := i; k < segs[b-1].hi; k++ {
		if side*smooth(y, k) > side*smooth(y, peak) {
			peak = k
		}
	}
	m.Peak = ms(where[peak])
	m.Size = smooth(y, peak)
	m.Sigmas = math.Abs(m.Size) / t.Scale
	m.To = smoothBins(t.Bins, where[peak])
	m.NormalAt = t.Normal[where[peak]] + t.Level
	m.From = levelBefore(t.Bins, where[i])
	m.AtOutlet = atOutlet(in, c, m.At)
	m.Doubted = c.doubted(in.Doubts, m.At, m.Peak)
	return m
}

// settled is the level, on the side of the move and not above most, of the last
// segment of at least so many bins before segment a; 0 where there is none.
func settled(segs []segment, a int, side, most float64, bins int) float64 {
	for k := a - 1; k >= 0; k-- {
		if segs[k].hi-segs[k].lo >= bins {
			return math.Min(math.Max(side*segs[k].mean, 0), most)
		}
	}
	return 0
}

// noise is the scatter between neighbouring bins.
func (t *Track) noise(y []float64) float64 {
	d := make([]float64, 0, len(y))
	for i := 1; i < len(y); i++ {
		d = append(d, math.Abs(y[i]-y[i-1]))
	}
	return 1.4826 * robust.Median(d) / math.Sqrt2
}

// smooth is the median of three neighbours.
func smooth(y []float64, i int) float64 {
	lo, hi := max(i-1, 0), min(i+2, len(y))
	return robust.Median(append([]float64(nil), y[lo:hi]...))
}

func smoothBins(v []float64, i int) float64 {
	return robust.Median(finite(v[max(i-1, 0):min(i+2, len(v))]))
}

// levelBefore is the median of the hour before bin i.
func levelBefore(v []float64, i int) float64 { return robust.Median(finite(v[max(i-12, 0):max(i, 0)])) }

func finite(v []float64) []float64 {
	var out []float64
	for _, x := range v {
		if !isNaN(x) {
			out = append(out, x)
		}
	}
	return out
}

func floorOf(c *Column, s *Settings, usual float64) float64 {
	if c.Floor > 0 {
		return c.Floor
	}
	f := s.Floors[c.Kind]
	if share, ok := s.FloorShare[c.Kind]; ok && !isNaN(usual) {
		f = math.Max(f, share*math.Abs(usual))
	}
	return f
}

// doubted says whether the column's instrument, or one of those that a derived
// column is reckoned from, was in doubt at any time from from to to.
func (c *Column) doubted(ds []Doubt, from, to int64) bool {
	x := series.Stretch{Start: from, End: to + 60_000}
	for _, d := range ds {
		if (d.Tag == c.Tag || contains(c.RestsOn, d.Tag)) && d.Party != "process" && d.Start < x.End && d.End > x.Start {
			return true
		}
	}
	return false
}

// atOutlet gives when the water that a column measures at time ms reaches the
// basin outlet.
func atOutlet(in *Input, c *Column, ms int64) int64 {
	ms += int64(c.LeadMin * 60_000)
	// A change shows first with the water that comes through fastest: the
	// credited contact time, where it is known, rather than the mean.
	delay := in.Basin.Contact
	if delay == nil {
		delay = in.Basin.Delay
	}
	if c.Lead == 0 || delay == nil {
		return ms
	}
	i := in.Grid.Index(ms)
	last := math.NaN()
	for j := max(i, 0); j < in.Grid.N && j < i+24*60; j++ {
		d := delay[j]
		if isNaN(d) {
			d = last
		}
		last = d
		if !isNaN(d) && float64(j)-c.Lead*d >= float64(i) {
			return ms + int64(j-i)*60_000
		}
	}
	if !isNaN(last) {
		return ms + int64(c.Lead*last)*60_000
	}
	return ms
}
