package merge

import (
	"slices"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/rows"
)

// backward is the condenser of files whose newest reading stands first. It takes
// readings in strictly decreasing time and makes of each minute what a condenser
// would, had the same readings come the other way round. out grows newest first
// until turn.
type backward struct {
	how cell.Condensing
	out *Run

	min   int64
	open  []reading // of the minute at hand, newest first
	later reading   // the first one behind that minute
	any   bool      // later is one

	part      Run // what became of the minute
	condensed int // see condenser
}

func (b *backward) feed(x reading) {
	if b.how == cell.KeepAll {
		b.out.push(x)
		return
	}
	m := lex.FloorDiv(x.t, lex.Minute)
	if len(b.open) > 0 && m != b.min {
		b.close(&x)
	}
	b.min = m
	b.open = append(b.open, x)
}

// close writes the minute at hand; earlier is the last reading before it, if there
// is one.
func (b *backward) close(earlier *reading) {
	n := len(b.open)
	if n == 0 {
		return
	}
	first := b.open[n-1]
	if n == 1 {
		b.out.push(first)
	} else {
		b.part = Run{T: b.part.T[:0], v: b.part.v[:0], f: b.part.f[:0]}
		c := condenser{how: b.how, out: &b.part}
		if earlier != nil {
			c.feed(*earlier)
		}
		for _, x := range slices.Backward(b.open) {
			c.feed(x)
		}
		if b.how == cell.KeepLine && b.any {
			c.feed(b.later)
		}
		c.finish()
		b.condensed += c.condensed
		for i, t := range slices.Backward(b.part.T) {
			// An on-change tag may hold its last level on from the minute's end.
			holds := b.how == cell.KeepLevel && t == (b.min+1)*lex.Minute && (len(b.out.T) == 0 || t < b.out.T[len(b.out.T)-1])
			if holds || lex.FloorDiv(t, lex.Minute) == b.min {
				b.out.push(b.part.at(i))
			}
		}
	}
	b.later, b.any = first, true
	b.open = b.open[:0]
}

// bulk feeds readings of which no two share a minute, faster.
func (b *backward) bulk(recs []rows.Rec) {
	at := func(i int) reading { return reading{recs[i].T, recs[i].V, recs[i].F} }
	b.many(len(recs), at, func(i, j int) { b.out.bulk(recs[i:j]) })
}

// column is bulk for plain readings that stand as columns.
func (b *backward) column(ts []int64, vs []float64) {
	at := func(i int) reading { return reading{ts[i], vs[i], 0} }
	b.many(len(ts), at, func(i, j int) { b.out.column(ts[i:j], vs[i:j]) })
}

// many feeds n readings that have a minute each, but for the first, whose minute
// may be at hand, and the last, whose minute may go on.
func (b *backward) many(n int, at func(i int) reading, put func(i, j int)) {
	if b.how == cell.KeepAll {
		put(0, n)
		return
	}
	if n > 0 {
		b.feed(at(0))
	}
	if n > 2 {
		x := at(1)
		b.close(&x)
		put(1, n-1)
		b.later = at(n - 2)
	}
	if n > 1 {
		b.feed(at(n - 1))
	}
}

// Turn puts what a newest-first file gave in order of time. The tracks of a table
// may share a column of times: see run.
func (t *Table) Turn() {
	var shared []int64
	if t.Lead != nil {
		shared = t.Lead.Main.T
	}
	for _, k := range t.Tracks {
		o := &k.Main
		if len(o.f) > 0 {
			o.padFlags(len(o.T))
		}
		slices.Reverse(o.f)
		slices.Reverse(o.v)
		if o.like == nil {
			slices.Reverse(o.T)
		}
	}
	for _, k := range t.Tracks {
		if o := &k.Main; o.like != nil { // what the newest n were is now the last n
			o.T = shared[len(shared)-len(o.T):]
		}
	}
}
