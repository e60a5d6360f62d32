package reports

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/sheet"
	"weirbook/analysis/upset"
	"weirbook/reports/table"
)

// heldTable is what would have kept the CT, hour by hour, whole, for a
// spreadsheet.
func heldTable(u *analysis.Upset) *table.Table {
	in, x := &u.Input, &u.Explanation
	_, flow := in.In(1, "MGD")
	_, mass := in.In(1, "lb/d")
	feed := "gal/h"
	if in.Chlorine.Gas {
		feed = "lb/d"
	}
	_, feedUnit := in.In(1, feed)
	dechlor := "gal/h"
	if in.Dechlorination.Gas {
		dechlor = "lb/d"
	}
	_, dechlorUnit := in.In(1, dechlor)
	t := &table.Table{Caption: "Dose and feed that would have kept the CT at the requirement", Columns: []table.Column{
		{Name: "Hour", Key: "hour_start"}, {Name: "Fed from", Key: "feed_from"}, {Name: "Flow", Unit: flow}, {Name: "CT", Unit: "mg·min/L", Key: "ct_mg_min_per_l"},
		{Name: "Required", Unit: "mg·min/L", Key: "required_mg_min_per_l"},
		{Name: "Residual", Unit: "mg/L"}, {Name: "Residual needed", Unit: "mg/L"}, {Name: "Demand", Unit: "mg/L"}, {Name: "Demand is"}, {Name: "Dose", Unit: "mg/L"}, {Name: "Dose needed", Unit: "mg/L"},
		{Name: "Chlorine needed", Unit: mass}, {Name: "Fed", Unit: feedUnit}, {Name: "Feed needed", Unit: feedUnit}, {Name: "Setting", Unit: "% of full"}, {Name: "Deliverable"},
		{Name: "Dechlorination needed", Unit: mass}, {Name: "as feed", Unit: dechlorUnit}, {Name: "Hour in UTC", Key: "hour_start_utc"},
	}}
	num := func(v float64, unit string, d int) table.Cell {
		c, _ := in.In(v, unit)
		if c != c {
			return table.NA("n.d.")
		}
		return table.Num(c, d)
	}
	for _, h := range x.Held {
		at := func(ms int64) table.Cell { return table.When(time.UnixMilli(ms).In(in.Loc), "2\u00a0Jan\u00a015:04") }
		t.Rows = append(t.Rows, []table.Cell{at(h.Start), at(h.FeedFrom), num(h.Flow, "MGD", 2), num(h.CT, "", 1), num(h.Required, "", 1),
			num(h.Residual, "", 2), num(h.NeedResidual, "", 2), num(h.Demand, "", 2), table.Str(demandIs(h)), num(h.Dose, "", 2), num(h.NeedDose, "", 2),
			num(h.NeedLbD, "lb/d", 0), num(h.Feed, feed, 1), num(h.NeedFeed, feed, 1), num(h.NeedSetting, "", 0), table.Str(answer(h.Within)),
			num(h.Dechlor, "lb/d", 0), num(h.DechlorFeed, dechlor, 1), table.When(time.UnixMilli(h.Start).UTC(), time.RFC3339)})
	}
	t.Notes = []string{
		"Fed from: when the water of that hour's start passed the feed point. Demand is taken as it was; n.d.: not determined. Dose needed = residual needed + demand; chlorine needed = dose × flow × " + poundsNote(in) + ".",
	}
	if n := overCapacity(x.Held); n > 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("In %d hour%s the dechlorination needed is more than its feed system can deliver.", n, map[bool]string{true: "s"}[n > 1]))
	}
	if d := &in.Dechlorination; d.Ratio == d.Ratio {
		t.Notes = append(t.Notes, fmt.Sprintf("Dechlorination needed for the whole residual needed, at %s mg %s per mg chlorine (%s).", upset.Num(d.Ratio), d.Chemical, d.RatioFrom))
	}
	return t
}

// overCapacity counts the hours in which dechlorination would not keep up.
func overCapacity(hours []upset.HeldHour) (n int) {
	for _, h := range hours {
		if h.DechlorWithin == upset.No {
			n++
		}
	}
	return n
}

// demandIs says how the demand of an hour was come by.
func demandIs(h upset.HeldHour) string {
	switch {
	case math.IsNaN(h.Demand):
		return "not known"
	case h.Assumed:
		return "normal, too little dosed"
	case h.AtLeast:
		return "at least"
	}
	return "as it was"
}

// heldOnPage picks columns of heldTable by their names, for a page.
func heldOnPage(whole *table.Table, caption string, notes []string, names ...string) *table.Table {
	t := &table.Table{Caption: caption, Notes: notes}
	var at []int
	for _, n := range names {
		for k, c := range whole.Columns {
			if c.Name == n {
				at = append(at, k)
				t.Columns = append(t.Columns, c)
			}
		}
	}
	for _, r := range whole.Rows {
		row := make([]table.Cell, len(at))
		for i, k := range at {
			row[i] = r[k]
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func poundsNote(in *upset.Input) string {
	if in.Metric {
		return "exact units"
	}
	return "8.34"
}

func answer(a upset.Answer) string {
	switch a {
	case upset.Yes:
		return "yes"
	case upset.No:
		return "no"
	}
	return "not known"
}

// checkedTable is what was looked at and did not move, or could not be judged.
func checkedTable(x *upset.Explanation) *table.Table {
	t := &table.Table{Caption: "Checked: signals that did not move, and those that could not be judged", Columns: []table.Column{
		{Name: "Signal"}, {Name: "Answer"}, {Name: "Lowest", Align: table.Right}, {Name: "Highest", Align: table.Right}, {Name: "Unit"},
		{Name: "Largest departure", Align: table.Right}, {Name: "Would have counted", Align: table.Right}, {Name: "Covered", Align: table.Right}}}
	num := func(v float64) table.Cell {
		if v != v {
			return table.NA("n.d.")
		}
		return table.Str(upset.Num(v))
	}
	for _, c := range x.Ruled {
		word := "ruled\u00a0out"
		if !c.Ruled {
			word = "cannot be ruled out: " + c.Why
		}
		t.Rows = append(t.Rows, []table.Cell{table.Str(sentenceCase(c.Title)), table.Str(word), num(c.Low), num(c.High), table.Str(c.Unit),
			num(c.Extreme), num(c.Need), table.Str(fmt.Sprintf("%.0f %%", 100*c.Cover))})
	}
	t.Notes = []string{"Largest departure: the largest lasting one (between two change points) from the same hours of the clean days, beyond how far the signal lay from them before. One of the next column's size would have counted as a move."}
	return t
}

// moveRow is a row of moves.csv.
type moveRow struct {
	Upset       int          `csv:"upset" about:"number of the upset in the report"`
	Order       string       `csv:"order" about:"order in which things moved; empty: it did not count"`
	Tag         string       `csv:"tag" about:"the tag that moved"`
	What        string       `csv:"what" about:"what it measures"`
	Began       sheet.Moment `csv:"began" about:"when it began to move, on the plant's clock"`
	AtOutlet    sheet.Moment `csv:"at_outlet" about:"when that water reached the outlet, on the plant's clock"`
	Unit        string       `csv:"unit" about:"unit of from, to and beyond_normal"`
	From        sheet.Number `csv:"from" about:"level before"`
	To          sheet.Number `csv:"to" about:"level after"`
	Beyond      sheet.Number `csv:"beyond_normal" about:"how far outside what is normal for the hour"`
	Sigmas      sheet.Number `csv:"sigmas" about:"the same in robust standard deviations"`
	Role        string       `csv:"role" about:"first mover, moved, answer, shows it or aside"`
	BeganUTC    sheet.Moment `csv:"began_utc" about:"began in UTC"`
	AtOutletUTC sheet.Moment `csv:"at_outlet_utc" about:"at_outlet in UTC"`
}

// movesCSV lists every move of the upsets for a spreadsheet.
func movesCSV(us []analysis.Upset) ([]byte, error) {
	var rows []moveRow
	for k := range us {
		u := &us[k]
		add := func(order string, m upset.Move, role string) {
			rows = append(rows, moveRow{k + 1, order, m.Tag, m.Title, sheet.At(m.At, u.Input.Loc), sheet.At(m.AtOutlet, u.Input.Loc), m.Unit,
				sheet.Number(m.From), sheet.Number(m.To), sheet.Number(m.Size), sheet.Number(m.Sigmas), role,
				sheet.At(m.At, time.UTC), sheet.At(m.AtOutlet, time.UTC)})
		}
		for n, m := range u.Moves {
			role := "moved"
			switch {
			case m.First:
				role = "first mover"
			case m.Answers:
				role = "answer"
			case m.Effect:
				role = "shows it"
			}
			add(strconv.Itoa(n+1), m, role)
		}
		for _, m := range u.Aside {
			add("", m, "aside")
		}
	}
	return sheet.Rows(rows, nil)
}

func csvOf(t *table.Table) ([]byte, error) {
	var b bytes.Buffer
	err := t.WriteCSV(&b)
	return b.Bytes(), err
}
