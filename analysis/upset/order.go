package upset

import (
	"math"
	"sort"

	"weirbook/analysis/quantity"
)

// pushes says which way a signal has to move to bring about a breach: +1 up, -1
// down, 2 either way, 0 it cannot; and whether it only shows the breach.
func pushes(w What, c *Column, requirementMoves bool) (way int, effect bool) {
	chlorine := c.Kind == quantity.ChlorineTotal || c.Kind == quantity.ChlorineFree
	if w == FinalHigh {
		switch {
		case c.Place == AtOutfall && (chlorine || c.Kind == quantity.ORP):
			return 1, true
		case c.Kind == quantity.BisulfiteFeed || c.Kind == quantity.SulfurDioxideFeed:
			return -1, false
		case chlorine, c.Kind == Dose, c.Kind == quantity.HypochloriteFeed, c.Kind == quantity.ChlorineFeed,
			c.Kind == quantity.Flow, c.Kind == Strength:
			return 1, false
		case c.Kind == Demand:
			return -1, false
		case c.Kind == quantity.ORP && c.Place != AtOutfall:
			return 1, true
		}
		return 0, false
	}
	if c.Place == AtOutfall {
		return 0, false // downstream of what is judged
	}
	if w == ContactShort {
		switch c.Kind {
		case quantity.Flow:
			return 1, false
		case quantity.Level:
			return -1, false
		case CT, Contact:
			return -1, true
		}
		return 0, false
	}
	up := 1 // a move up takes chlorine or time away
	if w == ResidualHigh {
		up = -1
	}
	switch c.Kind {
	case quantity.ChlorineTotal, quantity.ChlorineFree, quantity.ORP, CT, Contact:
		return -up, true
	case quantity.Flow, Demand, quantity.NitriteN, quantity.BOD5, quantity.CBOD5, quantity.COD, quantity.TSS, quantity.TurbidityK:
		return up, false
	case quantity.AmmoniaN:
		// Up past the breakpoint it binds and uses chlorine; where the plant
		// lives with chloramines, down does.
		return 2, false
	case quantity.HypochloriteFeed, quantity.ChlorineFeed, Dose, Strength, quantity.HypochloriteGrams, quantity.RunStatus, quantity.Level:
		return -up, false
	case quantity.Temp:
		if requirementMoves {
			return -1, false
		}
	case quantity.PH:
		if requirementMoves {
			return 1, false
		}
	}
	return 0, false
}

// pick chooses from each track's moves those that belong to the episode, and
// keeps apart those of signals that can neither bring the breach about nor show
// it. Of several moves the first that can have begun it stands for a signal: a
// usual step of the evening before is not the stop of this morning.
func pick(in *Input, e *Episode, w What, tracks []Track, from, until int64, s *Settings) (out, aside []Move) {
	for k := range tracks {
		t := &tracks[k]
		c := &in.Columns[t.Column]
		way, effect := pushes(w, c, in.Basin.RequiredAt != nil)
		var mine []Move
		for _, m := range t.Moves {
			lag := m.AtOutlet - m.At
			if m.End+lag < e.Start-s.Stale.Milliseconds() {
				t.Passing++
				continue
			}
			m.Effect = effect
			m.Pushes = way == 2 || way != 0 && float64(way)*m.Size > 0
			m.Answers = c.Steers && way != 0 && !m.Pushes
			mine = append(mine, m)
		}
		if len(mine) == 0 {
			continue
		}
		first := mine[0]
		for _, m := range mine {
			timely := m.AtOutlet >= from && m.earliest() <= until
			if m.Pushes && (timely || !first.Pushes) {
				first = m
			}
			if m.Pushes && timely {
				break
			}
		}
		if !first.Pushes && !first.Answers {
			aside = append(aside, first)
			continue
		}
		out = append(out, first)
		if c.Steers && first.Pushes {
			for _, m := range mine {
				if m.Answers && m.At > first.At {
					out = append(out, m)
					break
				}
			}
		}
	}
	return out, aside
}

// inOrder sorts moves by the time on the basin outlet's clock; those that the
// data cannot tell apart (see Settings.Tie and Move.Unsure) from the earliest of
// their group are told in the order of the water's way, the order of the columns.
func inOrder(ms []Move, s *Settings) {
	sort.SliceStable(ms, func(i, j int) bool {
		if ms[i].AtOutlet != ms[j].AtOutlet {
			return ms[i].AtOutlet < ms[j].AtOutlet
		}
		return ms[i].Column < ms[j].Column
	})
	for a := 0; a < len(ms); {
		b := a + 1
		for b < len(ms) && ms[b].AtOutlet-ms[a].AtOutlet <= max(s.Tie.Milliseconds(), min(ms[a].Unsure, ms[b].Unsure)) {
			b++
		}
		group := ms[a:b]
		sort.SliceStable(group, func(i, j int) bool { return group[i].Column < group[j].Column })
		a = b
	}
}

// markFirst marks the first mover: the first in order that moved the way that
// can bring the breach about, before until on the basin outlet's clock, and does
// not merely show it. Where there is none,
// the first that shows it. Doubted instruments come last. For the residual after
// dechlorination, what comes in and what takes it out meet at one place: of
// those that cannot be told apart in time the one that moved furthest from its
// scatter is taken. See creeping for a demand that had long been rising.
func markFirst(ms []Move, w What, from, until int64, s *Settings) {
	creeps := creeping(ms, s)
	best, rank := -1, math.MaxInt
	for i := range ms {
		r := 0
		if !ms[i].Pushes || ms[i].earliest() > until || ms[i].AtOutlet < from {
			continue
		}
		if ms[i].Effect {
			r += 2
		}
		if ms[i].Doubted {
			r++
		}
		if creeps && ms[i].Kind == Demand {
			r++
			ms[i].Crept = true
		}
		tied := best >= 0 && r == rank && ms[i].AtOutlet-ms[best].AtOutlet <= s.Tie.Milliseconds()
		if r < rank || w == FinalHigh && tied && ms[i].Sigmas > ms[best].Sigmas {
			best, rank = i, r
		}
	}
	if best < 0 {
		return
	}
	ms[best].First = true
	// Told before those it cannot be told apart from.
	for k := best; k > 0 && ms[k].AtOutlet-ms[k-1].AtOutlet <= s.Tie.Milliseconds() && ms[k-1].AtOutlet-ms[k].AtOutlet <= s.Tie.Milliseconds() && !ms[k-1].Doubted && w == FinalHigh; k-- {
		ms[k], ms[k-1] = ms[k-1], ms[k]
	}
}

// creeping reports whether the demand had been moving for longer than CreepLead
// before anything showed at the outlet, while another signal that can bring the
// breach about moved just before it showed. The demand is reckoned, not measured:
// a feed that keeps up with a slow rise of it leaves no trace of it in the
// residual, and what the feed could not follow is what counts.
func creeping(ms []Move, s *Settings) bool {
	shows := int64(math.MaxInt64)
	for _, m := range ms {
		if m.Effect && m.Pushes {
			shows = min(shows, m.AtOutlet)
		}
	}
	early, other := false, false
	for _, m := range ms {
		if m.Effect || !m.Pushes || shows == math.MaxInt64 {
			continue
		}
		before := m.AtOutlet < shows-s.CreepLead.Milliseconds()
		if m.Kind == Demand {
			early = before
		} else if !before && m.AtOutlet <= shows+s.Tie.Milliseconds() {
			other = true
		}
	}
	return early && other
}

// notBefore sets aside feeds that moved against the breach before the first mover
// did: that was no answer to it.
func notBefore(ms []Move) (kept, aside []Move) {
	from := int64(math.MinInt64)
	for _, m := range ms {
		if m.First {
			from = m.At
		}
	}
	for _, m := range ms {
		if m.Answers && m.At < from {
			m.Answers = false
			aside = append(aside, m)
			continue
		}
		kept = append(kept, m)
	}
	return kept, aside
}
