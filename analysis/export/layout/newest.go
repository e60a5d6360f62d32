package layout

import (
	"bytes"
	"iter"

	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/stamp"
)

// NewestFirst says whether times go down from row to row at a file's head: at
// least nine steps in ten that go anywhere, of all pairs with times of their own.
func (f *Layout) NewestFirst(head []byte) bool {
	up, down := f.steps(head)
	if !f.Hourly {
		for _, o := range f.PairTimes[min(1, len(f.PairTimes)):] {
			pair := *f
			pair.Times.Time, pair.Times.Date, pair.Times.Clk = o.Col, -1, -1
			if o.Clk >= 0 {
				pair.Times.Time, pair.Times.Date, pair.Times.Clk = -1, o.Col, o.Clk
			}
			u, d := pair.steps(head)
			up, down = up+u, down+d
		}
	}
	return down > 9*up
}

// steps counts how often the time goes up and down from row to row.
func (f *Layout) steps(head []byte) (up, down int) {
	tm := f.Time
	tm.Clock = stamp.ZoneOf(nil)
	last, any := int64(0), false
	for cell := range f.TimeCells(head) {
		ms, st := tm.Read(cell)
		if st != stamp.TimeOK {
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

// TimeCells gives the time cells of a stretch of rows, joined where a time takes
// several.
func (f *Layout) TimeCells(b []byte) iter.Seq[[]byte] {
	last := max(f.Times.Time, f.Times.Date, f.Times.Clk, f.Times.Hour, f.Times.Minute, f.Times.Half, f.Times.Milli, f.Times.Off)
	for _, k := range f.Times.Ymd {
		last = max(last, k)
	}
	return func(yield func([]byte) bool) {
		for n := 0; len(b) > 0 && n < 3000; n++ {
			row := b
			if i := bytes.IndexByte(b, f.Term); i >= 0 {
				row, b = b[:i], b[i+1:]
			} else {
				b = nil
			}
			fs, _ := record.SplitRow(f.upTo(last, bytes.TrimRight(row, "\r\n")), f.Sep, nil, nil)
			cell := f.Times.Join(nil, func(i int) []byte {
				if i >= 0 && i < len(fs) {
					return fs[i]
				}
				return nil
			})
			if !yield(lex.Trim(cell)) {
				return
			}
		}
	}
}

// upTo cuts a row without quotes behind its column k.
func (f *Layout) upTo(k int, row []byte) []byte {
	if bytes.IndexByte(row, '"') >= 0 {
		return row
	}
	end := 0
	for range k + 1 {
		n := bytes.IndexByte(row[end:], f.Sep)
		if n < 0 {
			return row
		}
		end += n + 1
	}
	return row[:end-1]
}
