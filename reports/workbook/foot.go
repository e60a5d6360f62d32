package workbook

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
)

// foot gives average, highest, lowest and number of every column of numbers,
// over the days of the month.
func (k *writer) foot(row int) {
	s := Daily
	lo, hi := k.monthRows()
	words := []struct{ name, f string }{{"Average", "AVERAGE"}, {"Geometric mean", "GEOMEAN"}, {"Highest", "MAX"}, {"Lowest", "MIN"}, {"Number", "COUNT"}}
	for i, w := range words {
		k.text(s, 1, row+i, w.name, "box bold fill")
		k.text(s, 2, row+i, "", "box fill")
		for c, p := range k.plans {
			col := k.m.Columns[c]
			for _, at := range append([]int{p.value, p.carried, p.flow}, loadCols(p)...) {
				if at == 0 {
					continue
				}
				look := "box fill"
				span := cell(at, lo) + ":" + cell(at, hi)
				if w.f == "GEOMEAN" && (at != p.value || p.zero || col.Unit != "per 100 mL") || k.none(c, at) {
					k.style(s, at, row+i, look)
					continue
				}
				dec := " d" + strconv.Itoa(min(col.Decimals+1, 4))
				switch w.f {
				case "COUNT":
					dec = " d0"
				case "MAX", "MIN":
					dec = " d" + strconv.Itoa(min(col.Decimals, 4))
				}
				k.calc(s, at, row+i, w.f+"("+span+")", look+dec)
			}
			for _, at := range []int{p.reported, p.cover} {
				if at > 0 {
					k.style(s, at, row+i, "box fill")
				}
			}
		}
	}
}

// none says that a column of the daily sheet holds no number in the month.
func (k *writer) none(i, at int) bool {
	p := k.plans[i]
	for _, d := range k.m.Columns[i].Days {
		if !k.inMonth(d) || d.NoDischarge && (at == p.value || at == p.flow) {
			continue
		}
		v := d.Used
		switch at {
		case p.flow:
			v = d.FlowMGD
		case p.carried:
			v = d.Carried
		case p.value:
		default:
			v = d.Load
		}
		if !math.IsNaN(v) {
			return false
		}
	}
	return true
}

func loadCols(p plan) []int {
	var out []int
	for _, u := range sorted(p.load) {
		out = append(out, p.load[u])
	}
	return out
}

// monthRows gives the first and last row of the month.
func (k *writer) monthRows() (lo, hi int) {
	days := k.days()
	lo, hi = -1, -1
	for r, d := range days {
		if k.inMonth(d) {
			if lo < 0 {
				lo = dailyFirst + r
			}
			hi = dailyFirst + r
		}
	}
	return lo, hi
}

// mark sets off the days above a daily or instantaneous maximum, or below a
// minimum, by a conditional format.
func (k *writer) mark(i int, c discharge.Column, n int) {
	p := k.plans[i]
	for _, l := range k.m.Lines {
		st, _ := plant.StatisticOf(l.Limit.Statistic)
		if l.Column != i || math.IsNaN(l.LimitValue) || st.Weekly || l.Unit == "min" || l.Unit == "samples" {
			continue
		}
		col, lim := p.value, l.LimitValue
		switch {
		case st.Name == "mass maximum daily":
			col = p.load[l.Unit]
		case strings.HasPrefix(st.Name, "instantaneous") || strings.HasSuffix(st.Name, " daily") || st.Name == "range":
			from, err1 := quantity.ParseUnit(l.Unit)
			to, err2 := quantity.ParseUnit(c.Unit)
			if err1 != nil || err2 != nil {
				continue
			}
			v, err := quantity.Convert(lim, from, to)
			if err != nil {
				continue
			}
			lim = v
		default:
			continue
		}
		// Results are held against limits as rounded: half a unit of the limit's
		// last digit beyond it.
		half := lim / l.LimitValue * 0.5 * math.Pow(10, -float64(discharge.DecimalsOf(l.LimitText)))
		if l.LimitValue == 0 {
			half = 0
		}
		crit := ">=" + num(lim+half)
		if l.AtLeast {
			crit = "<" + num(lim-half)
		}
		first := cell(col, dailyFirst)
		cond := fmt.Sprintf("ISNUMBER(%s),%s%s", first, first, crit)
		if p.reported > 0 { // a "<" is not above anything
			cond += fmt.Sprintf(",LEFT(%s,1)<>\"<\"", cell(p.reported, dailyFirst))
		}
		k.do(k.f.SetConditionalFormat(Daily, first+":"+cell(col, dailyFirst+n-1), []excelize.ConditionalFormatOptions{{
			Type: "formula", Criteria: "AND(" + cond + ")", Format: k.outside()}}))
	}
}
