package workbook

import (
	"fmt"
	"strings"

	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
)

const weeksFirst = 5

// weeks holds a row per week that touches the month, with a live average for
// each weekly line. A week that does not count for this month says so.
func (k *writer) weeks() {
	s := Weeks
	k.weekCol = map[int]int{}
	k.text(s, 1, 1, "Weeks of "+k.m.Name(), "big")
	k.text(s, 1, 2, "Formulas over the day cells. Which weeks count is the permit's choice; see the sources sheet.", "grey")
	for i, h := range []string{"From", "To", "Counts for this month"} {
		k.text(s, i+1, 4, h, "head")
	}
	k.width(s, 16, 16, 12)
	col := 4
	for n, l := range k.m.Lines {
		st, _ := plant.StatisticOf(l.Limit.Statistic)
		if !st.Weekly || l.Column < 0 || l.State.Idle() {
			continue
		}
		k.weekCol[n] = col
		word := "average"
		if st.Name == "geometric mean weekly" {
			word = "geometric mean"
		}
		k.text(s, col, 4, fmt.Sprintf("%s\n%s, %s", k.m.Columns[l.Column].Title, word, l.Unit), "head centre")
		k.do(k.f.SetColWidth(s, colName(col), colName(col), 20))
		k.text(s, col+1, 4, "days", "head centre")
		k.do(k.f.SetColWidth(s, colName(col+1), colName(col+1), 7))
		k.text(s, col+2, 4, "sign", "head centre")
		k.do(k.f.SetColWidth(s, colName(col+2), colName(col+2), 7))
		col += 3
	}
	k.height(s, 4, 54)
	for i, w := range k.m.Weeks {
		row, look, counts := weeksFirst+i, "box", "yes"
		if !w.Counted {
			look, counts = "box italic fill", "no"
		}
		k.do(k.f.SetCellValue(s, cell(1, row), w.First))
		k.style(s, 1, row, look+" date")
		k.do(k.f.SetCellValue(s, cell(2, row), w.Last))
		k.style(s, 2, row, look+" date")
		k.text(s, 3, row, counts, look)
		for n := range k.m.Lines { // in order: styles are numbered as they come
			if at := k.weekCol[n]; at > 0 {
				k.weekCell(n, at, row, i, look)
			}
		}
	}
	k.area(s, 4, weeksFirst+len(k.m.Weeks)-1, col-1)
	k.freeze(s, 0, 4)
}

func (k *writer) weekCell(n, at, row, week int, look string) {
	l := k.m.Lines[n]
	st, _ := plant.StatisticOf(l.Limit.Statistic)
	p := k.plans[l.Column]
	c := k.m.Columns[l.Column]
	col, f := p.value, "AVERAGE"
	if st.Mass {
		col = p.load[l.Unit]
	}
	if st.Name == "geometric mean weekly" {
		f = "GEOMEAN"
	}
	if st.Geometric && k.weekOfResults(l) {
		k.weekOf(n, at, row, look)
		return
	}
	rows := k.weekRows(l, week)
	if len(rows) == 0 {
		k.style(Weeks, at, row, look)
		k.style(Weeks, at+1, row, look)
		k.style(Weeks, at+2, row, look)
		return
	}
	cells := spans(Daily, col, rows)
	k.calc(Weeks, at, row, k.ifAny(cells, k.unitOf(l, c, st, f+"("+cells+")")), look+" d3")
	k.calc(Weeks, at+1, row, "COUNT("+cells+")", look+" d0")
	if p.reported == 0 {
		k.style(Weeks, at+2, row, look)
		return
	}
	// A mean with a ">" is one; with a "<" it is one where the rule passes the limit on.
	words := strings.Split(spans(Signs, p.reported, rows), ",")
	sign := `""`
	if c.Choice.Rule == discharge.Limit {
		sign = fmt.Sprintf(`IF(%s>0,%q,"")`, total(words, nil, fmt.Sprintf("COUNTIF(#N,%q)", below)), below)
	}
	of := func(word string) string { return total(words, nil, fmt.Sprintf("COUNTIF(#N,%q)", word)) }
	k.calc(Weeks, at+2, row, weekSign(cell(at, row), of, sign), look)
}

// weekOfResults says whether a line's weekly geometric mean is one of single results, of
// which some days have several.
func (k *writer) weekOfResults(l discharge.Line) bool {
	p := k.plans[l.Column]
	return p.manyADay && p.lo > 0 && !p.zero && l.Limit.Season == ""
}

// weekOf writes a week's geometric mean of single results, how many, and its sign.
func (k *writer) weekOf(n, at, row int, look string) {
	l := k.m.Lines[n]
	p, c := k.plans[l.Column], k.m.Columns[l.Column]
	span := func(col int) string { return fmt.Sprintf("%s!%s:%s", Results, cell(col, p.lo), cell(col, p.last)) }
	days := fmt.Sprintf(`%[1]s,">="&%[2]s,%[1]s,"<="&%[3]s`, span(resultDay), cell(1, row), cell(2, row))
	number := fmt.Sprintf(`COUNTIFS(%s,%s,">-1E+300")`, days, span(resultLog))
	k.calc(Weeks, at, row, fmt.Sprintf(`IF(%s=0,"",%s)`, number, k.unit(l, c, fmt.Sprintf("EXP(SUMIFS(%s,%s)/%s)", span(resultLog), days, number))), look+" d3")
	k.calc(Weeks, at+1, row, number, look+" d0")
	of := func(word string) string { return fmt.Sprintf(`COUNTIFS(%s,%s,%q)`, days, span(resultSign), word) }
	sign := `""`
	if c.Choice.Rule == discharge.Limit {
		sign = fmt.Sprintf(`IF(%s>0,%q,"")`, of(below), below)
	}
	k.calc(Weeks, at+2, row, weekSign(cell(at, row), of, sign), look)
}

// weekSign is the formula of a week's sign: of one with no number at all, uncounted.
func weekSign(number string, of func(word string) string, otherwise string) string {
	return fmt.Sprintf(`IF(%s+%s>0,IF(ISNUMBER(%s),%q,%q),%s)`, of(above), of(many), number, above, many, otherwise)
}

// weekRows are the rows of the daily sheet that a week has in a line's season.
func (k *writer) weekRows(l discharge.Line, week int) []int {
	season, _ := plant.ParseSeason(l.Limit.Season)
	c := k.m.Columns[l.Column]
	var rows []int
	for d := range 7 {
		day := c.Days[min(7*week+d, len(c.Days)-1)]
		if l.Limit.Season == "" || season.Holds(day.Date.Month(), day.Date.Day()) {
			rows = append(rows, dailyFirst+7*week+d)
		}
	}
	return rows
}

// ifAny leaves a cell empty where there is nothing to reckon with.
func (k *writer) ifAny(cells, f string) string {
	var n []string
	for _, c := range strings.Split(cells, ",") {
		n = append(n, "COUNT("+c+")")
	}
	return "IF(" + strings.Join(n, "+") + "=0,\"\"," + f + ")"
}

func (k *writer) unitOf(l discharge.Line, c discharge.Column, st plant.Statistic, f string) string {
	if st.Mass {
		return f // the load column is in the line's unit
	}
	return k.unit(l, c, f)
}

// countedWeeks are the cells of the weeks that count.
func (k *writer) countedWeeks(col int) string {
	var rows []int
	for i, w := range k.m.Weeks {
		if w.Counted {
			rows = append(rows, weeksFirst+i)
		}
	}
	return spans(Weeks, col, rows)
}
