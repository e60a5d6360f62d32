package workbook

import (
	"fmt"
	"math"
	"strings"

	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
)

// live is the formula of one line, or why there is none.
type live struct {
	formula string
	why     string
	row     int // on the summary
}

// rows are the rows of the daily sheet that count for a line: days of the month
// in season.
func (k *writer) rows(l discharge.Line) []int {
	season, err := plant.ParseSeason(l.Limit.Season)
	var out []int
	for r, d := range k.days() {
		if k.inMonth(d) && (l.Limit.Season == "" || err == nil && season.Holds(d.Date.Month(), d.Date.Day())) {
			out = append(out, dailyFirst+r)
		}
	}
	return out
}

// spans writes the cells of a column in some rows: "D5:D35".
func spans(sheet string, col int, rows []int) string {
	var parts []string
	for i := 0; i < len(rows); {
		j := i
		for j+1 < len(rows) && rows[j+1] == rows[j]+1 {
			j++
		}
		parts = append(parts, fmt.Sprintf("%s!%s:%s", sheet, cell(col, rows[i]), cell(col, rows[j])))
		i = j + 1
	}
	return strings.Join(parts, ",")
}

// resultSpan is the column of numbers that a parameter's results count for.
func (k *writer) resultSpan(i int) string {
	p := k.plans[i]
	return fmt.Sprintf("%s!%s:%s", Results, cell(7, p.lo), cell(7, p.hi))
}

// of gives the live formula of a line.
func (k *writer) of(n int) live {
	l := k.m.Lines[n]
	st, ok := plant.StatisticOf(l.Limit.Statistic)
	if !ok || l.Column < 0 || math.IsNaN(l.Value) {
		return live{why: "not determined"}
	}
	c, p := k.m.Columns[l.Column], k.plans[l.Column]
	rows := k.rows(l)
	cells := spans(Daily, p.value, rows)
	low := st.AtLeast || l.Part == "lowest"
	below := l.Values > 0 && l.NonDetects == l.Values && l.Sign == discharge.Less && !low && k.m.Reporting.AllBelow != "as-rule"
	byLimit := k.m.Reporting.NonDetect == "limit" || k.m.Reporting.NonDetect == "without-sign"
	switch {
	case st.Removal:
		return k.removal(l, p, rows)
	case below && !byLimit:
		return live{why: "every result is below its limit: the largest of the limits, with \"<\""}
	case below && !st.Weekly && !st.Mass && st.Name != "median 7 day" && st.Name != "four day average":
		return live{formula: k.unit(l, c, "MAX("+cells+")")}
	case below:
		return live{why: "every result is below its limit"}
	case st.Weekly && l.NonDetects > 0 && (k.m.Reporting.NonDetect == "mle" || k.m.Reporting.NonDetect == "kaplan-meier"):
		return live{why: "each week is estimated by its own rule where it can be"}
	case l.Rule == discharge.MLE || l.Rule == discharge.KaplanMeierRule:
		return live{why: "estimated by " + l.RuleText + ", which no single formula does"}
	}
	signal := c.Sample == "continuous"
	single := cells
	if p.manyADay {
		if p.lo == 0 || l.Limit.Season != "" {
			return live{why: "several results a day in part of a month: see the results sheet"}
		}
		single = k.resultSpan(l.Column)
	}
	switch st.Name {
	case "average monthly":
		return live{formula: k.unit(l, c, "AVERAGE("+cells+")")}
	case "maximum daily":
		return live{formula: k.unit(l, c, "MAX("+cells+")")}
	case "minimum daily":
		return live{formula: k.unit(l, c, "MIN("+cells+")")}
	case "geometric mean monthly":
		if p.zero {
			return live{why: "some days count for zero, which has no logarithm"}
		}
		return live{formula: k.unit(l, c, "GEOMEAN("+single+")")}
	case "maximum weekly average", "geometric mean weekly", "mass maximum weekly":
		if st.Geometric && p.manyADay && !k.weekOfResults(l) {
			return live{why: "several results a day in part of a week: see the results sheet"}
		}
		if col := k.weekCol[n]; col > 0 {
			if s := k.countedWeeks(col); s != "" {
				return live{formula: "MAX(" + s + ")"}
			}
		}
		return live{why: "no week counts"}
	case "mass average monthly":
		return live{formula: "AVERAGE(" + spans(Daily, p.load[l.Unit], rows) + ")"}
	case "mass maximum daily":
		return live{formula: "MAX(" + spans(Daily, p.load[l.Unit], rows) + ")"}
	}
	if signal {
		return live{why: "made from minutes, which this book does not hold"}
	}
	switch {
	case st.Name == "instantaneous maximum" || st.Name == "instantaneous minimum" || st.Name == "range" || st.Name == "one hour average":
		if low {
			return live{formula: k.unit(l, c, "MIN("+single+")")}
		}
		return live{formula: k.unit(l, c, "MAX("+single+")")}
	case st.Percent > 0:
		return live{formula: k.unit(l, c, fmt.Sprintf("SMALL(%s,ROUNDUP(%s*COUNT(%s),0))", single, num(st.Percent/100), single))}
	}
	return live{why: "made from days or results that reach back before the month"}
}

// removal is the formula of a percent removal, unless one of its averages is no
// plain average of the day cells.
func (k *writer) removal(l discharge.Line, p plan, rows []int) live {
	if l.Against < 0 {
		return live{why: "no influent"}
	}
	for _, i := range []int{l.Column, l.Against} {
		n, below := k.countBelow(i, rows)
		switch rule := discharge.Rule(k.m.Reporting.NonDetect); {
		case n > 0 && below == n && k.m.Reporting.AllBelow != "as-rule":
			return live{why: "every " + k.m.Columns[i].Short + " result is below its limit"}
		case below > 0 && (rule == discharge.MLE || rule == discharge.KaplanMeierRule):
			return live{why: "an average is estimated by " + rule.Words(0) + ", which no single formula does"}
		}
	}
	return live{formula: fmt.Sprintf("100*(1-AVERAGE(%s)/AVERAGE(%s))", spans(Daily, p.value, rows), spans(Daily, k.plans[l.Against].value, rows))}
}

// countBelow counts the days with a value of a parameter in some rows, and those
// below a limit.
func (k *writer) countBelow(i int, rows []int) (n, below int) {
	for _, r := range rows {
		d := k.m.Columns[i].Days[r-dailyFirst]
		if !math.IsNaN(d.Value.V) && !d.NoDischarge {
			n++
			if d.Value.Sign == discharge.Less {
				below++
			}
		}
	}
	return n, below
}

// unit turns a formula in the column's unit into the line's.
func (k *writer) unit(l discharge.Line, c discharge.Column, f string) string {
	from, err1 := quantity.ParseUnit(c.Unit)
	to, err2 := quantity.ParseUnit(l.Unit)
	if err1 != nil || err2 != nil || from.Symbol == to.Symbol {
		return f
	}
	a, err := quantity.Convert(1, from, to)
	b, err2 := quantity.Convert(0, from, to)
	if err != nil || err2 != nil {
		return f
	}
	if b != 0 {
		return fmt.Sprintf("%s*%s+%s", f, num(a-b), num(b))
	}
	return f + "*" + num(a)
}
