package export

import "slices"

// backward is the condenser of files whose newest reading stands first. It takes
// readings in strictly decreasing time and makes of each minute what a condenser
// would, had the same readings come the other way round. out grows newest first
// until turn.
type backward struct {
	how hold
	out *run

	min   int64
	open  []reading // of the minute at hand, newest first
	later reading   // the first one behind that minute
	any   bool      // later is one

	part      run // what became of the minute
	condensed int // see condenser
}

func (b *backward) feed(x reading) {
	if b.how == keepAll {
		b.out.push(x)
		return
	}
	m := floorDiv(x.t, minute)
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
		b.part = run{t: b.part.t[:0], v: b.part.v[:0], f: b.part.f[:0]}
		c := condenser{how: b.how, out: &b.part}
		if earlier != nil {
			c.feed(*earlier)
		}
		for _, x := range slices.Backward(b.open) {
			c.feed(x)
		}
		if b.how == keepLine && b.any {
			c.feed(b.later)
		}
		c.finish()
		b.condensed += c.condensed
		for i, t := range slices.Backward(b.part.t) {
			// An on-change tag may hold its last level on from the minute's end.
			holds := b.how == keepLevel && t == (b.min+1)*minute && (len(b.out.t) == 0 || t < b.out.t[len(b.out.t)-1])
			if holds || floorDiv(t, minute) == b.min {
				b.out.push(b.part.at(i))
			}
		}
	}
	b.later, b.any = first, true
	b.open = b.open[:0]
}

// bulk feeds readings of which no two share a minute, faster.
func (b *backward) bulk(recs []rec) {
	at := func(i int) reading { return reading{recs[i].t, recs[i].v, recs[i].f} }
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
	if b.how == keepAll {
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

// turn puts what a newest-first file gave in order of time. The tracks of a table
// may share a column of times: see run.
func (t *tableRuns) turn() {
	var shared []int64
	if t.lead != nil {
		shared = t.lead.main.t
	}
	for _, k := range t.tracks {
		o := &k.main
		if len(o.f) > 0 {
			o.padFlags(len(o.t))
		}
		slices.Reverse(o.f)
		slices.Reverse(o.v)
		if o.like == nil {
			slices.Reverse(o.t)
		}
	}
	for _, k := range t.tracks {
		if o := &k.main; o.like != nil { // what the newest n were is now the last n
			o.t = shared[len(shared)-len(o.t):]
		}
	}
}
