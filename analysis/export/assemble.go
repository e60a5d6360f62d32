package export

import (
	"runtime"
	"sync"

	"weirbook/analysis/series"
)

// piece is one run of a tag, and the table it came from.
type piece struct {
	*run
	table int
}

func (p piece) first() int64 { return p.t[0] }
func (p piece) end() int64   { return p.t[len(p.t)-1] }

// tagPieces is all of a tag.
type tagPieces struct {
	name   string
	spec   *tagSpec
	pieces []piece
	tracks map[int][]*track // by table, for the ledger

	shared minuteSet // minutes that several pieces claim
	again  bool
	raw    []placed // single readings in and around them, read again with their lines
	fresh  *run     // what those minutes make, condensed anew
}

// assemble joins every tag's runs into its series. Runs that follow one another
// are joined end to end. Where they share minutes (files that overlap, a block
// written twice, rows out of order) their files are read again, the single
// readings are sorted together and condensed anew, and what repeats is set aside
// with its line.
func (r *reader) assemble() error {
	r.res.Series = map[string]*series.Series{}
	tags := map[string]*tagPieces{}
	for ti, t := range r.tables {
		for _, k := range t.tracks {
			if k == nil || !k.spec.ruled {
				continue
			}
			g := tags[k.spec.name]
			if g == nil {
				g = &tagPieces{name: k.spec.name, spec: k.spec, tracks: map[int][]*track{}}
				tags[k.spec.name] = g
			}
			g.tracks[ti] = append(g.tracks[ti], k)
			for _, x := range append([]*run{&k.main}, k.runs...) {
				if len(x.t) > 0 {
					g.pieces = append(g.pieces, piece{x, ti})
				}
			}
		}
	}
	names := sortedKeys(tags)
	var again []*tagPieces
	for _, n := range names {
		g := tags[n]
		g.findShared()
		if g.again {
			again = append(again, g)
		}
	}
	for len(again) > 0 {
		n := r.fewEnough(again)
		if err := r.readAgain(again[:n]); err != nil {
			return err
		}
		// Set-aside lists are shared between tags: repeats are dropped one tag
		// after the other; the rest goes side by side.
		for _, g := range again[:n] {
			sortPlaced(g.raw)
			g.dropRepeats()
		}
		sideBySide(n, func(i int) {
			g := again[i]
			g.fresh, g.raw = g.condense(), nil
		})
		again = again[n:]
	}
	out := make([]*series.Series, len(names))
	sideBySide(len(names), func(i int) {
		g := tags[names[i]]
		if len(g.shared.words) > 0 {
			out[i] = g.merge().series(g.name)
		} else {
			out[i] = g.join().series(g.name)
		}
		g.release()
	})
	for i, n := range names {
		r.res.Series[n] = out[i]
	}
	return nil
}

// sideBySide does what do does for 0 to n-1, on all cores.
func sideBySide(n int, do func(i int)) {
	var wg sync.WaitGroup
	gate := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i := range n {
		gate <- struct{}{}
		wg.Go(func() {
			do(i)
			<-gate
		})
	}
	wg.Wait()
}

// release lets go of runs that are in the series now.
func (g *tagPieces) release() {
	g.pieces, g.fresh = nil, nil
	for _, ks := range g.tracks {
		for _, k := range ks {
			k.main, k.runs = run{}, nil
		}
	}
}

// join puts pieces that follow one another end to end.
func (g *tagPieces) join() *run {
	if len(g.pieces) == 1 {
		return g.pieces[0].run
	}
	n, flags := 0, false
	for _, p := range g.pieces {
		n += len(p.t)
		flags = flags || len(p.f) > 0
	}
	o := &run{t: make([]int64, 0, n), v: make([]float64, 0, n)}
	for _, p := range g.pieces {
		if flags {
			o.padFlags(len(o.t))
		}
		o.t = append(o.t, p.t...)
		o.v = append(o.v, p.v...)
		if flags {
			o.f = append(o.f, p.f...)
		}
	}
	return o
}

// series wraps a run.
func (o *run) series(name string) *series.Series {
	s := &series.Series{Tag: name, T: o.t, V: o.v}
	o.padFlags(len(o.t))
	s.F = o.f
	if s.F == nil {
		s.F = []series.Flag{}
	}
	return s
}
