package upset

import (
	"math"
	"sort"

	"weirbook/analysis/series"
)

// Episode is a stretch with at least one breach; breaches that overlap, or follow
// each other closely at the same place, are one episode.
type Episode struct {
	series.Stretch
	Breaches []Breach // by start, then in the order of the Whats
	// MG is the water that left in the state of the main breach; NaN: not known.
	MG float64
}

// Main is the breach that the explanation is about: of those whose instruments
// were to be trusted, if there are any, the first kind in the order CT, residual,
// contact time, final residual, high residual, bacteria; of that kind the longest stretch.
func (e *Episode) Main() Breach {
	order := func(b *Breach) int {
		r := b.What.rank()
		if b.Trust.Doubtful > 0.5 {
			r += 6 // behind the others, but before a single laboratory result
		}
		if b.What == EColiHigh {
			r += 20
		}
		return r
	}
	best := e.Breaches[0]
	for _, b := range e.Breaches[1:] {
		if r, q := order(&b), order(&best); r < q || r == q && b.Minutes > best.Minutes {
			best = b
		}
	}
	return best
}

// DoubtfulCT names the instruments in doubt when CT or residual was short for the
// most part on their word alone; empty: it can be taken as it stands.
func (e *Episode) DoubtfulCT() []string {
	if e.Confirmed() {
		return nil
	}
	for _, w := range []What{CTShort, ResidualLow} {
		all, doubted := 0.0, 0.0
		var tags []string
		for _, b := range e.Of(w) {
			n := float64(b.Minutes)
			all += n
			doubted += n * b.Trust.Doubtful
			for _, t := range b.Trust.Tags {
				if !contains(tags, t) {
					tags = append(tags, t)
				}
			}
		}
		if all > 0 {
			if doubted > 0.5*all {
				return tags
			}
			return nil
		}
	}
	return nil
}

// Confirmed reports whether a laboratory result above its limit says, beside the
// instruments, that disinfection did fail.
func (e *Episode) Confirmed() bool { return len(e.Of(EColiHigh)) > 0 }

// Of lists the breaches of one kind.
func (e *Episode) Of(w What) []Breach {
	var out []Breach
	for _, b := range e.Breaches {
		if b.What == w {
			out = append(out, b)
		}
	}
	return out
}

func (w What) rank() int {
	for i, x := range []What{CTShort, ResidualLow, ContactShort, FinalHigh, ResidualHigh, EColiHigh} {
		if x == w {
			return i
		}
	}
	return 99
}

// Find gives the episodes of the record in time order.
func Find(in Input, s Settings) ([]Episode, error) {
	if err := in.check(); err != nil {
		return nil, err
	}
	var bs []Breach
	for k := range in.Judged {
		bs = append(bs, judge(&in, &in.Judged[k], &s)...)
	}
	bs = append(bs, judgeSamples(&in, &s)...)
	sortBreaches(bs)
	var out []Episode
	for _, b := range bs {
		e := Episode{Stretch: b.Stretch, Breaches: []Breach{b}}
		rest := out[:0:0]
		for _, o := range out {
			if o.joins(&b, s.MergeGap.Milliseconds()) {
				e.Breaches = append(o.Breaches, e.Breaches...)
				e.Start, e.End = min(e.Start, o.Start), max(e.End, o.End)
			} else {
				rest = append(rest, o)
			}
		}
		out = append(rest, e)
	}
	for k := range out {
		sortBreaches(out[k].Breaches)
		out[k].MG = volume(&out[k])
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Start < out[j].Start })
	return out, nil
}

// joins reports whether a breach, no earlier than those the episode has, belongs
// to it: it overlaps the episode, or follows within gap, ms, a breach at the same
// place. What leaves the basin and what leaves the plant go wrong for different
// reasons; one after the other they are two episodes. Bacteria go with either.
func (e *Episode) joins(b *Breach, gap int64) bool {
	if b.Start <= e.End {
		return true
	}
	for _, o := range e.Breaches {
		near := b.Start <= o.End+gap
		same := (o.What == FinalHigh) == (b.What == FinalHigh) || o.What == EColiHigh || b.What == EColiHigh
		if near && same {
			return true
		}
	}
	return false
}

// Given makes the episode of a stretch that a person names: the breaches found
// inside it, or none. It is what a command with given times explains.
func Given(in Input, s Settings, over series.Stretch) (Episode, error) {
	all, err := Find(in, s)
	if err != nil {
		return Episode{}, err
	}
	e := Episode{Stretch: over, MG: math.NaN()}
	for _, x := range all {
		for _, b := range x.Breaches {
			if b.End > over.Start && b.Start < over.End {
				e.Breaches = append(e.Breaches, b)
			}
		}
	}
	if len(e.Breaches) > 0 {
		e.Start, e.End = e.Breaches[0].Start, e.Breaches[0].End
		for _, b := range e.Breaches {
			e.Start, e.End = min(e.Start, b.Start), max(e.End, b.End)
		}
		e.MG = volume(&e)
	}
	return e, nil
}

// volume adds the water of the main kind of breach, or where that has none of
// the gravest that has.
func volume(e *Episode) float64 {
	for _, w := range []What{e.Main().What, CTShort, ResidualLow, ContactShort, FinalHigh, ResidualHigh} {
		sum, known := 0.0, false
		for _, b := range e.Of(w) {
			if !isNaN(b.MG) {
				sum += b.MG
				known = true
			}
		}
		if known {
			return sum
		}
	}
	return math.NaN()
}

func sortBreaches(bs []Breach) {
	sort.SliceStable(bs, func(i, j int) bool {
		if bs[i].Start != bs[j].Start {
			return bs[i].Start < bs[j].Start
		}
		return bs[i].What.rank() < bs[j].What.rank()
	})
}
