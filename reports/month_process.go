package reports

import (
	"weirbook/analysis"
	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/reports/page"
	"weirbook/reports/table"
)

// processCell is a figure of a day of operation in the plant's units.
func processCell(v discharge.Value, from, to quantity.Unit, decimals int) table.Cell {
	x, err := quantity.Convert(v.V, from, to)
	if err != nil {
		return table.NA("n.d.")
	}
	return table.Signed(string(v.Sign), x, decimals)
}

// processDecimals are those of a day's figure: minutes and temperatures have one.
func processDecimals(u quantity.Unit) int {
	switch u.Symbol {
	case "mg/L", "MGD", "pH":
		return 2
	}
	return 1
}

// monthProcess is the day's operation: flows, residuals, CT, pH and temperature.
func monthProcess(r *analysis.MonthResult) (page.Section, error) {
	m := r.Month
	s := page.Section{ID: "operation", Title: "Operation, day by day", Lead: "From the signals, whether or not a limit asks for it, without readings that are left out as at fault. Empty: too little of the day is covered."}
	const perTable = 3
	for a := 0; a < len(m.Process); a += perTable {
		t := &table.Table{Columns: []table.Column{{Name: "Day"}}}
		group := m.Process[a:min(a+perTable, len(m.Process))]
		for _, p := range group {
			_, to := processUnit(p, r.Plant.Units)
			for _, x := range p.Parts() {
				t.Columns = append(t.Columns, table.Column{Name: p.Title + ": " + x.Word, Unit: to.Symbol, Align: table.Right})
			}
		}
		for i, d := range m.Days {
			row := []table.Cell{table.Str(d.Date.Format("Mon 2"))}
			for _, p := range group {
				from, to := processUnit(p, r.Plant.Units)
				for _, x := range p.Parts() {
					row = append(row, processCell(x.Of(p.Days[i]), from, to, processDecimals(to)))
				}
			}
			t.Rows = append(t.Rows, row)
		}
		s.Blocks = append(s.Blocks, page.Fold(groupTitle(group), plural(len(t.Rows), "day"), page.Table(t)))
	}
	return s, nil
}

func groupTitle(ps []discharge.Process) string {
	text := ""
	for i, p := range ps {
		if i > 0 {
			text += "; "
		}
		text += p.Title
	}
	return text
}

func processUnit(p discharge.Process, s plant.System) (from, to quantity.Unit) {
	from = quantity.MustUnit(p.Unit)
	return from, inSystem(from, s)
}
