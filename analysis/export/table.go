package export

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/merge"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/export/sample"
	"weirbook/analysis/export/stamp"
)

// table reads one table that was looked at, again where its date order asks for
// it. bad is what the look found against it.
func (r *reader) table(t *table, bad error) error {
	m := t.M
	t.Index = len(r.tables)
	r.tables = append(r.tables, t)
	t.Untagged.File = m.Name
	if bad != nil {
		t.info.Format = "not read"
		return r.damaged(m.Name, 0, bad)
	}
	r.zoneFor(t)
	p, err := r.firstPass(t)
	if err != nil {
		return err
	}
	if record.Corrupt(p.Err) {
		t.F.Close(ledger.Damaged)
		r.forget(t)
		if p, err = r.pass(t, nil); err != nil {
			return err
		}
	}
	// What all rows tell and the first did not: each is settled on a pass that
	// rests on those before it. The decimal mark may take two.
	for _, settle := range []func(*table, *merge.PassResult) (again bool){r.settleDecimal, r.settleDecimal, r.settleOrder, r.settleTwelve, r.settleMidnight, r.settleCodes, r.settleTagCodes, r.settleUnits, r.settleFills, r.settleMoreFills, r.settleHours} {
		if settle(t, p) {
			r.forget(t)
			if p, err = r.pass(t, nil); err != nil {
				return err
			}
		}
	}
	t.found = p
	t.finishTracks()
	return nil
}

// account says what a table that is read held: its line in the list of files, messages,
// and what its tags looked like.
func (r *reader) account(t *table) {
	p, m := t.found, t.M
	if p == nil {
		return
	}
	t.info.Header, t.info.Blank, t.info.Comments, t.info.Rows = t.F.Skip, p.Blanks, p.Comments, p.Rows
	t.info.Format = t.F.Describe(m.Packed)
	r.offsets(t, &p.Dates)
	t.info.Zone = t.F.Zone
	if t.F.Time.Kind <= stamp.SerialTime && !t.F.Time.Fixed && !p.Dates.Offsets {
		r.res.clocks[m.Name] = t.F.Time.Clock.Loc
	}
	for _, n := range t.F.Notes {
		n.File = m.Name
		r.res.Messages = append(r.res.Messages, n)
	}
	r.tagLooks(t, p)
	r.notes(t, p)
	t.found = nil
}

// settleUnits settles the units that rows state, and which repeated hours stand
// mixed; both are to be found before the pass is forgotten.
func (r *reader) settleUnits(t *table, p *merge.PassResult) (again bool) {
	t.units = r.unitPlans(t, p)
	return t.FindShuffled() || t.units != nil
}

// look opens a table and settles its format.
func (r *reader) look(t *table) error {
	rc, err := t.M.Open()
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
	enc := record.GuessEncoding(raw)
	if t.src != nil && t.src.Encoding != "" {
		enc = strings.ToLower(t.src.Encoding)
	}
	dec := record.Decoded(io.MultiReader(bytes.NewReader(raw), record.Honest{Reader: rc}), enc)
	if t.offset > 0 {
		again, err := t.M.Open()
		if err != nil {
			return err
		}
		defer again.Close()
		if dec, err = record.DecodedFrom(again, enc, t.offset, t.mark); err != nil {
			return err
		}
	} else {
		t.mark = bytes.HasPrefix(raw, []byte("\xef\xbb\xbf"))
	}
	head := make([]byte, sample.SniffBytes)
	n, err = io.ReadFull(dec, head)
	whole := err != nil
	if t.F, err = layout.Sniff(head[:n], whole, t.src); errors.Is(err, sample.ErrNoTable) {
		if more := sample.Fuller(head[:n], dec, layout.TermOf(head[:n])); more != nil {
			if f, again := layout.Sniff(more, true, t.src); again == nil || !errors.Is(again, sample.ErrNoTable) {
				t.F, err = f, again
			}
		}
	}
	if err != nil {
		return err
	}
	t.F.Encoding = enc
	if enc == "utf-8" && !ascii(raw) {
		t.F.Encoding = "UTF-8"
	}
	r.order(t, head[:n])
	r.midnight(t, head[:n])
	t.F.Newest = t.F.NewestFirst(head[:n])
	if z := layout.FindStatedZone(head[:n], t.F); z.Line > 0 {
		t.F.StatedZone = z
	}
	if t.F.Shape == layout.Wide {
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
func (r *reader) notes(t *table, p *merge.PassResult) {
	m := t.M.Name
	if t.F.Time.Kind == stamp.SerialTime {
		r.message(ledger.Note, m, 0, "times are taken as spreadsheet serial numbers (days since 1899-12-30)")
	}
	r.badQuality(t)
	if len(p.UnknownQ) > 0 {
		r.ask(ledger.Warning, m, 0, ledger.Question{Key: "good_words"}, rule.UnknownWords(lex.SortedKeys(p.UnknownQ)))
	}
	if p.Starred > 0 {
		r.message(ledger.Note, m, 0, fmt.Sprintf("%s: used, and taken as uncertain. Ask what the mark means", lex.Counted(p.Starred, "value bears a mark (* or J)", "values bear a mark (* or J)")))
	}
	r.stacked(t)
	r.winterClock(t)
	one := 0
	var late, lateRows int
	for _, k := range t.Tracks {
		if k != nil {
			one += k.OneHour
			if k.NLate > 0 {
				late++
				lateRows += k.NLate
			}
		}
	}
	if one > 0 {
		r.ask(ledger.Warning, m, 0, ledger.Question{Key: "time_zone"}, fmt.Sprintf("in the hour that a clock change repeats only one pass was met (%s); it is taken as the first. If the clock stays on winter time all year, write %s for the file under [[source]] in plant.toml", lex.Counted(one, "time", "times"), t.winterKey()))
	}
	if lateRows > 0 {
		r.message(ledger.Note, m, 0, fmt.Sprintf("%s of %s out of time order and %s sorted in", lex.Counted(lateRows, "reading", "readings"), lex.Counted(late, "tag stood", "tags stood"), lex.Pick(lateRows, "was", "were")))
	}
	said := map[string]bool{} // a tag may come as several tracks
	for _, k := range t.Tracks {
		if k != nil && k.Spec.Message != "" && !said[k.Spec.Message] {
			said[k.Spec.Message] = true
			r.message(k.Spec.Severity, m, t.From+t.F.Skip, k.Spec.Message)
		}
	}
	r.misfits(t)
	if t.Untagged.Aside[ledger.Damaged] > 0 {
		n := t.Untagged.Aside[ledger.Damaged]
		r.message(ledger.Error, m, 0, fmt.Sprintf("%s (binary, broken off, or over %d MiB long) and %s set aside; export the file again",
			lex.Counted(n, "row is damaged", "rows are damaged"), record.MaxRecord>>20, lex.Pick(n, "is", "are")))
	}
}

// forget undoes a pass that is repeated.
func (r *reader) forget(t *table) {
	t.Tracks, t.Lead, t.Aside, t.Lab = nil, nil, [ledger.NumReasons]ledger.AsideList{}, nil
	t.Untagged = ledger.LedgerRow{File: t.M.Name}
	t.F.Notes = t.F.Notes[:len(t.F.Notes):len(t.F.Notes)]
}
