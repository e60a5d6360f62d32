package upset

import (
	"fmt"
	"math"

	"weirbook/analysis/align"
)

// Checked is one signal that was looked at and did not move, or that could not
// be judged.
type Checked struct {
	Column    int
	Tag       string
	Title     string
	Unit      string
	Cover     float64 // share of the time looked at that is known
	Ruled     bool    // it was there and did not move; false: it cannot be ruled out
	Low, High float64 // seen
	Extreme   float64 // largest lasting departure from normal, signed, Unit
	Need      float64 // what would have counted as a move, Unit
	Says      string
	Why       string // why it cannot be ruled out; empty: it is
}

// ruleOut lists the tracks without a move that belongs to the episode.
func ruleOut(in *Input, tracks []Track, ms []Move, w align.Window, s *Settings) []Checked {
	moved := map[int]bool{}
	for _, m := range ms {
		moved[m.Column] = true
	}
	var out []Checked
	for k := range tracks {
		t := &tracks[k]
		if moved[t.Column] {
			continue
		}
		c := &in.Columns[t.Column]
		x := Checked{Column: t.Column, Tag: c.Tag, Title: c.Title, Unit: c.Unit, Cover: t.Cover, Low: t.Low, High: t.High,
			Extreme: t.Extreme, Need: t.Need, Ruled: t.Cover >= s.MinCover && !isNaN(t.Need)}
		doubt := c.doubted(in.Doubts, w.Start, w.End)
		switch {
		case t.Cover == 0:
			x.Why = "no readings in this time"
		case !x.Ruled:
			x.Why = fmt.Sprintf("readings cover only %s of the time", percent(t.Cover))
		case doubt:
			x.Ruled = false
			x.Why = "no move seen, but its instrument was in doubt"
		default:
			x.Says = fmt.Sprintf("%s stayed between %s and %s; its largest lasting departure from normal was %s, and %s would have counted as a move; readings cover %s of the time",
				c.Title, num(t.Low), with(t.High, c.Unit), with(math.Abs(t.Extreme), c.Unit), with(t.Need, c.Unit), percent(t.Cover))
			if t.Passing > 0 {
				x.Says += "; it had moved earlier and was back before the episode began"
			}
		}
		if x.Why != "" {
			x.Says = fmt.Sprintf("%s: %s, so it cannot be ruled out", c.Title, x.Why)
		}
		out = append(out, x)
	}
	return out
}
