package orp

import (
	"math"

	"weirbook/analysis/robust"
)

// The data themselves can be at fault: the link to the logger stops (every tag
// holds its last value, or none arrives), or a block of readings is written twice.

// linkTroubles finds such stretches from all tags together.
func linkTroubles(in *Input, s *Settings) []trouble {
	var cs []*Column
	for _, c := range in.columns() {
		if c.Present() && countKnown(c.V) > len(c.V)/10 {
			cs = append(cs, c)
		}
	}
	if len(cs) < s.LinkTags {
		return nil
	}
	n := in.Grid.N
	still := make([]bool, n)
	blank := make([]bool, n)
	for i := 0; i < n; i++ {
		holds, moves, gone := 0, 0, 0
		for _, c := range cs {
			switch {
			case math.IsNaN(c.V[i]):
				gone++
			case i > 0 && c.V[i] == c.V[i-1]:
				holds++
			default:
				moves++
			}
		}
		still[i] = holds >= s.LinkTags && moves == 0
		blank[i] = gone*10 >= len(cs)*9
	}
	var out []trouble
	out = append(out, runs(still, 15, "link-frozen", 1)...)
	out = append(out, runs(blank, 15, "link-blank", 0)...)
	out = append(out, repeats(in, cs)...)
	return out
}

// runs lists runs of true of at least least minutes; lead is added before, for
// the reading that the run repeats.
func runs(v []bool, least int, kind string, lead int) []trouble {
	var out []trouble
	for i := 0; i < len(v); i++ {
		if !v[i] {
			continue
		}
		j := i
		for j < len(v) && v[j] {
			j++
		}
		if j-i >= least {
			out = append(out, trouble{span{max(0, i-lead), j}, kind, i + least, float64(j - i), 0})
		}
		i = j
	}
	return out
}

// repeats finds stretches in which all tags repeat, to the last digit, what
// they read some time before.
func repeats(in *Input, cs []*Column) []trouble {
	n := in.Grid.N
	hash := make([]uint64, n)
	for i := range hash {
		h := uint64(14695981039346656037)
		for _, c := range cs {
			h = (h ^ math.Float64bits(c.V[i])) * 1099511628211
			h ^= h >> 29
		}
		hash[i] = h
	}
	const probe = 4 // minutes in a row that must match to suspect a lag
	last := make(map[uint64]int, n/probe)
	var out []trouble
	key := func(i int) uint64 {
		h := uint64(1469598103934665603)
		for k := 0; k < probe; k++ {
			h = (h ^ hash[i+k]) * 1099511628211
		}
		return h
	}
	moved := func(i int) bool { // a repeat of stillness tells nothing
		return i > 0 && hash[i] != hash[i-1] && hash[i+1] != hash[i]
	}
	for i := 0; i+probe < n; i++ {
		k := key(i)
		if j, ok := last[k]; ok && i-j > 30 && moved(i) {
			lag := i - j
			end := i
			for end < n && hash[end] == hash[end-lag] {
				end++
			}
			if end-i >= 30 {
				out = append(out, trouble{span{i, end}, "repeated-block", i + 30, float64(lag), 0})
				i = end
				continue
			}
		}
		last[k] = i
	}
	return out
}

// health finds what each signal says about itself, and what it may not be used
// for.
func (w *work) health() {
	cs := w.in.columns()
	w.trouble = make([][]trouble, len(cs))
	w.mask = make([][]bool, len(cs))
	w.link = linkTroubles(w.in, w.s)
	inLink := func(t span) bool {
		for _, l := range w.link {
			if o := l.overlap(t); o*2 > t.len() {
				return true
			}
		}
		return false
	}
	each(len(cs), func(i int) {
		c := cs[i]
		w.mask[i] = make([]bool, w.in.Grid.N)
		if !c.Present() {
			return
		}
		for _, l := range w.link {
			for m := l.from; m < l.to; m++ {
				w.mask[i][m] = true
			}
		}
		if i == cTemp {
			return
		}
		var ts []trouble
		if i != cFeed && i != cBisulfite && i != cAmmonia && i != cFinal {
			ts = append(ts, leaps(c, i >= cProbe, w.s)...)
			if len(ts) > 0 {
				// what is in another unit must not colour what is usual
				v := append([]float64(nil), c.V...)
				for _, t := range ts {
					for m := t.from; m < t.to; m++ {
						v[m] = math.NaN()
					}
				}
				own := *c
				own.V = v
				c = &own
			}
		}
		if i == cFeed || i == cBisulfite {
			return
		}
		var clips []trouble
		if i == cFree || i == cTotal || i >= cProbe {
			clips = unusual(clipped(c, w.s), w.in.Grid.N, w.s)
		}
		ts = append(ts, clips...)
		for _, t := range frozen(c, i == cFree || i == cTotal || i == cFinal, i != cFinal, w.s) {
			hit := false
			for _, k := range clips {
				if k.overlap(t.span)*2 > t.len() {
					hit = true
				}
			}
			if !hit {
				ts = append(ts, t)
			}
		}
		for _, t := range ts {
			if inLink(t.span) {
				continue
			}
			w.trouble[i] = append(w.trouble[i], t)
		}
	})
	w.sharedStillness(cs)
	for i := range cs {
		for _, t := range w.trouble[i] {
			for m := t.from; m < t.to; m++ {
				w.mask[i][m] = true
			}
		}
	}
	w.services()
	each(len(cs), func(i int) {
		c := cs[i]
		if !c.Present() || i != cFree && i != cTotal && i < cProbe {
			return
		}
		for _, t := range unusual(noisy(c, w.mask[i], i < cProbe, w.s), w.in.Grid.N, w.s) {
			w.trouble[i] = append(w.trouble[i], t)
			for m := t.from; m < t.to; m++ {
				w.mask[i][m] = true
			}
		}
		if i >= cProbe && w.in.Probes[i-cProbe].Place != Final {
			w.trouble[i] = append(w.trouble[i], unusual(sluggish(c, w.mask[i], w.s), w.in.Grid.N, w.s)...)
		}
	})
}

// sharedStillness moves stillness that three or more tags begin and end together
// from the tags to the link.
func (w *work) sharedStillness(cs []*Column) {
	type ref struct{ col, k int }
	var all []ref
	for i := range cs {
		for k, t := range w.trouble[i] {
			if t.kind == "frozen" {
				all = append(all, ref{i, k})
			}
		}
	}
	gone := map[ref]bool{}
	for _, a := range all {
		if gone[a] {
			continue
		}
		t := w.trouble[a.col][a.k]
		group := []ref{a}
		for _, b := range all {
			u := w.trouble[b.col][b.k]
			if b.col != a.col && !gone[b] && abs(u.from-t.from) <= 20 && abs(u.to-t.to) <= 20 {
				group = append(group, b)
			}
		}
		if len(group) >= w.s.LinkTags {
			for _, g := range group {
				gone[g] = true
			}
			t.kind = "link-frozen"
			w.link = append(w.link, t)
			for i := range cs {
				for m := t.from; m < t.to && cs[i].Present(); m++ {
					w.mask[i][m] = true
				}
			}
		}
	}
	for i := range cs {
		var keep []trouble
		for k, t := range w.trouble[i] {
			if !gone[ref{i, k}] {
				keep = append(keep, t)
			}
		}
		w.trouble[i] = keep
	}
}

func abs(x int) int {
	if x < 0 {
		return -x
	}
	return x
}

// leaps finds stretches in which a tag reads tens of times its usual: a unit or
// scale mixed up on the way, not an instrument or a process.
//
// Of an ORP in volts among millivolts the other side is looked at as well.
func leaps(c *Column, volts bool, s *Settings) []trouble {
	usual := robust.Median(c.V)
	if !(usual > 0.3) { // near zero a multiple means little
		return nil
	}
	var out []trouble
	for i := 0; i < len(c.V); i++ {
		out1 := func(k int) bool {
			return known(c.V[k]) && (c.V[k] > s.UnitFactor*usual || volts && usual > 100 && c.V[k] > 0 && c.V[k] < usual/100)
		}
		if !out1(i) {
			continue
		}
		last := i
		var v []float64
		for j := i; j < len(c.V) && j-last <= 30; j++ {
			if out1(j) {
				last = j
				v = append(v, c.V[j])
			}
		}
		if last+1-i >= 20 && len(v)*2 > last-i {
			out = append(out, trouble{span{i, last + 1}, "unit-mix-up", i + 20, robust.Median(v) / usual, usual})
		}
		i = last
	}
	return out
}
