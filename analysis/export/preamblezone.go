package export

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"time"
)

// saidZone is what a line above the table says about the clock of its times.
type saidZone struct {
	line  int // 0: none says anything
	text  string
	loc   *time.Location // a zone by its name
	known bool           // an offset
	sec   int64          // of it, seconds east
	word  string         // the abbreviation that it is written as
	plain bool           // nothing else is said: no name of a region behind
	local bool           // the plant's clock
	told  bool           // of a table before, whose messages tell it
}

var (
	zoneKey    = regexp.MustCompile(`(?i)^(?:.*\b)?(?:time ?zone|time_zone|tz|zeitzone|zona horaria|fuseau horaire|(?:utc|gmt) ?offset|offset from (?:utc|gmt))\b["']?\s*(?:[:=,;\t]|is\b|\s)\s*(.+)$`)
	zoneLine   = regexp.MustCompile(`(?i)^["'#!/ ]*(?:time ?zone|time_zone|tz|zeitzone|zona horaria|fuseau horaire|(?:utc|gmt) ?offset)\b`)
	zoneSaying = regexp.MustCompile(`(?i)\b(?:times?|timestamps?|time stamps?|clocks?)(?: and dates?)? (?:(?:are|is|in|on|as|shown|given|stated|stamped) )+(.+)$`)
	zoneName   = regexp.MustCompile(`\b[A-Z][A-Za-z]+(?:/[A-Z][A-Za-z0-9_+-]+)+`)
	zonePlain  = regexp.MustCompile(`(?i)^\(?(?:(?:utc|gmt|z)(?:\s*[+-]\s*\d{1,2}(?::?\d\d)?)?|[+-]\d{1,2}(?::?\d\d)?|[a-z]{3,5}|(?:utc|gmt)\b.*universal.*)\)?\.?$`)
)

// findSaidZone looks for a clock in the lines above the table.
func findSaidZone(head []byte, f *format) (found saidZone) {
	for i, l := range bytes.Split(head, []byte{f.term}) {
		if i >= f.headAt || i >= 200 {
			break
		}
		if len(l) > 400 || bytes.Count(l, f.sepBytes)+1 >= max(len(f.cols), 4) {
			continue // a line of as many cells
		}
		if z, ok := lineZone(l); ok {
			z.line = i + 1
			if !z.local {
				return z
			}
			found = z
		}
	}
	return found
}

// lineZone takes what a line says about the clock of times; false where it says
// nothing.
func lineZone(l []byte) (z saidZone, ok bool) {
	s := strings.Trim(strings.ReplaceAll(cleanName(l), "−", "-"), "#!/ \"',;\t")
	said := zoneKey.FindStringSubmatch(s)
	keyed := said != nil
	if !keyed {
		if said = zoneSaying.FindStringSubmatch(s); said == nil {
			return z, false
		}
	}
	v := strings.Trim(said[1], " \"',;:\t")
	z.text = s
	if n := zoneName.FindString(v); n != "" {
		if loc, err := time.LoadLocation(n); err == nil {
			z.loc = loc
			return z, true
		}
	}
	if sec, n := parseOffset([]byte(v), nil); n == len(v) {
		z.known, z.sec, z.word = true, sec, zoneWord([]byte(v))
	} else if sec, word, ok := headingOffset(v); ok {
		z.known, z.sec, z.word = true, sec, word
	}
	z.plain = zonePlain.MatchString(v)
	z.local = !z.known && strings.Contains(strings.ToLower(v), "local")
	return z, z.known || keyed
}

// statesZone says whether a line inside a table states a clock: the next table's,
// if one begins there. Lines that begin like a row are none.
func statesZone(l []byte, sep []byte) bool {
	if len(l) == 0 || len(l) > 400 || l[0]-'0' <= 9 || bytes.Count(l, sep) > 2 {
		return false
	}
	_, ok := lineZone(l)
	return ok
}

// noteLateZone warns of a clock that is stated inside or below a table, where it is
// not heeded: it may be that of the rows above or of those below.
func (f *format) noteLateZone(text string, line int) {
	z, ok := lineZone([]byte(text))
	if !ok || z.text == f.said.text || f.tm.told || f.tm.kind >= epochTime || !statesZone([]byte(text), f.sepBytes) {
		return
	}
	f.note(Warning, line, "a clock is stated here (%s), inside or below the table; it is not heeded: the times of the whole table are taken on %s. Write time_zone for the file under [[source]] in plant.toml, or split the file here if the clock changes", z.text, f.zone)
}

// heed takes the clock that a line above the table states, if neither plant.toml
// nor a heading states one. Where what it says is a name of the zone that the plant
// is in, that zone's clock counts, with its summer time.
func (z *saidZone) heed(f *format, plant *time.Location) {
	if z.line == 0 || z.local || f.tm.told || f.tm.fixed || f.tm.kind >= epochTime {
		return
	}
	note := f.note
	if z.told { // it stands above a table before
		note = func(Severity, int, string, ...any) {}
	}
	z.told = true
	const how = "Write time_zone for the file under [[source]] in plant.toml if that is wrong"
	switch _, names := f.tm.names[z.word]; {
	case z.loc != nil:
		f.tm.clock, f.tm.names = zoneOf(z.loc), namesOf(z.loc)
		f.zone = fmt.Sprintf("%s, as line %d says", z.loc, z.line)
		if z.loc.String() != plant.String() {
			note(Note, z.line, "the times are taken on the clock of %s, as it is said here. %s", z.loc, how)
		}
	case !z.known:
		note(Warning, z.line, "a time zone is spoken of here and not understood (%s); the times are taken on the clock of %s. %s", z.text, plant, how)
	case z.word != "" && names, !z.plain && keeps(plant, z.sec):
		note(Note, z.line, "%q is taken to mean the clock of %s, with its summer time if it has one. Write %s for the file under [[source]] in plant.toml if its clock stays at %s all year", z.text, plant, stayingAt(z.offset(f.tm.names)), inWords(z.offset(f.tm.names)))
	default:
		f.tm.fixed, f.tm.offset = true, z.sec
		f.zone = fmt.Sprintf("%s, as line %d says", inWords(z.sec), z.line)
		sev := Note
		if sharedNames[z.word] {
			sev = Warning
		}
		note(sev, z.line, "the times are taken at %s, as it is said here (%s). %s", inWords(z.sec), z.text, how)
	}
}

// offset is what the line says, in the sense that the plant gives its abbreviation.
func (z *saidZone) offset(names map[string]int64) int64 {
	if s, ok := names[z.word]; ok {
		return s
	}
	return z.sec
}

// keeps says whether a zone's clock stands at an offset in winter or in summer.
func keeps(loc *time.Location, sec int64) bool {
	a, b := yearOffsets(loc, 2026)
	return sec == a || sec == b
}

// yearOffsets gives a zone's least and greatest offset in a year, seconds east:
// winter and summer time.
func yearOffsets(loc *time.Location, year int) (winter, summer int64) {
	c := clock{loc: loc}
	a := c.offset(time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC).Unix())
	b := c.offset(time.Date(year, 7, 1, 0, 0, 0, 0, time.UTC).Unix())
	return min(a, b), max(a, b)
}

// stayingAt words the key of plant.toml for a clock that stays at an offset all year.
func stayingAt(sec int64) string {
	if n := fixedZone(sec); n != "" {
		return fmt.Sprintf("time_zone = %q", n)
	}
	return "a time_zone that stays at " + inWords(sec) + " all year"
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
