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
	raw    []placed  // single readings in and around them, read again with their lines
	again  bool
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
	reread := map[int]map[string]*tagPieces{}
	for _, n := range names {
		g := tags[n]
		g.findShared()
		if !g.again {
			continue
		}
		for _, p := range g.pieces {
			if reread[p.table] == nil {
				reread[p.table] = map[string]*tagPieces{}
			}
			reread[p.table][n] = g
		}
	}
	for ti, t := range r.tables {
		if len(reread[ti]) == 0 {
			continue
		}
		kept := t.tracks
		t.tracks = nil
		_, err := r.pass(t, reread[ti])
		for _, k := range t.tracks {
			if k != nil {
				k.finish()
			}
		}
		t.tracks = kept
		if err != nil {
			return err
		}
	}
	// Set-aside lists are shared between tags: repeats are dropped one tag after
	// the other; the rest goes side by side.
	for _, n := range names {
		if g := tags[n]; g.again {
			sortPlaced(g.raw)
			g.dropRepeats()
		}
	}
	out := make([]*series.Series, len(names))
	var wg sync.WaitGroup
	gate := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i, n := range names {
		g := tags[n]
		wg.Add(1)
		gate <- struct{}{}
		go func() {
			defer func() { <-gate; wg.Done() }()
			if len(g.shared.words) > 0 {
				out[i] = g.merge().series(n)
			} else {
				out[i] = g.join().series(n)
			}
		}()
	}
	wg.Wait()
	for i, n := range names {
		r.res.Series[n] = out[i]
	}
	for _, t := range r.tables { // the runs are in the series now
		for _, k := range t.tracks {
			if k != nil {
				k.main, k.runs = run{}, nil
			}
		}
	}
	return nil
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
