package workbook

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"weirbook/analysis/plant"
	"weirbook/analysis/review"
	"weirbook/reports/table"
)

// ReviewName is the file name of a review's workbook.
const ReviewName = "review.xlsx"

// Sheets of a review's workbook.
const (
	reviewSummary     = "Summary"
	reviewPercentiles = "Percentiles"
	reviewWhatIf      = "What if"
	reviewHours       = "Hours"
)

// ReviewBook is what a review's workbook is written from.
type ReviewBook struct {
	Plant   *plant.Plant
	Record  *review.Record
	Review  *review.Review
	Version string
}

// reviewWriter writes a review's sheets row by row: years of hours go through it.
type reviewWriter struct {
	b      ReviewBook
	f      *excelize.File
	styles map[string]int
	cols   []hourColumn
	asked  map[string]string // cells of the figures that a reader may change, by basin and what
	rows   int               // of the sheet of hours
	err    error
}

// hourColumn is one column of the sheet of hours.
type hourColumn struct {
	head, unit, key string
	at              func(i int) any // the cell of hour i of the record
	formula         func(row int) string
}

// WriteReview writes the workbook of a review: percentiles and what-if tables that
// are live over a sheet of hours. The same review gives the same bytes.
func WriteReview(w io.Writer, b ReviewBook) error {
	k := &reviewWriter{b: b, f: excelize.NewFile(), styles: map[string]int{}, asked: map[string]string{}, rows: b.Review.Main.Len()}
	defer k.f.Close()
	k.do(k.f.SetSheetName("Sheet1", reviewSummary))
	for _, s := range []string{reviewPercentiles, reviewWhatIf, reviewHours} {
		_, err := k.f.NewSheet(s)
		k.do(err)
	}
	k.plan()
	k.sheet(reviewSummary, []float64{34, 22, 12, 60}, k.summary())
	k.sheet(reviewPercentiles, []float64{46, 12, 9}, k.percentiles())
	k.sheet(reviewWhatIf, []float64{34, 40, 16, 12, 12, 12, 12, 14, 70}, k.whatIf())
	k.hours()
	at := time.UnixMilli(b.Record.End(b.Review.Main)).UTC().Format("2006-01-02T15:04:05Z")
	k.do(k.f.SetDocProps(&excelize.DocProperties{Title: "Performance review", Subject: table.Neutral(b.Plant.Name), Creator: "Weirbook", LastModifiedBy: "Weirbook", Created: at, Modified: at, Language: "en-US"}))
	full := true
	k.do(k.f.SetCalcProps(&excelize.CalcPropsOptions{FullCalcOnLoad: &full}))
	k.f.SetActiveSheet(0)
	if k.err != nil {
		return fmt.Errorf("workbook: %w", k.err)
	}
	buf, err := k.f.WriteToBuffer()
	if err != nil {
		return fmt.Errorf("workbook: %w", err)
	}
	return tidy(w, buf.Bytes(), nil)
}

func (k *reviewWriter) do(err error) {
	if k.err == nil {
		k.err = err
	}
}

func (k *reviewWriter) style(name string) int {
	if id, ok := k.styles[name]; ok {
		return id
	}
	s := &excelize.Style{Font: &excelize.Font{Family: "Calibri", Size: 10}, Alignment: &excelize.Alignment{Vertical: "top"}}
	switch name {
	case "head":
		s.Font.Bold = true
		s.Alignment.WrapText = true
		s.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"E7E6E6"}}
	case "big":
		s.Font.Bold, s.Font.Size = true, 14
	case "input":
		s.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"FFF2CC"}}
		s.Border = []excelize.Border{{Type: "bottom", Color: "000000", Style: 1}, {Type: "top", Color: "000000", Style: 1}, {Type: "left", Color: "000000", Style: 1}, {Type: "right", Color: "000000", Style: 1}}
	case "wrap":
		s.Alignment.WrapText = true
	case "share":
		f := "0.0%"
		s.CustomNumFmt = &f
	case "sig":
		f := "0.0###"
		s.CustomNumFmt = &f
	}
	id, err := k.f.NewStyle(s)
	k.do(err)
	k.styles[name] = id
	return id
}

func (k *reviewWriter) text(style, s string) excelize.Cell {
	return excelize.Cell{StyleID: k.style(style), Value: table.Neutral(s)}
}

// num is a number; one that is not known is an empty cell.
func (k *reviewWriter) num(style string, v float64) any {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return excelize.Cell{StyleID: k.style(style)}
	}
	return excelize.Cell{StyleID: k.style(style), Value: v}
}

// live is a formula with the program's own answer stored for viewers that do not reckon.
func (k *reviewWriter) live(style, formula string, answer float64) any {
	c := excelize.Cell{StyleID: k.style(style), Formula: formula}
	if !math.IsNaN(answer) && !math.IsInf(answer, 0) {
		c.Value = answer
	}
	return c
}

func (k *reviewWriter) sheet(name string, widths []float64, rows [][]any) {
	sw, err := k.f.NewStreamWriter(name)
	if err != nil {
		k.do(err)
		return
	}
	for i, w := range widths {
		k.do(sw.SetColWidth(i+1, i+1, w))
	}
	for i, r := range rows {
		k.do(sw.SetRow(cell(1, i+1), r))
	}
	k.do(sw.Flush())
}

// shown is a parameter's values in the reader's units.
func (k *reviewWriter) shown(p review.Parameter) (func(i int) any, string) {
	f, unit := review.In(k.b.Plant.Units, 1, p.Unit)
	return func(i int) any {
		if v := p.Values[i]; !math.IsNaN(v) && !math.IsInf(v, 0) {
			return v * f
		}
		return nil
	}, unit
}

// plan lays the columns of the sheet of hours: the parameters, then for each basin
// what the what-if needs.
func (k *reviewWriter) plan() {
	for _, p := range k.b.Review.Parameters {
		at, unit := k.shown(p)
		k.cols = append(k.cols, hourColumn{head: p.Name + ", " + p.Point, unit: unit, key: p.Key, at: at})
	}
	for i := range k.b.Record.Basins {
		b := &k.b.Record.Basins[i]
		known := func(v []float64) func(int) any {
			return func(i int) any {
				if math.IsNaN(v[i]) || math.IsInf(v[i], 0) {
					return nil
				}
				return v[i]
			}
		}
		k.cols = append(k.cols, hourColumn{head: "contact time at peak flow, " + b.Title, unit: "min", key: b.Name + ".contact", at: known(b.ContactMin)},
			hourColumn{head: "instrument in doubt, " + b.Title, key: b.Name + ".doubt", at: func(i int) any {
				if b.Doubt[i] != "" {
					return 1
				}
				return 0
			}})
		if b.Require.CT > 0 {
			k.cols = append(k.cols, hourColumn{head: "chlorine that the hour would lack, " + b.Title, unit: k.unit("lb"), key: b.Name + ".lack", at: func(int) any { return nil }, formula: k.lack(b)})
		}
	}
}

func (k *reviewWriter) unit(u string) string {
	_, s := review.In(k.b.Plant.Units, 1, u)
	return s
}

// lack is what an hour would have needed more, for the figures on the what-if
// sheet: (asked - CT)/contact time × flow × 8.34/24.
func (k *reviewWriter) lack(b *review.Basin) func(row int) string {
	return func(row int) string {
		ct, t, q := k.ref(b.Name+".ct", row), k.ref(b.Name+".contact", row), k.ref(b.Name+".flow", row)
		if ct == "" || t == "" || q == "" {
			return ""
		}
		ask, times := k.asked[b.Name+".ct"], k.asked[b.Name+".times"]
		perFlow, _ := review.In(k.b.Plant.Units, 1, "MGD")
		perPound, _ := review.In(k.b.Plant.Units, 1, "lb")
		return fmt.Sprintf(`IF(AND(ISNUMBER(%[1]s),ISNUMBER(%[2]s),ISNUMBER(%[3]s)),IF(%[1]s*%[5]s<%[4]s,(%[4]s-%[1]s*%[5]s)/(%[2]s*%[5]s)*%[3]s/%[6]g*%[8]g/24*%[7]g,0),"")`, ct, t, q, ask, times, perFlow, perPound, review.Pounds(k.b.Plant.Units))
	}
}

func (k *reviewWriter) index(key string) int {
	for i, c := range k.cols {
		if c.key == key {
			return i
		}
	}
	return -1
}

// ref is the cell of a parameter in a row of the sheet of hours.
func (k *reviewWriter) ref(key string, row int) string {
	if i := k.index(key); i >= 0 {
		return cell(i+2, row)
	}
	return ""
}

const firstHour = 3 // row of the sheet of hours

// column is all hours of a parameter, for formulas on other sheets.
func (k *reviewWriter) column(key string) string {
	i := k.index(key)
	if i < 0 {
		return ""
	}
	c := colName(i + 2)
	return fmt.Sprintf("%s!$%s$%d:$%s$%d", reviewHours, c, firstHour, c, firstHour+k.rows-1)
}

func (k *reviewWriter) summary() [][]any {
	v := k.b.Review
	rows := [][]any{{k.text("big", "Performance review, "+k.b.Plant.Name)}, {k.text("", fmt.Sprintf("%s to %s; weirbook %s. It advises; what it means for the permit is for the regulator and the engineer who signs to say.",
		k.b.Record.At(v.Main.Lo).Format("2 January 2006"), k.b.Record.At(v.Main.Hi-1).Format("2 January 2006"), k.b.Version))}, {}}
	for _, s := range v.Summary.Sentences {
		rows = append(rows, []any{k.text("", s)})
	}
	rows = append(rows, []any{}, []any{k.text("head", "Figure"), k.text("head", "Value"), k.text("head", "Unit"), k.text("head", "Note")})
	for _, x := range v.Summary.Key {
		rows = append(rows, []any{k.text("", x.Name), k.text("", x.Value), k.text("", x.Unit), k.text("", x.Note)})
	}
	rows = append(rows, []any{}, []any{k.text("head", "Worth doing next"), k.text("head", "Worth"), k.text("head", ""), k.text("head", "It rests on")})
	for _, x := range v.Summary.Worth {
		rows = append(rows, []any{k.text("", x.Do), k.text("", x.Value), k.text("", ""), k.text("", x.Rests)})
	}
	rows = append(rows, []any{}, []any{k.text("", "Yellow cells on the sheet \"What if\" may be changed; the sheets reckon again from the sheet \"Hours\".")})
	return rows
}

// percentiles are live over the hours, with the program's own beside them.
func (k *reviewWriter) percentiles() [][]any {
	head := []any{k.text("head", "Quantity"), k.text("head", "Unit"), k.text("head", "n")}
	var shown []review.Percentiles
	for _, p := range k.b.Review.Percentiles {
		if p.Group == "whole" && p.What == "hours" {
			shown = append(shown, p)
		}
	}
	rows := [][]any{{k.text("big", "Percentiles of hours, live; the program's own to the right")}, {k.text("", "PERCENTILE.EXC is definition 6 of Hyndman and Fan. A percentile that n cannot reach is left out.")}, nil}
	for pass := range 2 {
		for _, l := range percentLevels {
			t := fmt.Sprintf("%g %%", 100*l)
			if pass == 1 {
				t = "program, " + t
			}
			head = append(head, k.text("head", t))
		}
	}
	rows[2] = head
	for _, p := range shown {
		key := ""
		for _, x := range k.b.Review.Parameters {
			if x.Name == p.Parameter && x.Point == p.Point {
				key = x.Key
			}
		}
		col := k.column(key)
		if col == "" {
			continue
		}
		row := []any{k.text("", p.Parameter+", "+p.Point), k.text("", k.unit(p.Unit)), k.live("", "COUNT("+col+")", float64(p.N))}
		for pass := range 2 {
			for i, l := range p.Levels {
				v, _ := review.In(k.b.Plant.Units, p.Values[i], p.Unit)
				switch {
				case math.IsNaN(v):
					row = append(row, k.text("", "n.d."))
				case pass == 0:
					row = append(row, k.live("sig", fmt.Sprintf("_xlfn.PERCENTILE.EXC(%s,%g)", col, l), v))
				default:
					row = append(row, k.num("sig", v))
				}
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// percentLevels are those of the review's tables.
var percentLevels = []float64{0.01, 0.05, 0.25, 0.5, 0.75, 0.95, 0.99}

// whatIf has for each basin figures to change, and the review's own table live.
func (k *reviewWriter) whatIf() [][]any {
	rows := [][]any{{k.text("big", "What if: change a yellow cell")}, {}}
	add := func(r ...any) int {
		rows = append(rows, r)
		return len(rows)
	}
	blank := k.text("", "")
	for i := range k.b.Record.Basins {
		b := &k.b.Record.Basins[i]
		ct, residual, doubt := k.column(b.Name+".ct"), k.column(b.Name+".residual"), k.column(b.Name+".doubt")
		if ct == "" || !(b.Require.CT > 0) {
			continue
		}
		add(k.text("head", b.Title), k.text("head", "Figure to change"), k.text("head", "Value"), k.text("head", "Unit"))
		at := func(n int) string { return fmt.Sprintf("'%s'!$C$%d", reviewWhatIf, n) }
		k.asked[b.Name+".ct"] = at(add(blank, k.text("", "CT asked"), k.num("input", b.Require.CT), k.text("", "mg·min/L")))
		k.asked[b.Name+".times"] = at(add(blank, k.text("", "contact time, as a multiple of the present one (baffling factor, volume)"), k.num("input", 1), blank))
		ask, times := k.asked[b.Name+".ct"], k.asked[b.Name+".times"]
		now := k.now(b.Title, "CT")
		add(blank, k.text("", "hours determined"), k.live("", "COUNT("+ct+")", float64(now.N)), k.text("", "h"))
		add(blank, k.text("", "hours that would be short"), k.live("", fmt.Sprintf(`COUNTIF(%s,"<"&(%s/%s))`, ct, ask, times), float64(now.Short)), k.text("", "h"))
		add(blank, k.text("", "of these, an instrument in doubt"), k.live("", fmt.Sprintf(`COUNTIFS(%s,"<"&(%s/%s),%s,1)`, ct, ask, times, doubt), math.NaN()), k.text("", "h"))
		add(blank, k.text("", "share that would be short"), k.live("share", fmt.Sprintf(`COUNTIF(%s,"<"&(%s/%s))/COUNT(%s)`, ct, ask, times, ct), now.Share()), blank)
		pounds, unit := review.In(k.b.Plant.Units, now.Pounds, "lb")
		add(blank, k.text("", "chlorine that would have held them"), k.live("sig", "SUM("+k.column(b.Name+".lack")+")", pounds), k.text("", unit))
		if residual != "" && b.Require.ResidualMin > 0 {
			r := at(add(blank, k.text("", "least residual asked"), k.num("input", b.Require.ResidualMin), k.text("", "mg/L")))
			add(blank, k.text("", "share of hours whose lowest residual is below it"), k.live("share", fmt.Sprintf(`COUNTIF(%s,"<"&%s)/COUNT(%s)`, residual, r, residual), k.now(b.Title, "residual").Share()), blank)
		}
		add()
	}
	add(k.text("head", "Where"), k.text("head", "Change"), k.text("head", "Figure"), k.text("head", "Unit"), k.text("head", "n"), k.text("head", "Short, live"), k.text("head", "Short, program"), k.text("head", "Chlorine, "+k.unit("lb")), k.text("head", "Taken for granted"))
	for _, w := range k.b.Review.WhatIf {
		pounds := math.NaN()
		if w.What == "CT" {
			pounds, _ = review.In(k.b.Plant.Units, w.Pounds, "lb")
		}
		row := []any{k.text("", w.Basin+": "+w.What), k.text("", w.Change), k.num("sig", w.Asked), k.text("", w.Unit)}
		if col := k.column(w.Key); col != "" {
			sign := "<"
			if w.Above {
				sign = ">"
			}
			n := len(rows) + 1
			row = append(row, k.live("", "COUNT("+col+")", float64(w.N)), k.live("", fmt.Sprintf(`COUNTIF(%s,"%s"&(C%d/%g))`, col, sign, n, w.Times), float64(w.Short)))
		} else {
			row = append(row, k.num("", float64(w.N)), k.text("", w.What2))
		}
		row = append(row, k.num("", float64(w.Short)), k.num("sig", pounds), k.text("", w.Assumption))
		rows = append(rows, row)
	}
	return rows
}

// now is the what-if of things as they are.
func (k *reviewWriter) now(basin, what string) review.WhatIf {
	for _, w := range k.b.Review.WhatIf {
		if w.Basin == basin && w.What == what && strings.HasSuffix(w.Change, "as now") {
			return w
		}
	}
	return review.WhatIf{Pounds: math.NaN()}
}

// hours writes the sheet of hours.
func (k *reviewWriter) hours() {
	sw, err := k.f.NewStreamWriter(reviewHours)
	if err != nil {
		k.do(err)
		return
	}
	k.do(sw.SetColWidth(1, 1, 22))
	k.do(sw.SetColWidth(2, max(2, len(k.cols)+1), 16))
	k.do(sw.SetPanes(&excelize.Panes{Freeze: true, XSplit: 1, YSplit: 2, TopLeftCell: "B3", ActivePane: "bottomRight"}))
	heads, units := []any{k.text("head", "Hour, plant clock")}, []any{k.text("head", "")}
	for _, c := range k.cols {
		heads, units = append(heads, k.text("head", c.head)), append(units, k.text("head", c.unit))
	}
	k.do(sw.SetRow("A1", heads))
	k.do(sw.SetRow("A2", units))
	p := k.b.Review.Main
	row := make([]any, len(k.cols)+1)
	for i := p.Lo; i < p.Hi && k.err == nil; i++ {
		n := firstHour + i - p.Lo
		row[0] = k.b.Record.At(i).Format("2006-01-02 15:04 -07:00")
		for j, c := range k.cols {
			row[j+1] = c.at(i)
			if c.formula != nil {
				row[j+1] = nil
				if s := c.formula(n); s != "" {
					row[j+1] = excelize.Cell{Formula: s}
				}
			}
		}
		k.do(sw.SetRow(cell(1, n), row))
	}
	k.do(sw.Flush())
}
