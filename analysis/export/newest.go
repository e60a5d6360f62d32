package export

import (
	"bytes"
	"iter"
)

// newestFirst says whether times go down from row to row at a file's head: at
// least nine steps in ten that go anywhere, of all pairs with times of their own.
func (f *format) newestFirst(head []byte) bool {
	up, down := f.steps(head)
	if !f.hourly {
		for _, o := range f.own[min(1, len(f.own)):] {
			pair := *f
			pair.times.time, pair.times.date, pair.times.clk = o.col, -1, -1
			if o.clk >= 0 {
				pair.times.time, pair.times.date, pair.times.clk = -1, o.col, o.clk
			}
			u, d := pair.steps(head)
			up, down = up+u, down+d
		}
	}
	return down > 9*up
}

// steps counts how often the time goes up and down from row to row.
func (f *format) steps(head []byte) (up, down int) {
	tm := f.tm
	tm.clock = zoneOf(nil)
	last, any := int64(0), false
	for cell := range f.timeCells(head) {
		ms, st := tm.read(cell)
		if st != timeOK {
			continue
		}
		switch {
		case !any || ms == last:
		case ms > last:
			up++
		default:
			down++
		}
		last, any = ms, true
	}
	return up, down
}

// timeCells gives the time cells of a stretch of rows, joined where a time takes
// several.
func (f *format) timeCells(b []byte) iter.Seq[[]byte] {
	last := max(f.times.time, f.times.date, f.times.clk, f.times.hour, f.times.minute, f.times.half)
	for _, k := range f.times.ymd {
		last = max(last, k)
	}
	return func(yield func([]byte) bool) {
		for n := 0; len(b) > 0 && n < 3000; n++ {
			row := b
			if i := bytes.IndexByte(b, f.term); i >= 0 {
				row, b = b[:i], b[i+1:]
			} else {
				b = nil
			}
			fs, _ := splitRow(f.upTo(last, bytes.TrimRight(row, "\r\n")), f.sep, nil, nil)
			cell := f.times.join(nil, func(i int) []byte {
				if i >= 0 && i < len(fs) {
					return fs[i]
				}
				return nil
			})
			if !yield(trim(cell)) {
				return
			}
		}
	}
}

// upTo cuts a row without quotes behind its column k.
func (f *format) upTo(k int, row []byte) []byte {
	if bytes.IndexByte(row, '"') >= 0 {
		return row
	}
	end := 0
	for range k + 1 {
		n := bytes.IndexByte(row[end:], f.sep)
		if n < 0 {
			return row
		}
		end += n + 1
	}
	return row[:end-1]
}
