package export

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/merge"
	"weirbook/analysis/export/sample"
	"weirbook/analysis/export/stamp"
)

// settleOrder settles the order of day, month and year by all dates of a file. It
// gives true where the file has to be read again.
func (r *reader) settleOrder(t *table, p *merge.PassResult) (again bool) {
	f, l := t.F, &p.Dates
	if !f.TextTime || f.OrderStated {
		return false
	}
	if r.shortDates(t, l) {
		return true
	}
	if f.OrderSure {
		t.orderTold = l.Numeric && f.Time.Order != stamp.YearFirst
		return false
	}
	t.orderTold = l.SawDay != l.SawMonth
	switch {
	case l.SawDay && !l.SawMonth:
		f.Time.Order = stamp.DayFirst
	case !l.SawDay && l.SawMonth:
		f.Time.Order = stamp.MonthFirst
	case l.SawDay && l.SawMonth:
		f.Time.Order = stamp.MonthFirst
		r.ask(ledger.Warning, t.M.Name, 0, ledger.Question{Key: "date_order", Values: []string{"mdy", "dmy"}}, "some dates only fit day-first and some only month-first; the file is read month-first. State date_order under [[source]] in plant.toml if that is wrong")
	case l.Differs:
		if f.Time.Order = orderBySteps(t); f.Time.Order == stamp.OrderUnknown {
			f.Time.Order, t.orderOpen = stamp.OrderAsk, true
			break
		}
		t.orderTold = true
		r.orderTaken(t, "so its rows run on over midnight, and the other way round they would leap by weeks")
	case l.Numeric: // such as 03/03/2026: the same day either way
		f.Time.Order = stamp.MonthFirst
	}
	return f.Time.Order == stamp.DayFirst || f.Time.Order == stamp.OrderAsk
}

var orderKeys = map[stamp.DateOrder][2]string{stamp.DayFirst: {"day-first", "mdy"}, stamp.MonthFirst: {"month-first", "dmy"}}

// orderTaken says in which order a file's dates are read though each fits both, and why.
func (r *reader) orderTaken(t *table, why string) {
	k := orderKeys[t.F.Time.Order]
	r.ask(ledger.Warning, t.M.Name, 0, ledger.Question{Key: "date_order", Values: []string{k[1]}}, fmt.Sprintf("every date fits day-first as well as month-first; they are read %s: %s. Write date_order = %q for the file under [[source]] in plant.toml if that is wrong", k[0], why, k[1]))
}

// Steps between rows over midnight that tell the order of day and month. Our choice.
const (
	stepOver = 2 * 60 * lex.Minute       // at most
	stepLeap = 20 * 24 * 60 * lex.Minute // in the other order, at least
)

// orderBySteps tells the order of day and month by how the rows go on over midnight:
// 23:45 of one date and 00:00 of the next are a quarter of an hour apart in one order
// and a month in the other. OrderUnknown where nothing does, or both. The table was read
// month-first.
func orderBySteps(t *table) stamp.DateOrder {
	loc := t.F.Time.Clock.Loc
	if loc == nil {
		loc = time.UTC
	}
	swapped := func(ms int64) (int64, bool) {
		c := time.UnixMilli(ms).In(loc)
		if c.Day() > 12 {
			return 0, false
		}
		return time.Date(c.Year(), time.Month(c.Day()), int(c.Month()), c.Hour(), c.Minute(), c.Second(), 0, loc).UnixMilli(), true
	}
	month, day := 0, 0
	for _, k := range t.Tracks {
		if k == nil {
			continue
		}
		ts := k.Main.T
		for i := 1; i < len(ts); i++ {
			if a, b := time.UnixMilli(ts[i-1]).In(loc), time.UnixMilli(ts[i]).In(loc); a.YearDay() == b.YearDay() {
				continue
			}
			a, ok1 := swapped(ts[i-1])
			b, ok2 := swapped(ts[i])
			if !ok1 || !ok2 {
				continue
			}
			here, there := lex.AbsDiff(ts[i], ts[i-1]), lex.AbsDiff(a, b)
			switch {
			case here <= stepOver && there >= stepLeap:
				month++
			case there <= stepOver && here >= stepLeap:
				day++
			}
		}
	}
	switch {
	case month > 0 && day == 0:
		return stamp.MonthFirst
	case day > 0 && month == 0:
		return stamp.DayFirst
	}
	return stamp.OrderUnknown
}

// orderAcross settles the order of files whose dates fit both ways by others of the same
// form that tell it, where these agree; else the file is asked about, and not read.
func (r *reader) orderAcross(again map[*table]bool) {
	for _, t := range r.tables {
		if !t.orderOpen {
			continue
		}
		order, from := stamp.OrderUnknown, ""
		for _, o := range r.tables {
			if o.F == nil || !o.orderTold || o.F.Sep != t.F.Sep || !strings.EqualFold(o.F.TimeHead, t.F.TimeHead) || o.F.Shape != t.F.Shape {
				continue
			}
			if from == "" {
				order, from = o.F.Time.Order, o.M.Name
			} else if order != o.F.Time.Order {
				order = stamp.OrderAsk
			}
		}
		if order == stamp.DayFirst || order == stamp.MonthFirst {
			t.F.Time.Order, again[t] = order, true
			r.orderTaken(t, "so are those of "+from+", a file of the same form")
			continue
		}
		r.ask(ledger.Error, t.M.Name, 0, ledger.Question{Key: "date_order", Values: []string{"dmy", "mdy"}}, "every date fits day-first as well as month-first, so the file is not read. Write date_order = \"dmy\" or \"mdy\" for it under [[source]] in plant.toml")
	}
}

// order settles the date order from the rule, or from the first rows and some
// spots of the file; the pass over all rows has the last word.
func (r *reader) order(t *table, head []byte) {
	f := t.F
	if !f.TextTime {
		f.OrderSure = true
		return
	}
	if t.src != nil {
		switch t.src.DateOrder {
		case "ymd":
			f.Time.Order, f.OrderStated = stamp.YearFirst, true
		case "dmy":
			f.Time.Order, f.OrderStated = stamp.DayFirst, true
		case "mdy":
			f.Time.Order, f.OrderStated = stamp.MonthFirst, true
		}
		if f.OrderStated {
			f.OrderSure = true
			return
		}
	}
	if f.Times.Ymd != nil {
		f.Time.Order, f.OrderSure = stamp.YearFirst, true
		return
	}
	day, month, dots, short := r.orderOf(f, head)
	if t.offset == 0 {
		d2, m2, _, _ := r.spots(t)
		day, month = day || d2, month || m2
	}
	switch {
	case day && !month:
		f.Time.Order = stamp.DayFirst
	case month && !day:
		f.Time.Order = stamp.MonthFirst
	case dots && !month:
		f.Time.Order, f.OrderSure = stamp.DayFirst, true
		f.Note(ledger.Note, 0, "dates with points are taken as day.month.year")
	case short:
		f.Time.Order = stamp.YearFirst
	}
	// A guess from a part of the file stays open to the pass over all of it,
	// unless the part has shown a date that fits one order only: then the
	// other order is out, and dates that fit only it are set aside.
	if day != month {
		f.OrderSure = true
	}
}

// orderOf watches the dates of a stretch of whole rows.
func (r *reader) orderOf(f *layout.Layout, b []byte) (day, month, dots, short bool) {
	tm := stamp.TimeReader{Clock: stamp.ZoneOf(nil)}
	fine, yearly := 0, 0
	ty := stamp.TimeReader{Clock: stamp.ZoneOf(nil), Order: stamp.YearFirst}
	for cell := range f.TimeCells(b) {
		if _, st := tm.Civil(cell); st == stamp.TimeOK {
			fine++
			if len(cell) > 6 && (cell[1] == '.' || cell[2] == '.') {
				dots = true
			}
		} else if tm.Dates.SawDay {
			fine++
		}
		if _, st := ty.Civil(cell); st == stamp.TimeOK {
			yearly++
		}
	}
	return tm.Dates.SawDay && fine > 0, tm.Dates.SawMonth, dots, fine == 0 && yearly > 0
}

// spots looks at dates further on in a file with random access.
func (r *reader) spots(t *table) (day, month, dots, short bool) {
	if t.M.Packed != "" || t.M.Size < 2*sample.SniffBytes || t.F.Encoding != "utf-8" && t.F.Encoding != "windows-1252" && t.F.Encoding != "UTF-8" {
		return
	}
	rc, err := t.M.Open()
	if err != nil {
		return
	}
	defer rc.Close()
	at, ok := rc.(io.ReaderAt)
	if !ok {
		return
	}
	buf := make([]byte, 4096)
	for i := int64(1); i <= 32; i++ {
		n, _ := at.ReadAt(buf, t.M.Size/33*i)
		b := buf[:n]
		if k := bytes.IndexByte(b, t.F.Term); k >= 0 {
			b = b[k+1:]
		}
		if k := bytes.LastIndexByte(b, t.F.Term); k >= 0 {
			b = b[:k+1]
		}
		d, m, _, _ := r.orderOf(t.F, b)
		day, month = day || d, month || m
	}
	return
}

// shortDates settles dates whose year has two digits and says so. It gives true
// where the order is another now, so that the file has to be read again.
func (r *reader) shortDates(t *table, l *stamp.DateLooks) (again bool) {
	yes, sure, year, other := l.YearFirst()
	switch {
	case yes:
		span := "they fit no other order"
		if other > 0 {
			span = fmt.Sprintf("so they span %d days, with the year last %d", year, other)
		}
		r.message(ledger.Note, t.M.Name, 0, "dates with a year of two digits are read year first: "+span+". Write date_order = \"dmy\" or \"mdy\" for the file under [[source]] in plant.toml if that is wrong")
		t.F.Time.Order, t.F.OrderSure = stamp.YearFirst, true
		return true
	case !sure:
		r.ask(ledger.Error, t.M.Name, 0, ledger.Question{Key: "date_order", Values: []string{"ymd", "dmy", "mdy"}}, "every date fits year-first as well as with the year last, and nothing tells which, so the file is not read. Write date_order = \"ymd\", \"dmy\" or \"mdy\" for it under [[source]] in plant.toml")
		t.F.Time.Order, t.F.OrderSure = stamp.OrderAsk, true
		return true
	}
	return false
}

// midnight settles from the rule, or from a file's head, what 00:00 is of the date
// beside it.
func (r *reader) midnight(t *table, head []byte) {
	f := t.F
	switch {
	case t.src != nil && t.src.Midnight != "":
		f.Time.MidnightEnds = t.src.Midnight == "end"
	case f.MidnightEnds(head):
		f.Time.MidnightEnds = true
		f.AskMidnight()
	}
}

// settleMidnight settles the same by all rows: midnights that go back behind the last
// hours of their date, and none that opens one.
func (r *reader) settleMidnight(t *table, p *merge.PassResult) (again bool) {
	f := t.F
	if f.Time.MidnightEnds || f.Time.Kind != stamp.TextTime || f.Hourly || f.Newest || p.Dates.Offsets || t.src != nil && t.src.Midnight != "" {
		return false
	}
	back, late, used, opens, clock := 0, 0, 0, false, false
	for _, k := range t.Tracks {
		if k == nil {
			continue
		}
		late += k.NLate
		used += k.Led.Used
		clock = clock || slices.ContainsFunc(k.Early, func(ms int64) bool { return !f.Time.Midnight(ms) })
		if k.BackMidnights > 0 {
			back += k.BackMidnights
			opens = opens || k.OpeningMidnight()
		}
	}
	if late*5 > used && back*10 < late*9 && clock {
		r.ask(ledger.Warning, t.M.Name, 0, ledger.Question{Key: "midnight", Values: []string{"start", "end"}}, "the rows stand in no order of time, so that nothing shows whether 00:00 opens the day of its date or ends it; it is taken to open it. Write midnight = \"end\" for the file under [[source]] in plant.toml if it ends it, and midnight = \"start\" if that is right")
		return false
	}
	if back == 0 || opens || back*10 < late*9 {
		return false
	}
	f.Time.MidnightEnds = true
	f.AskMidnight()
	return true
}
