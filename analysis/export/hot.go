package export

import (
	"encoding/binary"
	"unsafe"

	"weirbook/analysis/series"
)

// The paths that nearly every row of a large export takes: hotlong.go and
// hotwide.go. They read rows whose cells are plain and mostly like those of the
// row before: the minute last met or another of its hour, the tag that followed
// last time, a quality met before. Each gives up without a trace at the first
// sign of anything else, and the row goes to longFast, wideFast or slow.

// hotMargin is how many bytes must follow the place where a row, or a cell of a
// wide one, begins, so that loads need no checks: a tag that ends within hotName
// bytes of the row's start, a time of at most 64, a number of at most 40, and the
// two words that a quality is told by, with the separators and quotes around them.
const (
	hotMargin = 256
	hotName   = 96
)

// at8 is the eight bytes at p; the caller knows that they are there.
func at8(base unsafe.Pointer, p int) uint64 {
	return binary.LittleEndian.Uint64((*[8]byte)(unsafe.Add(base, p))[:])
}

func at1(base unsafe.Pointer, p int) byte { return *(*byte)(unsafe.Add(base, p)) }

// word16 is a text of up to 16 bytes in two machine words, with masks.
type word16 struct {
	k0, k1, m0, m1 uint64
	n              int // 0: none, or longer than 16 bytes
}

func makeWord(b []byte) word16 {
	if len(b) == 0 || len(b) > 16 {
		return word16{}
	}
	var k, m [16]byte
	copy(k[:], b)
	for i := range b {
		m[i] = 0xff
	}
	return word16{
		binary.LittleEndian.Uint64(k[:]), binary.LittleEndian.Uint64(k[8:]),
		binary.LittleEndian.Uint64(m[:]), binary.LittleEndian.Uint64(m[8:]), len(b),
	}
}

// here says whether the text stands at p.
func (w *word16) here(base unsafe.Pointer, p int) bool {
	return (at8(base, p)^w.k0)&w.m0|(at8(base, p+8)^w.k1)&w.m1 == 0
}

// hotTag is what the hot paths know of a tag.
type hotTag struct {
	word      word16  // its name as it stands, with the separators around it
	low, high float64 // strictly between: plain (see tagSpec.quickLow)
	next      int32   // the tag that followed last time; -1: none yet
}

// hotQuality is a quality cell as it stands, with the separator before it and
// the line end behind it.
type hotQuality struct {
	word word16
	text string
	flag series.Flag
}
