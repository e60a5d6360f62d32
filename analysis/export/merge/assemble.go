package merge

import (
	"runtime"
	"sync"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/series"
)

// Piece is one run of a tag, and the table it came from.
type Piece struct {
	*Run
	Table int
}

func (p Piece) first() int64 { return p.T[0] }
func (p Piece) end() int64   { return p.T[len(p.T)-1] }

// TagPieces is all of a tag.
type TagPieces struct {
	Name   string
	Spec   *cell.TagSpec
	Pieces []Piece
	Tracks map[int][]*Track // by table, for the ledger

	Conflicts []Conflict // in order of time

	Shared minuteSet // minutes that several pieces claim
	Again  bool
	Raw    []placed // single readings in and around them, read again with their lines
	Fresh  *Run     // what those minutes make, condensed anew
}

// SideBySide does what do does for 0 to n-1, on all cores.
func SideBySide(n int, do func(i int)) {
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

// Release lets go of runs that are in the series now.
func (g *TagPieces) Release() {
	g.Pieces, g.Fresh = nil, nil
	for _, ks := range g.Tracks {
		for _, k := range ks {
			k.Main, k.Runs = Run{}, nil
		}
	}
}

// Join puts pieces that follow one another end to end.
func (g *TagPieces) Join() *Run {
	if len(g.Pieces) == 1 {
		return g.Pieces[0].Run
	}
	n, flags := 0, false
	for _, p := range g.Pieces {
		n += len(p.T)
		flags = flags || len(p.f) > 0
	}
	o := &Run{T: make([]int64, 0, n), v: make([]float64, 0, n)}
	for _, p := range g.Pieces {
		if flags {
			o.padFlags(len(o.T))
		}
		o.T = append(o.T, p.T...)
		o.v = append(o.v, p.v...)
		if flags {
			o.f = append(o.f, p.f...)
		}
	}
	return o
}

// Series wraps a run.
func (o *Run) Series(name string) *series.Series {
	s := &series.Series{Tag: name, T: o.T, V: o.v}
	o.padFlags(len(o.T))
	s.F = o.f
	if s.F == nil {
		s.F = []series.Flag{}
	}
	return s
}

// OrderSamples puts results of one time, a millisecond apart each, in the order of
// their values: the order of a file's rows must not matter.
func (o *Run) OrderSamples() {
	if len(o.f) > 0 {
		o.padFlags(len(o.T))
	}
	for i := 0; i < len(o.T); {
		j := i + 1
		for j < len(o.T) && o.T[j] == o.T[j-1]+1 {
			j++
		}
		for a := i + 1; a < j; a++ {
			for b := a; b > i && o.v[b] < o.v[b-1]; b-- {
				o.v[b], o.v[b-1] = o.v[b-1], o.v[b]
				if len(o.f) > 0 {
					o.f[b], o.f[b-1] = o.f[b-1], o.f[b]
				}
			}
		}
		i = j
	}
}
