package export

import (
	"bytes"
	"unsafe"
)

// hotMinute is what the hot paths know of times written as the last one was:
// sixteen bytes of date and hh:mm, perhaps :ss, and a tail that stays the same
// ("", "Z", ".000", "-06:00").
type hotMinute struct {
	ok     bool
	k0, k1 uint64 // the sixteen bytes
	base   int64  // their UTC time, ms
	secs   bool
	tail   word16

	hour  bool  // every minute of the hour may follow
	start int64 // UTC time of the hour's start
}

// learn keeps how b was read: a whole time cell whose minutes end at byte 16,
// in civil time c, with c's own offset or, as local, by the file's clock.
func (h *hotMinute) learn(r *timeReader, b []byte, c civilTime) {
	h.ok = false
	if b[13] != ':' {
		return
	}
	tail := b[16:]
	h.secs = len(tail) >= 3 && tail[0] == ':' && tail[1]-'0' <= 9 && tail[2]-'0' <= 9
	if h.secs {
		tail = tail[3:]
	}
	zone := tail
	if h.secs && len(zone) > 0 && (zone[0] == '.' || zone[0] == ',') {
		zone = bytes.TrimLeft(zone[1:], "0")
	}
	zone = bytes.TrimLeft(zone, " ")
	if len(zone) > 0 {
		if _, n := parseOffset(zone, r.names); n != len(zone) {
			return
		}
	}
	if len(tail) > 16 || len(zone) == 0 && c.hasOff {
		return
	}
	h.tail = makeWord(tail)
	h.k0, h.k1 = r.key0, r.key1
	sub := floorMod(c.ms, 60_000)
	hour := floorMod(c.ms, 3600_000)
	switch {
	case c.hasOff:
		h.base = c.ms - sub - c.off*1000 + r.shift
	case r.keyStat == timeOK:
		h.base = r.keyUTC
	default:
		return
	}
	h.start = h.base - (hour - sub)
	first := (c.ms - hour) / 1000
	h.hour = (c.hasOff && c.word == "" || r.fixed && !c.hasOff || first >= r.clock.lo && first+3600 <= r.clock.hi)
	h.ok = true
}

// next moves to another minute of the same hour; it gives false, and changes
// nothing, for anything else.
func (h *hotMinute) next(k0, k1 uint64) bool {
	const sameHour = 1<<48 - 1
	d1, d2 := byte(k1>>48)-'0', byte(k1>>56)-'0'
	if k0 != h.k0 || (k1^h.k1)&sameHour != 0 || d1 > 5 || d2 > 9 || !h.hour {
		return false
	}
	h.k1 = k1
	h.base = h.start + int64(d1*10+d2)*minute
	return true
}

// at gives the time at p and its length; n is 0 when it is not written as the
// last one.
func (h *hotMinute) at(base unsafe.Pointer, p int) (ms int64, n int) {
	if !h.ok {
		return 0, 0
	}
	if a, b := at8(base, p), at8(base, p+8); (b != h.k1 || a != h.k0) && !h.next(a, b) {
		return 0, 0
	}
	ms, n = h.base, 16
	if h.secs {
		d1, d2 := at1(base, p+17)-'0', at1(base, p+18)-'0'
		if at1(base, p+16) != ':' || d1 > 5 || d2 > 9 {
			return 0, 0
		}
		ms += int64(d1)*10000 + int64(d2)*1000
		n = 19
	}
	if h.tail.n > 0 && !h.tail.here(base, p+n) {
		return 0, 0
	}
	return ms, n + h.tail.n
}

// timeAt reads the time cell at p, up to the byte end, in any way; n is 0 when it
// is none that stands once on the clock. What it learns counts only if the row
// is taken: see unlearn.
func (w *worker) timeAt(buf []byte, p int, end byte) (ms int64, n int) {
	e := bytes.IndexByte(buf[p:min(p+64, len(buf))], end)
	if e <= 0 || bytes.IndexByte(buf[p:p+e], '\n') >= 0 {
		return 0, 0
	}
	ms, st, n := w.fastTime(buf[p : p+e])
	if n != e {
		ms, st = w.readTime(buf[p : p+e])
	}
	if st != timeOK {
		return 0, 0
	}
	return ms, e
}

// fastTime and readTime read a time of a row that is not taken yet: see unlearn.
func (w *worker) fastTime(b []byte) (ms int64, st timeStatus, n int) {
	w.remember()
	return w.tm.fast(b)
}

func (w *worker) readTime(cell []byte) (ms int64, st timeStatus) {
	w.remember()
	return w.tm.read(cell)
}

// remember keeps what was known of the dates before the row.
func (w *worker) remember() {
	if !w.learned {
		w.learned, w.before = true, w.tm.dates
	}
}

// unlearn forgets the time of a row that is not taken. A damaged row's date, for
// one, says nothing about the order of day and month.
func (w *worker) unlearn() {
	if w.learned {
		w.learned = false
		w.tm.dates = w.before
		w.tm.cell, w.tm.keyOK, w.tm.hot.ok = w.tm.cell[:0], false, false
	}
}
