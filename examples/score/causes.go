package main

import (
	"fmt"
	"io"
	"slices"

	"weirbook/analysis"
	"weirbook/analysis/upset"
	"weirbook/examples/plants"
)

// causesOf are the likely causes that tell an event's story rightly. Chlorine that
// does not arrive and a demand look the same where no tag shows the feed.
var causesOf = map[plants.Kind][]upset.CauseKind{
	plants.FeedLost:     {upset.FeedFell},
	plants.FeedShort:    {upset.FeedFell, upset.DemandRose, upset.StrengthFell},
	plants.Weak:         {upset.StrengthFell, upset.DemandRose, upset.FeedFell},
	plants.FeedHigh:     {upset.FeedRose, upset.DemandFell, upset.ResidualRose},
	plants.Demand:       {upset.DemandRose},
	plants.Nitrite:      {upset.DemandRose, upset.AmmoniaMoved},
	plants.Breakthrough: {upset.AmmoniaMoved, upset.DemandRose},
	plants.NoDechlor:    {upset.BisulfiteFell},
	plants.Storm:        {upset.FlowRose},
	plants.LostSample:   {upset.MisledFeed, upset.InstrumentOnly},
	plants.ReadsLow:     {upset.MisledFeed, upset.InstrumentOnly},
	plants.ReadsOff:     {upset.MisledFeed, upset.InstrumentOnly},
	plants.StuckMeter:   {upset.MisledFeed, upset.InstrumentOnly},
	plants.FlowOff:      {upset.MisledFeed, upset.InstrumentOnly},
	plants.FlowCreeps:   {upset.MisledFeed, upset.InstrumentOnly},
	plants.FlowStuck:    {upset.MisledFeed, upset.InstrumentOnly},
}

// story is what an explained upset says of the event that it fell into.
type story struct {
	month, kind, where string
	cause              upset.CauseKind
	word               upset.Level
	verdict            string // right, not known, disputed, wrong
}

// stories holds each upset that falls into one event against it: its cause, and
// that its first mover came before the breach.
func stories(r *record, truth []plants.Event, res *analysis.Result) []story {
	var out []story
	for i := range res.Upsets {
		u := &res.Upsets[i]
		hit := -1
		for k := range r.events {
			e := &r.events[k]
			if _, ok := causesOf[truth[k].Kind]; ok && u.Episode.Start < e.end+pad && u.Episode.End > e.start && u.Episode.Start >= e.start {
				hit = k
			}
		}
		if hit < 0 {
			continue
		}
		s := story{month: r.name, kind: r.events[hit].kind, where: r.clock(u.Episode.Start), cause: u.Cause.Kind, word: u.Cause.Level, verdict: "wrong"}
		first, found := u.First()
		switch {
		case slices.Contains(causesOf[truth[hit].Kind], u.Cause.Kind):
			s.verdict = "right"
		case u.Cause.Kind == upset.CauseUnknown:
			s.verdict = "not known"
		case u.Cause.Disputed:
			s.verdict = "disputed"
		}
		if found && first.AtOutlet > u.Episode.Start+3600_000 {
			s.verdict = "wrong" // it moved after the breach
		}
		out = append(out, s)
	}
	return out
}

// explained prints how upsets were explained.
func explained(out io.Writer, ts []tally) {
	count, n := map[string]int{}, 0
	named, right := map[upset.Level]int{}, map[upset.Level]int{}
	for _, t := range ts {
		for _, s := range t.stories {
			count[s.verdict]++
			n++
			if s.cause != upset.CauseUnknown {
				named[s.word]++
			}
			if s.verdict == "right" {
				right[s.word]++
			}
		}
	}
	if n == 0 {
		return
	}
	fmt.Fprintf(out, "\nupsets that fall into an event: %d; the likely cause is right in %d, not known in %d, disputed in %d, wrong in %d\n",
		n, count["right"], count["not known"], count["disputed"], count["wrong"])
	for _, w := range []upset.Level{upset.High, upset.Moderate, upset.Low} {
		fmt.Fprintf(out, "of those with a cause, word %s: %d, right %d\n", w, named[w], right[w])
	}
}
