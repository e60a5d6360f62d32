package orp

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// While no water leaves, the basin is out of service, or no disinfection is asked
// for, there is nothing to judge, and what is read then teaches nothing: standing
// water loses its chlorine, a probe in it settles, a feed rests by design. Such
// minutes are taken out of every column before anything is learned.

// idleMinutes finds them: those that the caller names, those without flow, and long
// stretches without chlorine fed or found; each with the time after it in which the
// basin fills with fresh water again.
func idleMinutes(in *Input, s *Settings) []bool {
	n := in.Grid.N
	idle := make([]bool, n)
	copy(idle, in.Idle)
	markRuns(idle, s.IdleMin, func(i int) bool { return noFlow(in, s, i) })
	for _, t := range unused(in, s) {
		for i := t.From; i < t.To; i++ {
			idle[i] = true
		}
	}
	wait := s.IdleSettleMin
	if in.Delay != nil {
		if d := robust.Median(in.Delay); d > float64(wait) {
			wait = int(math.Min(d, 4*float64(wait)))
		}
	}
	out := make([]bool, n)
	left := 0
	for i := range out {
		if idle[i] {
			left = wait
		}
		out[i] = idle[i] || left > 0
		if !idle[i] {
			left--
		}
	}
	return out
}

// noFlow says that no water leaves in minute i. A meter that shows nothing while
// chlorine is still fed, or while the influent meter shows water and no feed tells, is
// at fault, not idle; water that comes in may be held upstream.
func noFlow(in *Input, s *Settings, i int) bool {
	switch {
	case !in.Flow.Present() || !(in.Flow.V[i] <= s.IdleFlow*in.usualFlow):
		return false
	case in.Feed.Present():
		return !(in.Feed.V[i] > 0.2*in.usualFeed)
	}
	return !in.InfluentFlow.Present() || !(in.InfluentFlow.V[i] > 0.2*in.usualInfluent)
}

// markRuns sets out where low holds for least minutes or longer.
func markRuns(out []bool, least int, low func(int) bool) {
	for i := 0; i < len(out); i++ {
		j := i
		for j < len(out) && low(j) {
			j++
		}
		if j-i >= least {
			for k := i; k < j; k++ {
				out[k] = true
			}
		}
		i = max(i, j)
	}
}

// unused finds the stretches in which disinfection was not in use: neither chlorine
// fed nor found, for days, or for half a day at an end of the record. A feed that
// fails in the season is found by the residual's fall and never lasts so long unseen.
func unused(in *Input, s *Settings) []signal.Span {
	residual := &in.Total
	if !residual.Present() {
		residual = &in.Free
	}
	if !residual.Present() {
		return nil
	}
	none := func(c *Column, share float64) func(int) bool {
		usual := usualOfUsed(c.V)
		return func(i int) bool { return !(c.V[i] > share*usual) } // unknown counts as none
	}
	low := none(residual, 0.1)
	if in.Feed.Present() {
		fed, found := none(&in.Feed, 0.05), low
		low = func(i int) bool { return found(i) && fed(i) }
	}
	n := in.Grid.N
	var out []signal.Span
	gap := 60
	for i := 0; i < n; i++ {
		if !low(i) {
			continue
		}
		last, seen := i, 0
		for j := i; j < n && j-last <= gap; j++ {
			if low(j) {
				last = j
				if signal.Known(residual.V[j]) {
					seen++
				}
			}
		}
		long := last + 1 - i
		atEnd := i < gap || last > n-gap
		if seen*2 > long && (long >= s.UnusedH*60 || atEnd && long >= s.UnusedH*10) {
			out = append(out, signal.Between(i, last+1))
		}
		i = last
	}
	return out
}

// usualOfUsed is the usual of a column while it is in use: the middle of its upper
// half, which weeks of nothing do not move.
func usualOfUsed(v []float64) float64 { return robust.Quantile(v, 0.75) }

// rest takes the idle minutes out of every column.
func (in *Input) rest(s *Settings) []bool {
	in.usualFlow, in.usualInfluent, in.usualFeed = usualOfUsed(in.Flow.V), usualOfUsed(in.InfluentFlow.V), usualOfUsed(in.Feed.V)
	idle := idleMinutes(in, s)
	any := false
	for _, v := range idle {
		any = any || v
	}
	if !any {
		return idle
	}
	in.Probes = append([]Probe(nil), in.Probes...)
	for _, c := range in.columns() {
		if !c.Present() {
			continue
		}
		v := append([]float64(nil), c.V...)
		for i, rests := range idle {
			if rests {
				v[i] = math.NaN()
			}
		}
		c.V = v
	}
	if in.Dose != nil {
		v := append([]float64(nil), in.Dose...)
		for i, rests := range idle {
			if rests {
				v[i] = math.NaN()
			}
		}
		in.Dose = v
	}
	var grabs []Grab
	for _, g := range in.Grabs {
		if i := in.Grid.Index(g.At); i < 0 || i >= len(idle) || !idle[i] {
			grabs = append(grabs, g)
		}
	}
	in.Grabs = grabs
	return idle
}
