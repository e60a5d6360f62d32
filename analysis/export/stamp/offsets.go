package stamp

import (
	"fmt"
	"time"

	"weirbook/analysis/export/lex"
)

// zoneOddity is a time whose abbreviation is not what the file's zone keeps then:
// another zone's, or EST printed in summer.
type zoneOddity struct {
	Word string // "": none
	Off  int64  // seconds east, as the word was taken
	At   int64  // its hour, UTC ms
}

func (o *zoneOddity) join(p zoneOddity) {
	if p.Word != "" && (o.Word == "" || p.At < o.At || p.At == o.At && p.Word < o.Word) {
		*o = p
	}
}

// counts says whether an offset that a time carries counts above the file's clock.
// One in numbers does. An abbreviation does, too, unless plant.toml states the
// source's clock and that keeps another offset then.
func (r *TimeReader) counts(c *CivilTime) bool {
	if c.word == "" {
		r.Dates.own(c.off)
		return true
	}
	utc := c.Ms - c.off*1000
	if r.Clock.offset(lex.FloorDiv(utc, 1000)) == c.off {
		r.Dates.own(c.off)
		return true
	}
	r.Dates.Odd.join(zoneOddity{c.word, c.off, lex.FloorDiv(utc, 3600_000) * 3600_000})
	if r.ZoneStated {
		return false
	}
	r.Dates.own(c.off)
	return true
}

func OffsetOf(t time.Time) int {
	_, o := t.Zone()
	return o
}

// Keeps says whether a zone's clock stands at an offset in winter or in summer.
func Keeps(loc *time.Location, sec int64) bool {
	a, b := YearOffsets(loc, 2026)
	return sec == a || sec == b
}

// YearOffsets gives a zone's least and greatest offset in a year, seconds east:
// winter and summer time.
func YearOffsets(loc *time.Location, year int) (winter, summer int64) {
	c := Clock{Loc: loc}
	a := c.offset(time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC).Unix())
	b := c.offset(time.Date(year, 7, 1, 0, 0, 0, 0, time.UTC).Unix())
	return min(a, b), max(a, b)
}

// StayingAt words the key of plant.toml for a clock that stays at an offset all year.
func StayingAt(sec int64) string {
	if n := fixedZone(sec); n != "" {
		return fmt.Sprintf("time_zone = %q", n)
	}
	return "a time_zone that stays at " + InWords(sec) + " all year"
}

// fixedZone names a zone whose clock never changes, as plant.toml takes it: the
// sign is turned round in such names. "" where none keeps the offset.
func fixedZone(sec int64) string {
	switch {
	case sec == 0:
		return "UTC"
	case sec%3600 == 0 && sec > 0:
		return fmt.Sprintf("Etc/GMT-%d", sec/3600)
	case sec%3600 == 0:
		return fmt.Sprintf("Etc/GMT+%d", -sec/3600)
	}
	return map[int64]string{34200: "Australia/Darwin", 19800: "Asia/Kolkata", 20700: "Asia/Kathmandu", 16200: "Asia/Kabul", 23400: "Asia/Yangon", 31500: "Australia/Eucla"}[sec]
}
