package workbook

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/reports/table"
)

// Rows of the daily sheet.
const (
	dailyHead  = 4 // headings
	dailyFirst = 5 // first day
)

// plan says in which columns of the daily sheet a parameter stands; 0: nowhere.
type plan struct {
	reported int            // as the laboratory wrote it, with its sign
	value    int            // what it counts for; of a signal the day's mean
	cover    int            // of a signal
	carried  int            // flow-weighted mean of a signal, for its mass
	flow     int            // MGD, for its mass
	load     map[string]int // mass, by unit
	manyADay bool           // some day has several results
	zero     bool           // some day counts for zero or less: no logarithm
	lo, hi   int            // rows of the results sheet that the month's figures use; 0: none
	last     int            // of all its rows, from lo on: those of the weeks beyond the month, too
}

// lay decides the columns.
func (k *writer) lay() {
	col := 3
	next := func() int { col++; return col - 1 }
	k.plans = make([]plan, len(k.m.Columns))
	flows := map[string]int{} // a flow stands once, however many loads use it
	for i, c := range k.m.Columns {
		p := &k.plans[i]
		signal := c.Sample == "continuous"
		signs := false
		for _, d := range c.Days {
			signs = signs || d.Value.Sign != discharge.Exact || d.Text != ""
			p.manyADay = p.manyADay || d.N > 1
			p.zero = p.zero || d.Used <= 0
		}
		for _, r := range c.Results {
			p.zero = p.zero || k.m.CountsAs(i, r.Value) <= 0
		}
		if signs || !signal { // an edited cell may bear a sign where no result did
			p.reported = next()
		}
		p.value = next()
		if signal {
			p.cover = next()
		}
		if !c.HasLoad {
			continue
		}
		if signal {
			p.carried = next()
		}
		if flows[c.FlowTag] == 0 {
			flows[c.FlowTag] = next()
		}
		p.flow = flows[c.FlowTag]
		p.load = map[string]int{}
		for _, l := range k.m.Lines {
			if s, ok := plant.StatisticOf(l.Limit.Statistic); ok && s.Mass && l.Column == i && p.load[l.Unit] == 0 {
				p.load[l.Unit] = next()
			}
		}
	}
}

// first gives the days that the daily sheet shows: those of the weeks of the
// month, the same for every parameter.
func (k *writer) days() []discharge.Day {
	if len(k.m.Columns) > 0 {
		return k.m.Columns[0].Days
	}
	var out []discharge.Day
	for _, d := range k.m.Days {
		out = append(out, discharge.Day{Date: d.Date, Hours: d.Hours})
	}
	return out
}

func (k *writer) inMonth(d discharge.Day) bool {
	return d.Date.Year() == k.m.Year && d.Date.Month() == k.m.Month
}

// massFactor is what turns MGD x mg/L into the unit.
func (k *writer) massFactor(unit string) float64 {
	if unit == "kg/d" {
		return quantity.LitresPerGallon
	}
	u, err := quantity.ParseUnit(unit)
	if err != nil {
		return math.NaN()
	}
	return k.m.Settings.Factor / u.Scale
}

func num(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func (k *writer) daily() {
	s := Daily
	k.text(s, 1, 1, "Daily values, "+k.m.Name(), "big")
	k.text(s, 1, 2, "Days in italics belong to the weeks of this month and are not part of it. Shaded and bold: above a daily or instantaneous maximum. Loads are formulas over the day's cells.", "grey")
	k.text(s, 1, dailyHead, "Day", "head")
	k.text(s, 2, dailyHead, "Hours", "head")
	k.width(s, 15, 6)
	last := 2
	head := func(col int, group, text string, w float64) {
		if col == 0 {
			return
		}
		k.text(s, col, dailyHead, strings.TrimSpace(group+"\n"+text), "head centre")
		k.do(k.f.SetColWidth(s, colName(col), colName(col), w))
		last = max(last, col)
	}
	for i, c := range k.m.Columns {
		p := k.plans[i]
		word := "counted as"
		if c.Sample == "continuous" {
			word = "mean"
		} else if p.reported == 0 {
			word = "result"
		}
		title := c.Short + "\n(" + c.Sample + ")"
		head(p.reported, title, "reported", 11)
		head(p.value, title, word+", "+c.Unit, 11)
		head(p.cover, title, "covered", 11)
		head(p.carried, title, "flow-weighted, "+c.Unit, 11)
		head(p.flow, "", "Flow, mean\n"+c.FlowTag+"\nMGD", 10)
		for _, u := range sorted(p.load) {
			head(p.load[u], title, "load, "+u, 11)
		}
	}
	k.height(s, dailyHead, 72)
	days := k.days()
	for r, d := range days {
		row := dailyFirst + r
		look := "box"
		if !k.inMonth(d) {
			look = "box italic fill"
		}
		k.do(k.f.SetCellValue(s, cell(1, row), d.Date))
		k.style(s, 1, row, look+" date")
		k.number(s, 2, row, d.Hours, look+" g")
		for i := range k.m.Columns {
			k.dailyCells(i, r, row, look)
		}
	}
	k.foot(dailyFirst + len(days) + 1)
	for i, c := range k.m.Columns {
		k.mark(i, c, len(days))
	}
	k.freeze(s, 1, dailyHead)
	k.area(s, dailyHead, dailyFirst+len(days)+6, last)
}

// asReported writes a result as the laboratory would: a bound with the digits
// it needs, a measured value with the decimals of its column.
func asReported(v discharge.Value, decimals int) string {
	if v.Sign != discharge.Exact {
		return string(v.Sign) + table.Plain(v.V)
	}
	return discharge.Round(v.V, discharge.Places{Decimals: decimals, MaxDecimals: -1}, discharge.HalfUp)
}

// reads says that a reported text gives back its value: the number that it shows,
// and a sign.
func reads(text string, v discharge.Value) bool {
	x, err := strconv.ParseFloat(strings.TrimLeft(text, "<>"), 64)
	return err == nil && math.Abs(x-v.V) <= 1e-9*math.Abs(v.V)
}

// countedAs is the formula of the number that a reported cell counts for: an edited
// "<5" follows the permit's rule as the first one did. The decimal mark in the text
// is a point, whatever the spreadsheet's own.
func countedAs(r string, c discharge.Choice) string {
	number := fmt.Sprintf(`VALUE(SUBSTITUTE(MID(%s,2,20),".",MID(1/2,2,1)))`, r)
	below := number
	switch c.Rule {
	case discharge.Zero:
		below = "0"
	case discharge.Half:
		below = number + "/2"
	case discharge.Fixed:
		below = num(c.Fixed)
	}
	plain := r
	if c.Counts {
		plain = fmt.Sprintf("IF(%s=0,%s,%s)", r, num(c.Floor), r)
		if c.Rule == discharge.Zero {
			below = num(c.Floor)
		}
	}
	return fmt.Sprintf(`IF(ISNUMBER(%[1]s),%[2]s,IF(LEFT(%[1]s,1)="<",%[3]s,IF(LEFT(%[1]s,1)=">",%[4]s,"")))`, r, plain, below, number)
}

// wordCounts is the formula of what a reported cell counts for where it may still hold
// the word for a result below a limit that nobody states: what the permit's rule says.
func wordCounts(r, word string, v discharge.Value, used float64, formula string) string {
	if word == "" || !math.IsNaN(v.V) || math.IsNaN(used) {
		return formula
	}
	return fmt.Sprintf("IF(%s=%q,%s,%s)", r, word, num(used), formula)
}

// wordSign is the formula of a reported cell's sign where it may still hold a word in
// place of a number: TNTC is uncounted, ND below.
func wordSign(r, word string, v discharge.Value) (formula, answer string) {
	if !math.IsNaN(v.V) {
		return signWord(r), map[discharge.Sign]string{discharge.Less: below, discharge.Greater: above}[v.Sign]
	}
	sign := map[discharge.Sign]string{discharge.Less: below, discharge.Greater: many}[v.Sign]
	if word == "" || sign == "" {
		return signWord(r), ""
	}
	return fmt.Sprintf("IF(%s=%q,%q,%s)", r, word, sign, signWord(r)), sign
}

func (k *writer) dailyCells(i, r, row int, look string) {
	s, c, p := Daily, k.m.Columns[i], k.plans[i]
	d := c.Days[r]
	dec := "d" + strconv.Itoa(min(c.Decimals, 4))
	if p.reported > 0 {
		t := d.Text
		if !math.IsNaN(d.Value.V) {
			t = asReported(d.Value, c.Decimals)
		}
		k.reported(s, p.reported, row, t, look)
	}
	if d.NoDischarge {
		k.text(s, p.value, row, "no discharge", look+" small right")
	} else if p.reported > 0 && d.N <= 1 && (math.IsNaN(d.Value.V) || reads(asReported(d.Value, c.Decimals), d.Value)) {
		// Half of a limit has a digit more.
		k.known(s, p.value, row, wordCounts(cell(p.reported, row), d.Text, d.Value, d.Used, countedAs(cell(p.reported, row), c.Choice)), d.Used, "", look+" d"+strconv.Itoa(min(c.Decimals+1, 4)))
	} else if p.reported > 0 {
		k.number(s, p.value, row, d.Used, look+" d"+strconv.Itoa(min(c.Decimals+1, 4)))
	} else {
		k.number(s, p.value, row, d.Used, look+" "+dec)
	}
	if p.cover > 0 {
		k.number(s, p.cover, row, d.Cover, look+" percent")
	}
	if !c.HasLoad {
		return
	}
	conc := p.value
	if p.carried > 0 {
		conc = p.carried
		k.number(s, conc, row, d.Carried, look+" "+dec)
	}
	flow := d.FlowMGD
	if d.NoDischarge {
		flow = math.NaN() // not counted, as the day is not
	}
	k.number(s, p.flow, row, flow, look+" d3")
	for _, u := range sorted(p.load) {
		col := p.load[u]
		if math.IsNaN(d.Load) {
			k.style(s, col, row, look)
			continue
		}
		k.calc(s, col, row, fmt.Sprintf(`IF(AND(ISNUMBER(%[1]s),ISNUMBER(%[2]s)),%[1]s*%[2]s*%[3]s,"")`, cell(conc, row), cell(p.flow, row), num(k.massFactor(u))), look+" d1")
	}
}

func sorted(m map[string]int) []string {
	var out []string
	for u := range m {
		out = append(out, u)
	}
	for i := range out { // a handful
		for j := i; j > 0 && m[out[j]] < m[out[j-1]]; j-- {
			out[j], out[j-1] = out[j-1], out[j]
		}
	}
	return out
}
