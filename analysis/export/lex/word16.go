package lex

import (
	"encoding/binary"
	"unsafe"
)

// At8 is the eight bytes at p; the caller knows that they are there.
func At8(base unsafe.Pointer, p int) uint64 {
	return binary.LittleEndian.Uint64((*[8]byte)(unsafe.Add(base, p))[:])
}

func At1(base unsafe.Pointer, p int) byte { return *(*byte)(unsafe.Add(base, p)) }

// Word16 is a text of up to 16 bytes in two machine words, with masks.
type Word16 struct {
	k0, k1, m0, m1 uint64
	N              int // 0: none, or longer than 16 bytes
}

func MakeWord(b []byte) Word16 {
	if len(b) == 0 || len(b) > 16 {
		return Word16{}
	}
	var k, m [16]byte
	copy(k[:], b)
	for i := range b {
		m[i] = 0xff
	}
	return Word16{
		binary.LittleEndian.Uint64(k[:]), binary.LittleEndian.Uint64(k[8:]),
		binary.LittleEndian.Uint64(m[:]), binary.LittleEndian.Uint64(m[8:]), len(b),
	}
}

// Here says whether the text stands at p.
func (w *Word16) Here(base unsafe.Pointer, p int) bool {
	return (At8(base, p)^w.k0)&w.m0|(At8(base, p+8)^w.k1)&w.m1 == 0
}
