package export

import (
	"bytes"
	"math"

	"weirbook/analysis/series"
)

// block is a stretch of whole records and what a worker made of them.
type block struct {
	seq  int
	term byte

	newest bool   // see format
	mem    []byte // reused memory
	buf    []byte
	long   []byte // a record over the limit that followed
	err    error  // of the stream, behind buf
	first  int    // line of buf's first byte, set when merged
	lines  int

	segs    []seg // by tag
	grid    grid  // plain rows of a wide file
	touched []int
	aside   []asideRow
	asideN  [numReasons]int
	loose   [numReasons]int // rows of no tag
	rows    int             // data rows
	blanks  int
	comment int
	turn    string // the line behind buf, where another table begins
	words   map[wordKey]int
}

type wordKey struct {
	tag  int
	text string
}

// asideRow is a row set aside, for set-aside.csv.
type asideRow struct {
	off  uint32
	tag  int // -1: none
	why  Reason
	text string
}

// seg is one tag's part of a block.
type seg struct {
	recs []rec
	// Plain readings of a wide file, as columns (see grid); recs is empty then.
	pt   []int64
	pv   []float64
	poff []uint32

	used     bool
	rows     int // besides the plain ones
	plains   int // readings that called for nothing
	aside    [numReasons]int
	unsorted bool // not all in the file's order of time
	dense    bool // two readings share a minute
	twice    bool
	holes    int // of recs, no readings
	lastT    int64

	numbers, whole, zeros, limits int
	min, max                      float64
	firstT, endT                  int64
	flagN                         [5]int // Bad, Uncertain, OutsideSpan, SuspectFill, and < or > by flags below
	less, greater                 int
}

func (s *seg) reset(newest bool) {
	*s = seg{recs: s.recs[:0], min: math.Inf(1), max: math.Inf(-1), lastT: -1 << 60, firstT: math.MaxInt64, endT: math.MinInt64}
	if newest {
		s.lastT = 1 << 60
	}
}

func (s *seg) countFlags(f series.Flag) {
	if f&series.Bad != 0 {
		s.flagN[0]++
	}
	if f&series.Uncertain != 0 {
		s.flagN[1]++
	}
	if f&series.OutsideSpan != 0 {
		s.flagN[2]++
	}
	if f&series.SuspectFill != 0 {
		s.flagN[3]++
	}
	if f&series.LessThan != 0 {
		s.less++
	}
	if f&series.GreaterThan != 0 {
		s.greater++
	}
}

func (b *block) reset() {
	for _, t := range b.touched {
		b.segs[t].used = false
	}
	b.touched = b.touched[:0]
	b.aside = b.aside[:0]
	b.asideN = [numReasons]int{}
	b.loose = [numReasons]int{}
	b.rows, b.blanks, b.comment, b.lines = 0, 0, 0, 0
	b.long, b.err, b.turn = nil, nil, ""
	clear(b.words)
	b.grid.on = false
}

// seg gives tag's part to add single readings to.
func (b *block) seg(tag int) *seg {
	if b.grid.on && tag < len(b.grid.mixed) && !b.grid.mixed[tag] {
		b.mix(tag)
	}
	return b.touch(tag)
}

// touch gives tag's part, cleared at its first use in the block.
func (b *block) touch(tag int) *seg {
	b.room(tag + 1)
	s := &b.segs[tag]
	if !s.used {
		s.reset(b.newest)
		s.used = true
		b.touched = append(b.touched, tag)
	}
	return s
}

// setAside counts a row or cell and keeps its text, up to the cap.
func (b *block) setAside(off int, tag int, why Reason, text []byte) {
	if why == BlankValue {
		return // nothing to show
	}
	b.asideN[why]++
	if b.asideN[why] > SetAsideCap {
		return
	}
	b.aside = append(b.aside, asideRow{uint32(off), tag, why, shown(text)})
}

func (b *block) word(tag int, text string) {
	if b.words == nil {
		b.words = map[wordKey]int{}
	}
	k := wordKey{tag, text}
	if _, ok := b.words[k]; ok || len(b.words) < 4096 {
		b.words[k]++
	}
}

// lineCounter gives the line of offsets in a block. Neighbouring offsets cost
// the bytes between them; far ones a page, once the block's pages are counted.
type lineCounter struct {
	b     *block
	off   int
	n     int   // line ends before off
	pages []int // line ends before each page
}

const linePage = 4096

// fromEnd starts at the end of a block.
func fromEnd(b *block) lineCounter { return lineCounter{b: b, off: len(b.buf), n: b.lines} }

func (l *lineCounter) line(off uint32) int {
	o := int(off)
	if d := o - l.off; d > 2*linePage || d < -2*linePage {
		if l.pages == nil {
			l.count()
		}
		l.off = o &^ (linePage - 1)
		l.n = l.pages[l.off/linePage]
	}
	term := []byte{l.b.term}
	if o >= l.off {
		l.n += bytes.Count(l.b.buf[l.off:o], term)
	} else {
		l.n -= bytes.Count(l.b.buf[o:l.off], term)
	}
	l.off = o
	return l.b.first + l.n
}

func (l *lineCounter) count() {
	n := 0
	for o := 0; o <= len(l.b.buf); o += linePage {
		l.pages = append(l.pages, n)
		n += bytes.Count(l.b.buf[o:min(o+linePage, len(l.b.buf))], []byte{l.b.term})
	}
}

// room makes parts for so many tags.
func (b *block) room(tags int) {
	if n := tags - len(b.segs); n > 0 {
		b.segs = append(b.segs, make([]seg, n)...)
	}
}
