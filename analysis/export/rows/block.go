package rows

import (
	"bytes"
	"math"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/record"
	"weirbook/analysis/lab"
	"weirbook/analysis/series"
)

// Block is a stretch of whole records and what a worker made of them.
type Block struct {
	Seq  int
	Term byte

	newest bool   // see format
	Mem    []byte // reused memory
	Buf    []byte
	Long   []byte // a record over the limit that followed
	Err    error  // of the stream, behind buf
	First  int    // line of buf's first byte, set when merged
	Lines  int

	Segs     []Seg // by tag
	Grid     grid  // plain rows of a wide file
	Touched  []int
	Aside    []AsideRow
	AsideN   [ledger.NumReasons]int
	Untagged [ledger.NumReasons]int // rows of no tag
	Rows     int                    // data rows
	Blanks   int
	Comment  int
	Turn     string // the line behind buf, where another table begins
	Words    map[wordKey]int
	Lab      []LabRow
	Descs    []TagText // of tags that the block's worker meets for the first time
}

// TagText is what a row says in words about its tag.
type TagText struct {
	Tag  int
	Text string
}

// LabRow is a cell of a sampled tag that holds more than a number.
type LabRow struct {
	Off  uint32
	Tag  int
	Cell lab.Cell
}

type wordKey struct {
	Tag  int
	Text string
}

// AsideRow is a row set aside, for set-aside.csv.
type AsideRow struct {
	Off  uint32
	Tag  int // -1: none
	Why  ledger.Reason
	Text string
}

// Seg is one tag's part of a block.
type Seg struct {
	Recs  []Rec
	spare []Rec // see Unfold
	// Plain readings of a wide file, as columns (see grid); recs is empty then.
	Pt   []int64
	Pv   []float64
	Poff []uint32

	Used     bool
	Rows     int // besides the plain ones
	Plains   int // readings that called for nothing
	Aside    [ledger.NumReasons]int
	Unsorted bool // not all in the file's order of time
	Dense    bool // two readings share a minute
	Twice    bool
	Holes    int  // of recs, no readings
	InCells  bool // units stand beside numbers in the cells
	lastT    int64

	Numbers, Whole, Zeros, Limits int
	Min, Max                      float64
	FirstT, EndT                  int64
	FlagN                         [5]int // Bad, Uncertain, OutsideSpan, SuspectFill, and < or > by flags below
	Less, Greater                 int
}

func (s *Seg) reset(newest bool) {
	*s = Seg{Recs: s.Recs[:0], spare: s.spare[:0], Min: math.Inf(1), Max: math.Inf(-1), lastT: -1 << 60, FirstT: math.MaxInt64, EndT: math.MinInt64}
	if newest {
		s.lastT = 1 << 60
	}
}

func (s *Seg) countFlags(f series.Flag) {
	if f&series.Bad != 0 {
		s.FlagN[0]++
	}
	if f&series.Uncertain != 0 {
		s.FlagN[1]++
	}
	if f&series.OutsideSpan != 0 {
		s.FlagN[2]++
	}
	if f&series.SuspectFill != 0 {
		s.FlagN[3]++
	}
	if f&series.LessThan != 0 {
		s.Less++
	}
	if f&series.GreaterThan != 0 {
		s.Greater++
	}
}

func (b *Block) Reset() {
	for _, t := range b.Touched {
		b.Segs[t].Used = false
	}
	b.Touched = b.Touched[:0]
	b.Aside = b.Aside[:0]
	b.Lab = b.Lab[:0]
	b.Descs = b.Descs[:0]
	b.AsideN = [ledger.NumReasons]int{}
	b.Untagged = [ledger.NumReasons]int{}
	b.Rows, b.Blanks, b.Comment, b.Lines = 0, 0, 0, 0
	b.Long, b.Err, b.Turn = nil, nil, ""
	clear(b.Words)
	b.Grid.on = false
}

// seg gives tag's part to add single readings to.
func (b *Block) seg(tag int) *Seg {
	if b.Grid.on && !b.Grid.inRow && tag < len(b.Grid.mixed) && !b.Grid.mixed[tag] {
		b.mix(tag)
	}
	return b.touch(tag)
}

// touch gives tag's part, cleared at its first use in the block.
func (b *Block) touch(tag int) *Seg {
	b.room(tag + 1)
	s := &b.Segs[tag]
	if !s.Used {
		s.reset(b.newest)
		s.Used = true
		b.Touched = append(b.Touched, tag)
	}
	return s
}

// setAside counts a row or cell and keeps its text, up to the cap.
func (b *Block) setAside(off int, tag int, why ledger.Reason, text []byte) {
	if why == ledger.BlankValue {
		return // nothing to show
	}
	b.AsideN[why]++
	if b.AsideN[why] > ledger.SetAsideCap {
		return
	}
	b.Aside = append(b.Aside, AsideRow{uint32(off), tag, why, record.Shown(text)})
}

func (b *Block) word(tag int, text string) {
	if b.Words == nil {
		b.Words = map[wordKey]int{}
	}
	k := wordKey{tag, text}
	if _, ok := b.Words[k]; ok || len(b.Words) < 4096 {
		b.Words[k]++
	}
}

// LineCounter gives the line of offsets in a block. Neighbouring offsets cost
// the bytes between them; far ones a page, once the block's pages are counted.
type LineCounter struct {
	B     *Block
	off   int
	n     int   // line ends before off
	pages []int // line ends before each page
}

const linePage = 4096

// FromEnd starts at the end of a block.
func FromEnd(b *Block) LineCounter { return LineCounter{B: b, off: len(b.Buf), n: b.Lines} }

func (l *LineCounter) Line(off uint32) int {
	o := int(off)
	if d := o - l.off; d > 2*linePage || d < -2*linePage {
		if l.pages == nil {
			l.count()
		}
		l.off = o &^ (linePage - 1)
		l.n = l.pages[l.off/linePage]
	}
	term := []byte{l.B.Term}
	if o >= l.off {
		l.n += bytes.Count(l.B.Buf[l.off:o], term)
	} else {
		l.n -= bytes.Count(l.B.Buf[o:l.off], term)
	}
	l.off = o
	return l.B.First + l.n
}

func (l *LineCounter) count() {
	n := 0
	for o := 0; o <= len(l.B.Buf); o += linePage {
		l.pages = append(l.pages, n)
		n += bytes.Count(l.B.Buf[o:min(o+linePage, len(l.B.Buf))], []byte{l.B.Term})
	}
}

// room makes parts for so many tags.
func (b *Block) room(tags int) {
	if n := tags - len(b.Segs); n > 0 {
		b.Segs = append(b.Segs, make([]Seg, n)...)
	}
}

// Rec is one reading as a worker hands it over.
type Rec struct {
	T   int64
	V   float64
	Off uint32 // of its row in the block
	F   series.Flag
}

// Flags that only live between worker and track, in bits that package series
// does not use.
const (
	FTwice series.Flag = 1 << 15 // in a repeated hour; t is the first pass
	FHole  series.Flag = 1 << 13 // no reading, but a row of a repeated hour
)
