package export

import (
	"fmt"
	"time"
)

// zoneOddity is a time whose abbreviation is not what the file's zone keeps then:
// another zone's, or EST printed in summer.
type zoneOddity struct {
	word string // "": none
	off  int64  // seconds east, as the word was taken
	at   int64  // its hour, UTC ms
}

func (o *zoneOddity) join(p zoneOddity) {
	if p.word != "" && (o.word == "" || p.at < o.at || p.at == o.at && p.word < o.word) {
		*o = p
	}
}

// counts says whether an offset that a time carries counts above the file's clock.
// One in numbers does. An abbreviation does, too, unless plant.toml states the
// source's clock and that keeps another offset then.
func (r *timeReader) counts(c *civilTime) bool {
	if c.word == "" {
		r.dates.own(c.off)
		return true
	}
	utc := c.ms - c.off*1000
	if r.clock.offset(floorDiv(utc, 1000)) == c.off {
		r.dates.own(c.off)
		return true
	}
	r.dates.odd.join(zoneOddity{c.word, c.off, floorDiv(utc, 3600_000) * 3600_000})
	if r.told {
		return false
	}
	r.dates.own(c.off)
	return true
}

// offsets says which clock counted where times carry an offset.
func (r *reader) offsets(t *table, l *dateLooks) {
	f := t.f
	if l.offsets {
		span := inWords(l.offLow)
		if l.offTop != l.offLow {
			span += " to " + inWords(l.offTop)
		}
		f.zone = fmt.Sprintf("their own offset (%s); %s where they carry none", span, f.zone)
		if f.tm.told && l.odd.word == "" && !(keeps(f.tm.clock.loc, l.offLow) && keeps(f.tm.clock.loc, l.offTop)) {
			r.message(Warning, t.m.name, 0, fmt.Sprintf("the times carry an offset of their own (%s), which counts above time_zone of [[source]] in plant.toml", span))
		}
	}
	o := l.odd
	if o.word == "" {
		return
	}
	loc := f.tm.clock.loc
	_, is := f.tm.names[o.word]
	then := time.UnixMilli(o.at).In(loc)
	switch {
	case f.tm.told:
		r.message(Warning, t.m.name, 0, fmt.Sprintf("times carry %s where the clock of %s stands at %s (first on %s); they are taken on that clock, as time_zone under [[source]] in plant.toml says",
			o.word, loc, inWords(int64(offsetOf(then))), then.Format("2006-01-02")))
	case is:
		r.message(Warning, t.m.name, 0, fmt.Sprintf("times carry %s also when the clock of %s stands at %s (first on %s); they are taken as printed, as %s. If %s is only a label and the clock follows %s, write time_zone = %q for the file under [[source]] in plant.toml",
			o.word, loc, inWords(int64(offsetOf(then))), then.Format("2006-01-02"), inWords(o.off), o.word, loc, loc.String()))
	case sharedNames[o.word]:
		r.message(Warning, t.m.name, 0, fmt.Sprintf("times carry %s, which several zones use and %s does not; it is taken as %s. Write time_zone for the file under [[source]] in plant.toml if another is meant", o.word, loc, inWords(o.off)))
	default:
		r.message(Note, t.m.name, 0, fmt.Sprintf("times carry %s, taken as %s; the plant's clock is that of %s", o.word, inWords(o.off), loc))
	}
}

func offsetOf(t time.Time) int {
	_, o := t.Zone()
	return o
}
