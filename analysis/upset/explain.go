package upset

import (
	"fmt"
	"math"

	"weirbook/analysis/align"
)

// Explanation is everything that is said about one episode, as plain data.
type Explanation struct {
	Episode  Episode
	Window   align.Window // what the timeline shows
	Week     align.Window // and its companion, clipped to the record
	Looked   align.Window // where moves were looked for
	Normal   Normal
	Moves    []Move // in order on the basin outlet's clock
	Aside    []Move // moved too, but cannot bring the breach about and do not show it
	Ruled    []Checked
	Tracks   []Track // of all columns, in their order, over Bins
	BinStart int64   // Unix ms of the first bin of Tracks
	BinMin   int
	Split    Split   // over the minutes short of CT; Parts nil: not applicable
	Hours    []Split // the same by local hour
	Held     []HeldHour
	// NotReckoned names instruments in doubt because of which Split and Held were
	// left out: they would explain readings that are not believed.
	NotReckoned []string
	Receiving   Receiving
	Doubts      []Doubt // those that touch Window
	Cause       Likely
	Unknown     []string // what is not known
	Settings    Settings
}

// First gives the first mover; false: none was found.
func (x *Explanation) First() (Move, bool) {
	for _, m := range x.Moves {
		if m.First {
			return m, true
		}
	}
	return Move{}, false
}

// Explain works out one episode. others are all episodes of the record (they are
// no normal operation); Find gives them.
func Explain(in Input, e Episode, others []Episode, s Settings) (Explanation, error) {
	if err := in.check(); err != nil {
		return Explanation{}, err
	}
	if e.End <= e.Start {
		return Explanation{}, fmt.Errorf("upset: the episode ends at or before its start")
	}
	first, last := in.Grid.Milli(0), in.Grid.Milli(in.Grid.N)
	if e.End <= first || e.Start >= last {
		return Explanation{}, fmt.Errorf("upset: the episode from %s lies outside the record", moment(e.Start, in.Loc))
	}
	x := Explanation{Episode: e, BinMin: s.BinMin, Settings: s}
	clip := func(a, b int64) align.Window { return align.Window{Start: max(a, first), End: min(b, last)} }
	look := clip(e.Start-s.Look.Milliseconds(), e.End)
	base := clip(look.Start-s.Base.Milliseconds(), look.Start)
	x.Looked = look
	x.Window = clip(min(e.Start-6*3600_000, e.Start-(e.End-e.Start)/4), e.End+s.RecoverAfter.Milliseconds())
	mid := (e.Start + e.End) / 2
	half := max(int64(84*3600_000), (e.End-e.Start)*3/4)
	x.Week = clip(mid-half, mid+half)

	ok := clean(&in, others, &s, e.Stretch)
	lo := max(in.Grid.Index(base.Start), 0)
	hi := min(in.Grid.Index(x.Window.End), in.Grid.N)
	var shifts []int
	shifts, x.Normal = days(&in, ok, in.Grid.Milli(lo), e.Start, &s)
	r := newReference(&in, ok, shifts, lo, hi, &s)
	x.BinStart = in.Grid.Milli(lo)

	what := What("")
	if len(e.Breaches) > 0 {
		what = e.Main().What
	}
	for k := range in.Columns {
		if in.Columns[k].V == nil {
			continue
		}
		x.Tracks = append(x.Tracks, track(&in, r, k, base, look, &s))
	}
	from, until := int64(math.MinInt64), int64(math.MaxInt64)
	if len(e.Breaches) > 0 {
		from, until = e.Start-x.early(&in), e.Start+x.late()
	}
	x.Moves, x.Aside = pick(&in, &e, orCT(what), x.Tracks, from, until, &s)
	inOrder(x.Moves, &s)
	markFirst(x.Moves, what, from, until, &s)
	var early []Move
	x.Moves, early = notBefore(x.Moves)
	x.Aside = append(x.Aside, early...)
	inOrder(x.Aside, &s)
	x.Ruled = ruleOut(&in, x.Tracks, append(append([]Move(nil), x.Moves...), x.Aside...), look, &s)

	reach := (s.SearchDays + 2) * 1440
	p := newParcels(&in, lo-reach, hi+reach)
	x.NotReckoned = e.DoubtfulCT()
	if len(x.NotReckoned) == 0 && (len(e.Of(CTShort)) > 0 || len(e.Of(ResidualLow)) > 0) {
		short := minutesOf(&in, &e)
		normal := p.normals(r)
		w := align.Window{Start: e.Start, End: e.End}
		x.Split = p.splitOver(r, normal, w, func(i int) bool { return short[i] })
		for _, h := range align.Hours(e.Start, e.End, in.Loc) {
			if q := p.splitOver(r, normal, h, func(i int) bool { return short[i] }); q.Minutes > 0 {
				x.Hours = append(x.Hours, q)
			}
		}
		x.Held = p.held(r, normal, w, &s)
	} else {
		x.Split = Split{NormalCT: math.NaN(), CT: math.NaN(), NormalNeed: math.NaN(), Need: math.NaN()}
	}
	x.Receiving = receive(&in, clip(e.Start, e.End), &s)
	for _, d := range in.Doubts {
		if d.End > x.Window.Start && d.Start < x.Window.End {
			x.Doubts = append(x.Doubts, d)
		}
	}
	x.Cause = likely(&in, &x)
	x.doubtByCause(&in)
	x.Unknown = unknown(&in, &x)
	return x, nil
}

// orCT takes an episode without any breach for one of CT: the person who names
// the times asks what disturbed the disinfection.
func orCT(w What) What {
	if w == "" {
		return CTShort
	}
	return w
}

// minutesOf marks the minutes of the episode that were short of CT; where none
// were, those with too little residual.
func minutesOf(in *Input, e *Episode) []bool {
	out := make([]bool, in.Grid.N)
	what := CTShort
	if len(e.Of(CTShort)) == 0 {
		what = ResidualLow
	}
	for k := range in.Judged {
		j := &in.Judged[k]
		if j.What != what {
			continue
		}
		for _, b := range e.Of(what) {
			lo, hi := max(in.Grid.Index(b.Start), 0), min(in.Grid.Index(b.End-1)+1, in.Grid.N)
			for i := lo; i < hi; i++ {
				if v := at(j.V, i); !isNaN(v) && v < j.limit(i) {
					out[i] = true
				}
			}
		}
	}
	return out
}
