// Package record turns a file into whole records: it unpacks, decodes the text,
// cuts it into blocks that end where a record ends, and a record into its cells.
// It knows nothing of what the cells mean.
package record

import (
	"bytes"
	"errors"
	"io"
)

const (
	MaxRecord      = 1 << 20  // a longer row is damaged
	maxQuoted      = 64 << 10 // a quoted field that is longer, or
	maxQuotedLines = 50       // runs over more lines, begins with a stray quote
)

// RecordEnd gives the index behind the record that begins at i, its line end
// included. ok is false when b ends before the record does; with eof the end
// of b ends it.
//
// A line end within a quoted field belongs to the field. A quote opens a field
// only at its start; one that does not close within maxQuoted bytes and
// maxQuotedLines lines is taken as a character like any other.
func RecordEnd(b []byte, i int, sep, term byte, eof bool) (end int, ok bool) {
	n := bytes.IndexByte(b[i:], term)
	if n < 0 {
		return len(b), eof
	}
	first := i + n + 1
	if bytes.Count(b[i:first], quoteMark)%2 == 0 {
		return first, true
	}
	inside, lines, opened := false, 0, 0
	for j := i; j < len(b); j++ {
		c := b[j]
		if inside {
			if j-opened > maxQuoted || lines > maxQuotedLines {
				return first, true
			}
			switch c {
			case '"':
				if j+1 < len(b) && b[j+1] == '"' {
					j++
				} else {
					inside = false
				}
			case term:
				lines++
			}
			continue
		}
		switch {
		case c == term:
			return j + 1, true
		case c == '"' && (j == i || b[j-1] == sep):
			inside, opened = true, j
		}
	}
	if eof || len(b)-i > MaxRecord {
		return first, true
	}
	return len(b), false
}

var quoteMark = []byte{'"'}

// Cutter cuts a stream into blocks of whole records.
type Cutter struct {
	R         io.Reader
	Sep, Term byte
	Size      int
	tail      []byte // begun record
	eof       bool
	done      bool
	skipping  bool // inside a record longer than MaxRecord
	got       func(n int64)
}

// chunk is one block as cut.
type chunk struct {
	Buf []byte // whole records
	// long is the beginning of a record after buf that was left out: longer than
	// MaxRecord, or broken off by an error of the stream.
	Long []byte
}

var errCutOff = errors.New("the file is cut off")

// Honest tells a stream that is cut off within its packing from one that ends
// within a block: io.ReadFull uses the same error for both.
type Honest struct{ io.Reader }

func (h Honest) Read(p []byte) (int, error) {
	n, err := h.Reader.Read(p)
	if err == io.ErrUnexpectedEOF {
		err = errCutOff
	}
	return n, err
}

var ErrAllRead = errors.New("all read")

// Next fills buf's memory with the next block. The error is ErrAllRead at the
// end, else the stream's; what was read before it is given first.
func (c *Cutter) Next(buf []byte) (chunk, []byte, error) {
	if c.done {
		return chunk{}, buf, ErrAllRead
	}
	buf = append(buf[:0], c.tail...)
	c.tail = c.tail[:0]
	want := c.Size
	for {
		if need := len(buf) + want + HotMargin; cap(buf) < need {
			buf = append(make([]byte, 0, need+need/8), buf...)
		}
		var err error
		if !c.eof {
			var n int
			n, err = io.ReadFull(c.R, buf[len(buf):len(buf)+want])
			buf = buf[:len(buf)+n]
			if c.got != nil {
				c.got(int64(n))
			}
			if err == io.EOF || err == io.ErrUnexpectedEOF {
				c.eof, err = true, nil
			}
		}
		if err != nil { // a damaged stream: give what came whole, then the error
			c.eof, c.done = true, true
			end := bytes.LastIndexByte(buf, c.Term) + 1
			ch := chunk{Buf: buf[:end]}
			if end < len(buf) { // the row that it broke off in
				ch.Long = append([]byte(nil), buf[end:min(len(buf), end+401)]...)
			}
			return ch, buf, err
		}
		// Behind the last row of a file there is nothing that reads as its rest.
		clear(buf[len(buf):min(cap(buf), len(buf)+HotMargin)])
		if c.skipping {
			i := bytes.IndexByte(buf, c.Term)
			if i < 0 {
				if c.eof {
					c.done = true
					return chunk{}, buf, nil
				}
				buf = buf[:0]
				continue
			}
			c.skipping = false
			buf = buf[:copy(buf, buf[i+1:])]
		}
		end := c.lastEnd(buf)
		if c.eof {
			end = len(buf)
			c.done = true
		}
		if len(buf)-end > MaxRecord && !c.eof {
			// One record over the limit: cut it out.
			long := append([]byte(nil), buf[end:end+400]...)
			if i := bytes.IndexByte(buf[end:], c.Term); i >= 0 {
				c.tail = append(c.tail, buf[end+i+1:]...)
			} else {
				c.skipping = true
			}
			return chunk{Buf: buf[:end], Long: long}, buf, nil
		}
		if end > 0 || c.eof {
			c.tail = append(c.tail, buf[end:]...)
			return chunk{Buf: buf[:end]}, buf, nil
		}
		want = max(len(buf), c.Size)
	}
}

// lastEnd gives where the last whole record of b ends.
func (c *Cutter) lastEnd(b []byte) int {
	if bytes.IndexByte(b, '"') < 0 {
		return bytes.LastIndexByte(b, c.Term) + 1
	}
	i := 0
	for i < len(b) {
		e, ok := RecordEnd(b, i, c.Sep, c.Term, false)
		if !ok {
			break
		}
		i = e
	}
	return i
}

// HotMargin is how many bytes must follow the place where a row, or a cell of a
// wide one, begins, so that loads need no checks: a tag that ends within HotName
// bytes of the row's start, a time of at most 64, a number of at most 40, and the
// two words that a quality is told by, with the separators and quotes around them.
const (
	HotMargin = 256
	HotName   = 96
)
