package sample

import (
	"bufio"
	"bytes"
	"io"
)

// Fuller makes another sample of a file whose first rows hold no values, as one that
// begins in an outage: its first lines, and behind them rows from further on that hold
// more digits than any of those, as many as a sample has. It reads as far as it needs.
// nil: there are none.
func Fuller(head []byte, rest io.Reader, term byte) []byte {
	const kept = 60 // lines of the beginning, with the heading
	in := bufio.NewReaderSize(io.MultiReader(bytes.NewReader(head), rest), 64<<10)
	var out []byte
	most, found := 0, 0
	for n := 0; found < SniffRows-kept; n++ {
		line, err := in.ReadSlice(term)
		long := err == bufio.ErrBufferFull
		for err == bufio.ErrBufferFull {
			_, err = in.ReadSlice(term)
		}
		digits := 0
		for _, c := range line {
			if c-'0' <= 9 || c >= 0x80 { // full-width ones, too
				digits++
			}
		}
		switch {
		case long:
		case n < kept:
			out = append(out, line...)
			if n >= kept/2 { // behind heading and remarks
				most = max(most, digits)
			}
		case n < SniffRows:
			most = max(most, digits)
		case digits > most:
			out = append(out, line...)
			found++
		}
		if err != nil {
			break
		}
	}
	if found == 0 {
		return nil
	}
	return out
}
