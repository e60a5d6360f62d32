package rows

import (
	"bytes"
	"unsafe"

	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/stamp"
	"weirbook/analysis/series"
)

// LongRows reads rows of a long file that begin from i to last, for as long as
// they are plain, and gives where the first one begins that is not. Its columns
// are time, tag, value or tag, time, value, and perhaps quality behind them
// (format.RowOrder), quoted as in the row last read otherwise (see spelling).
//
// What seldom changes from row to row is compared as machine words, with the
// separators around it; only the number is really read, in place.
func (w *Worker) LongRows(buf []byte, i, last int) int {
	h := &w.Time.Hot
	if w.prev < 0 || len(w.quals) == 0 {
		return i
	}
	var (
		base     = unsafe.Pointer(unsafe.SliceData(buf))
		sep, dec = w.f.Sep, w.f.Dec
		tagFirst = w.f.RowOrder == layout.TagTimeValue
		tags     = w.tags
		segs     = w.B.Segs
		qual     = &w.quals[0]
		prev     = w.prev
		looks    = w.Looks
		dir      = w.dir
		rows     int

		quoted    = w.spelling.time
		timeEnd   = sep
		afterTime = w.afterTime

		k0, k1 = h.K0, h.K1
		utc    = h.Base
		secs   = h.Secs
		tail   = h.Tail.N > 0 || !h.Ok
		inside = utc >= w.from && utc <= w.to-lex.Minute // all of the minute
	)
	if quoted {
		timeEnd = '"'
	}
	for i <= last {
		p, tag := i, 0
		if tagFirst {
			n := 0
			if tag, n = nextTag(tags, prev, base, p); n == 0 {
				if tag, n = w.tagAt(buf, i, p, prev); n == 0 {
					break
				}
			}
			p += n
		} else if quoted {
			if lex.At1(base, p) != '"' {
				break
			}
			p++
		}
		var ms int64
		if lex.At8(base, p+8) == k1 && lex.At8(base, p) == k0 && !tail {
			ms = utc
			p += 16
			if secs {
				d1, d2 := lex.At1(base, p+1)-'0', lex.At1(base, p+2)-'0'
				if lex.At1(base, p) != ':' || d1 > 5 || d2 > 9 {
					break
				}
				ms += int64(d1)*10000 + int64(d2)*1000
				p += 3
			}
		} else {
			n := 0
			if ms, n = h.At(base, p); n == 0 || lex.At1(base, p+n) != timeEnd {
				if ms, n = w.timeAt(buf, p, timeEnd); n == 0 {
					break
				}
			}
			p += n
			k0, k1, utc, secs, tail = h.K0, h.K1, h.Base, h.Secs, h.Tail.N > 0 || !h.Ok
			inside = ms >= w.from && ms < w.to && utc >= w.from && utc <= w.to-lex.Minute
		}
		if tagFirst {
			if !afterTime.Here(base, p) {
				break
			}
			p += afterTime.N
		} else {
			n := 0
			if tag, n = nextTag(tags, prev, base, p); n == 0 {
				if tag, n = w.tagAt(buf, i, p, prev); n == 0 {
					break
				}
			}
			p += n
		}

		x := lex.At8(base, p)
		neg := byte(x) == '-'
		if neg {
			p++
			x = lex.At8(base, p)
		}
		var v float64
		t, whole, digits, end := splitDecimal(x, dec)
		if end < 64 && digits > 0 {
			v = sumDecimal(t, whole, digits)
			p += end >> 3
		} else {
			n := 0
			if end == 64 {
				v, n = w.longNumber(buf, p)
			}
			if n == 0 {
				break
			}
			p += n
		}
		if neg {
			v = -v
		}
		n, flag := qual.word.N, qual.flag
		if !qual.word.Here(base, p) {
			if n, flag = w.qualityAt(base, p); n == 0 {
				break
			}
		}
		p += n

		if tag >= len(segs) || !segs[tag].Used {
			w.B.seg(tag)
			segs = w.B.Segs
		}
		s := &segs[tag]
		if flag == 0 && inside && v > tags[tag].low && v < tags[tag].high && dir*(ms-s.lastT) > 0 {
			s.plain(ms, v, i, looks)
		} else {
			s.Rows++
			w.put(s, w.specs[tag], ms, stamp.TimeOK, v, flag, i)
		}
		w.learned = false
		prev = tag
		i = p
		rows++
	}
	w.unlearn()
	w.prev = prev
	w.B.Rows += rows
	w.B.Lines += rows
	return i
}

// plain adds a reading that calls for nothing: in its working unit, of good
// quality, within its span and far from every fill number, and in the file's
// order of time.
func (s *Seg) plain(ms int64, v float64, off int, looks bool) {
	if lex.SameMinute(ms, s.lastT) {
		s.Dense = true
	}
	if looks {
		s.look(v, true)
	}
	s.lastT = ms
	s.Plains++
	s.Recs = append(s.Recs, Rec{ms, v + 0, uint32(off), 0}) // -0 becomes 0
}

// nextTag is the tag that followed prev last time, if it stands at p again with
// what is spelt around it; else n is 0.
func nextTag(tags []hotTag, prev int, base unsafe.Pointer, p int) (tag, n int) {
	if tag = int(tags[prev].next); tag >= 0 && tags[tag].word.Here(base, p) {
		n = tags[tag].word.N
	}
	return tag, n
}

// tagAt finds the tag at p of the row that begins at i, with the separators
// around it, when it is not the one expected behind prev or its name is long; n
// is 0 when it was not met before.
func (w *Worker) tagAt(buf []byte, i, p, prev int) (tag, n int) {
	before, after := w.beforeName, w.afterName
	// What may follow in the row has room behind the name.
	room := buf[p : i+record.HotName]
	if !bytes.HasPrefix(room, before) {
		return 0, 0
	}
	name := room[len(before):]
	if next := w.tags[prev].next; next >= 0 {
		want := w.raw[next]
		if e := len(want); e > 0 && e < len(name) && string(name[:e]) == string(want) && bytes.HasPrefix(name[e:], after) {
			return int(next), len(before) + e + len(after)
		}
	}
	e := bytes.IndexByte(name, after[0])
	if e <= 0 || !bytes.HasPrefix(name[e:], after) {
		return 0, 0
	}
	tag, ok := w.ids[string(name[:e])]
	if !ok {
		return 0, 0
	}
	w.tags[prev].next = int32(tag)
	return tag, len(before) + e + len(after)
}

// qualityAt finds the quality at p among those met before and gives its length,
// line end included, and flag; n is 0 when it is none of them.
func (w *Worker) qualityAt(base unsafe.Pointer, p int) (n int, flag series.Flag) {
	for k := range w.quals {
		if q := &w.quals[k]; q.word.Here(base, p) {
			n, flag = q.word.N, q.flag
			if flag == 0 && w.quals[0].flag != 0 { // good is the usual one
				w.quals[0], w.quals[k] = w.quals[k], w.quals[0]
			}
			return n, flag
		}
	}
	return 0, 0
}

// metQuality keeps a quality cell as it stands, with its flag, for qualityAt.
func (w *Worker) metQuality(cell []byte, flag series.Flag) {
	for k := range w.quals {
		if w.quals[k].text == string(cell) {
			return
		}
	}
	if len(w.quals) == cap(w.quals) || bytes.ContainsAny(cell, "\"\r\n") || bytes.IndexByte(cell, w.f.Sep) >= 0 {
		return // eight are enough; what had to be quoted never stands so
	}
	q := hotQuality{text: string(cell), flag: flag, word: w.qualityWord(string(cell))}
	if q.word.N > 0 {
		w.quals = append(w.quals, q)
	}
}
