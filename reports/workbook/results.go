package workbook

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// Columns of the sheet.
const (
	resultDay    = 4
	resultNumber = 7
	resultSign   = 12 // the sign as a word
	resultLog    = 13 // the logarithm of what it counts for, for geometric means
)

// results lists every single result, parameter by parameter.
func (k *writer) results() {
	s := Results
	k.text(s, 1, 1, "Single results, "+k.m.Name()+" and the weeks that touch it", "big")
	k.text(s, 1, 2, "Everything that the laboratory's sheets hold, as it stands there, with the number each result counts for under the permit's rule. Those left out say why.", "grey")
	for i, h := range []string{"Parameter", "Tag", "Taken", "Counts for day", "Sample", "Reported", "Counted as", "Unit", "Left out", "Remark", "Letter", "Sign", "ln"} {
		k.text(s, i+1, 4, h, "head")
	}
	k.width(s, 44, 16, 17, 16, 11, 12, 12, 12, 26, 40, 8, 8, 8)
	row := 5
	loc, err := time.LoadLocation(k.m.Zone)
	if err != nil {
		loc = time.UTC
	}
	for i, c := range k.m.Columns {
		p := &k.plans[i]
		for pass := range 2 { // those of the month first, so that they stand together
			for _, r := range c.Results {
				in := r.Date.Year() == k.m.Year && r.Date.Month() == k.m.Month && r.Note == ""
				if in != (pass == 0) {
					continue
				}
				look := "box"
				if !in {
					look = "box italic fill"
				} else {
					if p.lo == 0 {
						p.lo = row
					}
					p.hi = row
				}
				k.text(s, 1, row, c.Title, look)
				k.text(s, 2, row, r.Tag, look)
				// A spreadsheet has no zones: the plant's own clock, as read on the wall.
				t := time.UnixMilli(r.T).In(loc)
				k.do(k.f.SetCellValue(s, cell(3, row), time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), 0, 0, time.UTC)))
				k.style(s, 3, row, look+" time")
				k.do(k.f.SetCellValue(s, cell(4, row), r.Date))
				k.style(s, 4, row, look+" date")
				kind := "composite"
				if r.Grab {
					kind = "grab"
				}
				k.text(s, 5, row, kind, look)
				dec := c.Decimals
				as := strings.ReplaceAll(r.Written, " ", "")
				if !reads(as, r.Value) {
					as = r.Written
				}
				if as == "" {
					as = asReported(r.Value, dec)
				}
				k.reported(s, 6, row, as, look)
				if reads(as, r.Value) && r.Note == "" {
					k.known(s, 7, row, countedAs(cell(6, row), c.Choice), k.m.CountsAs(i, r.Value), "", look+" d"+strconv.Itoa(min(dec+1, 4)))
				} else if used := k.m.CountsAs(i, r.Value); r.Note == "" && as != "" {
					k.known(s, 7, row, wordCounts(cell(6, row), as, r.Value, used, countedAs(cell(6, row), c.Choice)), used, "", look+" d"+strconv.Itoa(min(dec+1, 4)))
				} else if r.Note == "" || r.Written == "" {
					k.number(s, 7, row, k.m.CountsAs(i, r.Value), look+" d"+strconv.Itoa(min(dec+1, 4)))
				} else {
					k.style(s, 7, row, look)
				}
				k.text(s, 8, row, c.Unit, look)
				k.text(s, 9, row, r.Note, look+" wrap")
				k.text(s, 10, row, r.Remark, look+" wrap")
				k.text(s, 11, row, r.Letter, look)
				switch formula, word := wordSign(cell(6, row), as, r.Value); {
				case r.Note != "":
					k.text(s, resultSign, row, "", look)
				default:
					k.known(s, resultSign, row, formula, math.NaN(), word, look)
				}
				if v := k.m.CountsAs(i, r.Value); r.Note == "" {
					k.known(s, resultLog, row, fmt.Sprintf(`IF(ISNUMBER(%[1]s),IF(%[1]s>0,LN(%[1]s),""),"")`, cell(resultNumber, row)), lnOf(v), "", look+" d3")
				} else {
					k.style(s, resultLog, row, look)
				}
				if p.lo > 0 {
					p.last = row
				}
				row++
			}
		}
	}
	k.freeze(s, 0, 4)
	k.area(s, 4, row-1, resultLog)
}

// lnOf is a logarithm; NaN of what has none.
func lnOf(v float64) float64 {
	if v > 0 {
		return math.Log(v)
	}
	return math.NaN()
}
