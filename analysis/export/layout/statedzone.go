package layout

import (
	"bytes"
	"fmt"
	"sort"
	"strings"
	"time"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/sample"
	"weirbook/analysis/export/stamp"
	"weirbook/analysis/zone"
)

// statedZone is what a line above the table says about the clock of its times.
type statedZone struct {
	Line      int // 0: none says anything
	Text      string
	loc       *time.Location // a zone by its name
	known     bool           // an offset
	sec       int64          // of it, seconds east
	word      string         // the abbreviation that it is written as
	plain     bool           // nothing else is said: no name of a region behind
	local     bool           // the plant's clock
	Announced bool           // of a table before, whose messages tell it
}

// FindStatedZone looks for a clock in the lines above the table.
func FindStatedZone(head []byte, f *Layout) (found statedZone) {
	for i, l := range bytes.Split(head, []byte{f.Term}) {
		if i >= f.Skip || i >= 200 {
			break
		}
		if i >= f.HeadAt && bytes.Contains(l, f.SepBytes) { // the heading itself
			continue
		}
		if len(l) > 400 || bytes.Count(l, f.SepBytes)+1 >= max(len(f.Cols), 4) {
			continue // a line of as many cells
		}
		if z, ok := lineZone(l); ok {
			z.Line = i + 1
			if !z.local {
				return z
			}
			found = z
		}
	}
	return found
}

// zoneColumn takes the clock that a column headed as a zone names, the same in all rows.
func (f *Layout) zoneColumn(c *sample.Candidate) {
	for k := range f.Cols {
		q := &c.Kinds[k]
		if !f.free(k) || !sample.OffsetHeads[cell.Bare(f.Cols[k].Head)] || q.Full() == 0 || q.Number > 0 || q.Text < q.Full() {
			continue
		}
		var zones []string
		for name := range q.Distinct {
			if z, ok := lineZone([]byte("time zone: " + name)); !ok || z.loc == nil && !z.known {
				continue
			}
			zones = append(zones, name)
		}
		sort.Strings(zones)
		switch {
		case len(zones) == 0:
		case len(q.Distinct) > 1:
			f.refused = &Refusal{fmt.Sprintf("column %q names several zones (%s), and only one clock can be followed. Split the file by it, or write time_zone for the file under [[source]] in plant.toml", f.label(k), some(zones)), ledger.Question{Key: "time_zone"}}
		default:
			f.StatedZone, _ = lineZone([]byte("time zone: " + zones[0]))
			f.StatedZone.Line = f.Skip + 1
			f.Cols[k].Role = roleZone
		}
	}
}

// lineZone takes what a line says about the clock of times; false where it says
// nothing.
func lineZone(l []byte) (z statedZone, ok bool) {
	s := strings.Trim(strings.ReplaceAll(record.CleanName(l), "−", "-"), "#!/ \"',;\t")
	said := sample.ZoneKey.FindStringSubmatch(s)
	keyed := said != nil
	if !keyed {
		if said = sample.ZoneSaying.FindStringSubmatch(s); said == nil {
			return z, false
		}
	}
	v := strings.Trim(said[1], " \"',;:\t")
	z.Text = s
	if n := sample.ZoneName.FindString(v); n != "" {
		if loc, err := time.LoadLocation(n); err == nil {
			z.loc = loc
			return z, true
		}
	}
	if sec, n := stamp.ParseOffset([]byte(v), nil); n == len(v) {
		z.known, z.sec, z.word = true, sec, stamp.ZoneWord([]byte(v))
	} else if sec, word, ok := sample.HeadingOffset(v); ok {
		z.known, z.sec, z.word = true, sec, word
	}
	z.plain = sample.ZonePlain.MatchString(v)
	if iana, ok := zone.Windows(v); ok && !z.plain {
		z.loc, _ = time.LoadLocation(iana)
	}
	z.local = !z.known && strings.Contains(strings.ToLower(v), "local")
	return z, z.known || keyed
}

// StatesZone says whether a line inside a table states a clock: the next table's,
// if one begins there. Lines that begin like a row are none.
func StatesZone(l []byte, sep []byte) bool {
	if len(l) == 0 || len(l) > 400 || l[0]-'0' <= 9 || bytes.Count(l, sep) > 2 {
		return false
	}
	_, ok := lineZone(l)
	return ok
}

// NoteLateZone warns of a clock that is stated inside or below a table, where it is
// not heeded: it may be that of the rows above or of those below.
func (f *Layout) NoteLateZone(text string, line int) {
	z, ok := lineZone([]byte(text))
	if !ok || z.Text == f.StatedZone.Text || f.Time.ZoneStated || f.Time.Kind >= stamp.EpochTime || !StatesZone([]byte(text), f.SepBytes) {
		return
	}
	f.Ask(ledger.Question{Key: "time_zone"}, line, "a clock is stated here (%s), inside or below the table; it is not heeded: the times of the whole table are taken on %s. Write time_zone for the file under [[source]] in plant.toml, or split the file here if the clock changes", z.Text, f.Zone)
}

// Apply takes the clock that a line above the table states, if neither plant.toml
// nor a heading states one. Where what it says is a name of the zone that the plant
// is in, that zone's clock counts, with its summer time.
func (z *statedZone) Apply(f *Layout, plant *time.Location) {
	if z.Line == 0 || z.local || f.Time.ZoneStated || f.Time.Fixed || f.Time.Kind >= stamp.EpochTime {
		return
	}
	note, ask := f.Note, func(format string, args ...any) {
		f.Ask(ledger.Question{Key: "time_zone"}, z.Line, format, args...)
	}
	if z.Announced { // it stands above a table before
		note, ask = func(ledger.Severity, int, string, ...any) {}, func(string, ...any) {}
	}
	z.Announced = true
	const how = "Write time_zone for the file under [[source]] in plant.toml if that is wrong"
	switch _, names := f.Time.Names[z.word]; {
	case z.loc != nil && !(z.known && z.loc.String() == plant.String()):
		f.Time.Clock, f.Time.Names = stamp.ZoneOf(z.loc), stamp.NamesOf(z.loc)
		f.Zone = fmt.Sprintf("%s, as line %d says", z.loc, z.Line)
		if z.loc.String() != plant.String() {
			note(ledger.Note, z.Line, "the times are taken on the clock of %s, as it is said here. %s", z.loc, how)
		}
	case !z.known:
		ask("a time zone is spoken of here and not understood (%s); the times are taken on the clock of %s. %s", z.Text, plant, how)
	case z.word != "" && names, !z.plain && stamp.Keeps(plant, z.sec):
		note(ledger.Note, z.Line, "%q is taken to mean the clock of %s, with its summer time if it has one. Write %s for the file under [[source]] in plant.toml if its clock stays at %s all year", z.Text, plant, stamp.StayingAt(z.offset(f.Time.Names)), stamp.InWords(z.offset(f.Time.Names)))
	default:
		f.Time.Fixed, f.Time.Offset = true, z.sec
		f.Zone = fmt.Sprintf("%s, as line %d says", stamp.InWords(z.sec), z.Line)
		const taken = "the times are taken at %s, as it is said here (%s). %s"
		if stamp.SharedNames[z.word] {
			ask(taken, stamp.InWords(z.sec), z.Text, how)
		} else {
			note(ledger.Note, z.Line, taken, stamp.InWords(z.sec), z.Text, how)
		}
	}
}

// offset is what the line says, in the sense that the plant gives its abbreviation.
func (z *statedZone) offset(names map[string]int64) int64 {
	if s, ok := names[z.word]; ok {
		return s
	}
	return z.sec
}
