package export

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
)

// table reads one table that was looked at, again where its date order asks for
// it. bad is what the look found against it.
func (r *reader) table(t *table, bad error) error {
	m := t.m
	t.index = len(r.tables)
	r.tables = append(r.tables, t)
	t.loose.File = m.name
	if bad != nil {
		t.info.Format = "not read"
		return r.damaged(m.name, 0, bad)
	}
	r.zoneFor(t)
	p, err := r.firstPass(t)
	if err != nil {
		return err
	}
	// What all rows tell and the first did not: each is settled on a pass that
	// rests on those before it. The decimal mark may take two.
	for _, settle := range []func(*table, *passed) (again bool){r.settleDecimal, r.settleDecimal, r.settleOrder, r.settleCodes, r.settleUnits} {
		if settle(t, p) {
			r.forget(t)
			if p, err = r.pass(t, nil); err != nil {
				return err
			}
		}
	}
	t.info.Header, t.info.Blank, t.info.Comments, t.info.Rows = t.f.skip, p.blanks, p.comments, p.rows
	t.info.Format = t.f.describe(m.packed)
	r.offsets(t, &p.dates)
	t.info.Zone = t.f.zone
	if t.f.tm.kind <= serialTime && !t.f.tm.fixed && !p.dates.offsets {
		r.res.clocks[m.name] = t.f.tm.clock.loc
	}
	for _, n := range t.f.notes {
		n.File = m.name
		r.res.Messages = append(r.res.Messages, n)
	}
	r.close(t, p)
	r.notes(t, p)
	return nil
}

// settleCodes settles how quality numbers are meant, by all of them.
func (r *reader) settleCodes(t *table, p *passed) (again bool) {
	c, sure := guessCodes(p.codes)
	if !t.f.hasQuality || t.f.codesSure || !sure {
		return false
	}
	again = c != t.f.codes
	t.f.codes, t.f.codesSure = c, true
	return again
}

// settleUnits settles the units that rows state, and which repeated hours stand
// mixed; both are to be found before the pass is forgotten.
func (r *reader) settleUnits(t *table, p *passed) (again bool) {
	t.units = r.unitPlans(t, p)
	return t.findShuffled() || t.units != nil
}

// look opens a table and settles its format.
func (r *reader) look(t *table) error {
	rc, err := t.m.open()
	if err != nil {
		return err
	}
	defer rc.Close()
	raw := make([]byte, 64<<10)
	n, err := io.ReadFull(rc, raw)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) && n == 0 {
		return fmt.Errorf("cannot be read: %w", err)
	}
	raw = raw[:n]
	enc := guessEncoding(raw)
	if t.src != nil && t.src.Encoding != "" {
		enc = strings.ToLower(t.src.Encoding)
	}
	dec := decoded(io.MultiReader(bytes.NewReader(raw), honest{rc}), enc)
	if t.offset > 0 {
		again, err := t.m.open()
		if err != nil {
			return err
		}
		defer again.Close()
		if dec, err = decodedFrom(again, enc, t.offset, t.mark); err != nil {
			return err
		}
	} else {
		t.mark = bytes.HasPrefix(raw, []byte("\xef\xbb\xbf"))
	}
	head := make([]byte, sniffBytes)
	n, err = io.ReadFull(dec, head)
	if t.f, err = sniff(head[:n], err != nil, t.src); err != nil {
		return err
	}
	t.f.encoding = enc
	if enc == "utf-8" && !ascii(raw) {
		t.f.encoding = "UTF-8"
	}
	r.order(t, head[:n])
	t.f.newest = t.f.newestFirst(head[:n])
	t.f.said = findSaidZone(head[:n], t.f)
	if t.f.layout == wide {
		r.nameSingle(t, head[:n])
	}
	return nil
}

func ascii(b []byte) bool {
	for _, c := range b {
		if c >= 0x80 {
			return false
		}
	}
	return true
}

// notes tells what the pass met.
func (r *reader) notes(t *table, p *passed) {
	m := t.m.name
	if t.f.tm.kind == serialTime {
		r.message(Note, m, 0, "times are taken as spreadsheet serial numbers (days since 1899-12-30)")
	}
	if t.f.hasQuality && !t.f.codesSure {
		r.message(Warning, m, 0, t.f.codesQuestion())
	}
	if len(p.unknownQ) > 0 {
		r.message(Warning, m, 0, unknownWords(sortedKeys(p.unknownQ)))
	}
	if p.starred > 0 {
		r.message(Note, m, 0, fmt.Sprintf("%s: used, and taken as uncertain. Ask what the mark means", counted(p.starred, "value bears a mark (* or J)", "values bear a mark (* or J)")))
	}
	r.stacked(t)
	r.winterClock(t)
	one := 0
	var late, lateRows int
	for _, k := range t.tracks {
		if k != nil {
			one += k.oneHour
			if k.nLate > 0 {
				late++
				lateRows += k.nLate
			}
		}
	}
	if one > 0 {
		r.message(Warning, m, 0, fmt.Sprintf("in the hour that a clock change repeats only one pass was met (%s); it is taken as the first. If the clock stays on winter time all year, write %s for the file under [[source]] in plant.toml", counted(one, "time", "times"), t.winterKey()))
	}
	if lateRows > 0 {
		r.message(Note, m, 0, fmt.Sprintf("%s of %s out of time order and %s sorted in", counted(lateRows, "reading", "readings"), counted(late, "tag stood", "tags stood"), pick(lateRows, "was", "were")))
	}
	said := map[string]bool{} // a tag may come as several tracks
	for _, k := range t.tracks {
		if k != nil && k.spec.message != "" && !said[k.spec.message] {
			said[k.spec.message] = true
			r.message(k.spec.severity, m, t.from+t.f.skip, k.spec.message)
		}
	}
	r.misfits(t)
	if t.loose.Aside[Damaged] > 0 {
		n := t.loose.Aside[Damaged]
		r.message(Error, m, 0, fmt.Sprintf("%s (binary, broken off, or over %d MiB long) and %s set aside; export the file again",
			counted(n, "row is damaged", "rows are damaged"), maxRecord>>20, pick(n, "is", "are")))
	}
}

// forget undoes a pass that is repeated.
func (r *reader) forget(t *table) {
	t.tracks, t.lead, t.aside = nil, nil, [numReasons]asideList{}
	t.loose = LedgerRow{File: t.m.name}
	t.f.notes = t.f.notes[:len(t.f.notes):len(t.f.notes)]
}
