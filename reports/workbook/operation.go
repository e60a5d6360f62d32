package workbook

import (
	"strings"

	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
)

// operation lists the day's figures of flows, residuals, CT, pH and temperature, which
// come from minutes that this book does not hold.
func (k *writer) operation() {
	s := Operation
	k.text(s, 1, 1, "Operation, "+k.m.Name(), "big")
	k.text(s, 1, 2, "Figures of each day from the signals, without readings left out as at fault. Empty: too little of the day is covered. With > or <: an instrument stood at the end of its scale.", "grey")
	k.text(s, 1, dailyHead, "Day", "head")
	k.width(s, 15)
	col := 2
	for _, p := range k.m.Process {
		from := quantity.MustUnit(p.Unit)
		to := from
		if k.b.Units == plant.Metric {
			to = quantity.InMetric(from)
		}
		for _, x := range p.Parts() {
			k.text(s, col, dailyHead, p.Title+"\n"+x.Word+", "+to.Symbol, "head centre")
			k.do(k.f.SetColWidth(s, colName(col), colName(col), 13))
			for i, d := range p.Days {
				v := x.Of(d)
				n, err := quantity.Convert(v.V, from, to)
				switch text := discharge.Round(n, discharge.Places{Decimals: 2, MaxDecimals: -1}, discharge.HalfUp); {
				case err != nil || text == "":
					k.style(s, col, dailyFirst+i, "box")
				case v.Sign != discharge.Exact:
					k.text(s, col, dailyFirst+i, string(v.Sign)+strings.TrimSuffix(text, ".00"), "box right")
				default:
					k.number(s, col, dailyFirst+i, n, "box d2")
				}
			}
			col++
		}
	}
	for i, d := range k.m.Days {
		k.do(k.f.SetCellValue(s, cell(1, dailyFirst+i), d.Date))
		k.style(s, 1, dailyFirst+i, "box date")
	}
	k.height(s, dailyHead, 72)
	k.freeze(s, 1, dailyHead)
	k.area(s, dailyHead, dailyFirst+len(k.m.Days)-1, col-1)
}
