package stamp

import (
	"bytes"
	"unsafe"

	"weirbook/analysis/export/lex"
)

// hotMinute is what the hot paths know of times written as the last one was:
// sixteen bytes of date and hh:mm, perhaps :ss, and a tail that stays the same
// ("", "Z", ".000", "-06:00").
type hotMinute struct {
	Ok     bool
	K0, K1 uint64 // the sixteen bytes
	Base   int64  // their UTC time, ms
	Secs   bool
	Tail   lex.Word16

	hour  bool  // every minute of the hour may follow
	start int64 // UTC time of the hour's start
}

// learn keeps how b was read: a whole time cell whose minutes end at byte 16,
// in civil time c, with c's own offset or, as local, by the file's clock.
func (h *hotMinute) learn(r *TimeReader, b []byte, c CivilTime) {
	h.Ok = false
	if b[13] != ':' {
		return
	}
	tail := b[16:]
	h.Secs = len(tail) >= 3 && tail[0] == ':' && tail[1]-'0' <= 9 && tail[2]-'0' <= 9
	if h.Secs {
		tail = tail[3:]
	}
	zone := tail
	if h.Secs && len(zone) > 0 && (zone[0] == '.' || zone[0] == ',') {
		zone = bytes.TrimLeft(zone[1:], "0")
	}
	zone = bytes.TrimLeft(zone, " ")
	if len(zone) > 0 {
		if _, n := ParseOffset(zone, r.Names); n != len(zone) {
			return
		}
	}
	if len(tail) > 16 || len(zone) == 0 && c.HasOff {
		return
	}
	h.Tail = lex.MakeWord(tail)
	h.K0, h.K1 = r.key0, r.key1
	sub := lex.FloorMod(c.Ms, 60_000)
	hour := lex.FloorMod(c.Ms, 3600_000)
	switch {
	case c.HasOff:
		h.Base = c.Ms - sub - c.off*1000 + r.Shift
	case r.keyStat == TimeOK:
		h.Base = r.keyUTC
	default:
		return
	}
	h.start = h.Base - (hour - sub)
	first := (c.Ms - hour) / 1000
	h.hour = (c.HasOff && c.word == "" || r.Fixed && !c.HasOff || first >= r.Clock.lo && first+3600 <= r.Clock.hi)
	h.Ok = true
}

// next moves to another minute of the same hour; it gives false, and changes
// nothing, for anything else.
func (h *hotMinute) next(k0, k1 uint64) bool {
	const sameHour = 1<<48 - 1
	d1, d2 := byte(k1>>48)-'0', byte(k1>>56)-'0'
	if k0 != h.K0 || (k1^h.K1)&sameHour != 0 || d1 > 5 || d2 > 9 || !h.hour {
		return false
	}
	h.K1 = k1
	h.Base = h.start + int64(d1*10+d2)*lex.Minute
	return true
}

// At gives the time at p and its length; n is 0 when it is not written as the
// last one.
func (h *hotMinute) At(base unsafe.Pointer, p int) (ms int64, n int) {
	if !h.Ok {
		return 0, 0
	}
	if a, b := lex.At8(base, p), lex.At8(base, p+8); (b != h.K1 || a != h.K0) && !h.next(a, b) {
		return 0, 0
	}
	ms, n = h.Base, 16
	if h.Secs {
		d1, d2 := lex.At1(base, p+17)-'0', lex.At1(base, p+18)-'0'
		if lex.At1(base, p+16) != ':' || d1 > 5 || d2 > 9 {
			return 0, 0
		}
		ms += int64(d1)*10000 + int64(d2)*1000
		n = 19
	}
	if h.Tail.N > 0 && !h.Tail.Here(base, p+n) {
		return 0, 0
	}
	return ms, n + h.Tail.N
}
