package workbook

import (
	"fmt"
	"math"
	"strconv"

	"weirbook/reports/table"
)

// check holds each live formula beside the program's own unrounded figure.
func (k *writer) check() {
	s := Check
	k.text(s, 1, 1, "The program's figures against this book's formulas", "big")
	k.text(s, 1, 2, "Both are unrounded. They agree when they differ by less than a millionth. Change a day cell and the difference shows.", "grey")
	for i, h := range []string{"Line", "Unit", "By the program", "By the formula", "Difference", "Agrees"} {
		k.text(s, i+1, 4, h, "head")
	}
	k.width(s, 70, 12, 18, 18, 14, 10)
	row := 5
	for n, l := range k.m.Lines {
		f := k.live[n]
		if math.IsNaN(l.Value) {
			continue
		}
		name := l.Parameter + ", " + l.Point + ": " + l.Statistic
		if l.Part != "" {
			name += ", " + l.Part
		}
		k.text(s, 1, row, name, "box wrap")
		k.text(s, 2, row, l.Unit, "box")
		k.number(s, 3, row, plain(l.Value), "box g")
		if f.formula == "" {
			k.text(s, 4, row, "–", "box centre")
			k.text(s, 5, row, "", "box")
			k.text(s, 6, row, "no formula", "box")
		} else {
			k.calc(s, 4, row, fmt.Sprintf("%s!%s", Summary, cell(sumLive, f.row)), "box g")
			k.calc(s, 5, row, fmt.Sprintf("ROUND(%s-%s,9)", cell(4, row), cell(3, row)), "box g")
			k.calc(s, 6, row, fmt.Sprintf("IF(ROUND(%s,6)=0,\"yes\",\"NO\")", cell(5, row)), "box bold")
		}
		row++
	}
	k.area(s, 4, row-1, 6)
	k.freeze(s, 0, 4)
}

// plain takes the noise of binary arithmetic off a number.
func plain(v float64) float64 {
	x, err := strconv.ParseFloat(table.Plain(v), 64)
	if err != nil {
		return v
	}
	return x
}
