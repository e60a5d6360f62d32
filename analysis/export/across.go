package export

import (
	"fmt"
	"time"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// settleAcross settles what only all files together tell, and reads those again that it
// changes.
func (r *reader) settleAcross() error {
	for _, settle := range [][]func(again map[*table]bool){{r.orderAcross}, {r.unitsAcross, r.farOff}} {
		again := map[*table]bool{}
		for _, f := range settle {
			f(again)
		}
		for _, t := range r.tables {
			if !again[t] {
				continue
			}
			if err := r.readAnew(t); err != nil {
				return err
			}
			t.finishTracks()
		}
	}
	return nil
}

// readAnew makes another pass over a table in place of the last.
func (r *reader) readAnew(t *table) (err error) {
	r.forget(t)
	t.found, err = r.pass(t, nil)
	return err
}

// unitsAcross finds tags for which tags.csv states one unit and the headings or rows of
// several files state different ones, each known: a file counts in its own then.
func (r *reader) unitsAcross(again map[*table]bool) {
	type stated struct {
		t     *table
		unit  quantity.Unit
		apart bool // read in another
	}
	met := map[string][]stated{}
	differ := map[string]bool{}
	for _, t := range r.tables {
		for _, k := range t.Tracks {
			u, err := quantity.ParseUnit(k.Spec.Declared)
			if err != nil || k.Spec.Declared == "" || !k.Spec.Rule.HasUnit || k.Spec.Kind == quantity.Other || k.Spec.RowUnit {
				continue
			}
			list := met[k.Spec.Name]
			differ[k.Spec.Name] = differ[k.Spec.Name] || len(list) > 0 && list[0].unit != u
			met[k.Spec.Name] = append(list, stated{t, u, u != k.Spec.Unit && u.Dimension == k.Spec.Unit.Dimension})
		}
	}
	for name := range differ {
		if !differ[name] {
			continue
		}
		for _, s := range met[name] {
			if s.apart {
				if s.t.own == nil {
					s.t.own = map[string]bool{}
				}
				s.t.own[name], again[s.t] = true, true
			}
		}
	}
}

// What lies far off. Our choice.
const (
	silence  = 24 * 60 * lex.Minute // parts a record into groups
	farShare = 0.01                 // of all readings, the most that may lie further off than the others are long
)

// farOff finds readings of signals that lie further from all others than these are long,
// where they are few: of a logger whose clock was reset. They are set aside.
func (r *reader) farOff(again map[*table]bool) {
	if r.opt.KeepFarOff || !r.opt.From.IsZero() || !r.opt.To.IsZero() {
		return
	}
	groups := map[*table][]series.Group{}
	var all []series.Group
	total := 0
	for _, t := range r.tables {
		for _, k := range t.Tracks {
			if k.Spec.Ruled && !k.Spec.Sampled() {
				groups[t] = append(groups[t], k.Groups(silence)...)
			}
		}
		all = append(all, groups[t]...)
	}
	if all = series.JoinGroups(all, silence); len(all) < 2 {
		return
	}
	record, others, reach := series.Record(all, silence)
	far := 0
	for _, g := range others {
		far += g.N
	}
	for _, g := range all {
		total += g.N
	}
	if far == 0 || float64(far) > farShare*float64(total) {
		return
	}
	at := func(ms int64) string { return time.UnixMilli(ms).In(r.opt.Zone).Format("2006-01-02 15:04") }
	r.record = &series.Stretch{Start: record.Start - reach, End: record.End + reach + 1}
	for _, t := range r.tables {
		n, first, last := 0, record.Start, record.End
		for _, g := range groups[t] {
			if g.End < r.record.Start || g.Start >= r.record.End {
				if n == 0 {
					first, last = g.Start, g.End
				}
				n, first, last = n+g.N, min(first, g.Start), max(last, g.End)
			}
		}
		if n == 0 {
			continue
		}
		again[t] = true
		span := at(first)
		if at(last) != span {
			span += " to " + at(last)
		}
		r.message(ledger.Warning, t.M.Name, 0, fmt.Sprintf("%s of %s further from the others (%s to %s) than these are long, and %s set aside: a clock that was reset? --from and --to take a period that holds them",
			lex.Counted(n, "reading", "readings"), span+lex.Pick(n, " lies", " lie"), at(record.Start), at(record.End), lex.Pick(n, "is", "are")))
	}
}
