package reports

import (
	"strings"

	"weirbook/analysis"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/plant"
	"weirbook/analysis/sheet"
	"weirbook/reports/table"
)

// columnRow is a row of columns.csv.
type columnRow struct {
	Column     string `csv:"column"`
	File       string `csv:"file"`
	Quantity   string `csv:"quantity"`
	Unit       string `csv:"unit"`
	Definition string `csv:"definition"`
	DayIs      string `csv:"day_from_hours"`
}

// columnRows gathers them.
type columnRows []columnRow

func (r *columnRows) add(file, column, quantity, unit, definition string) {
	*r = append(*r, columnRow{column, file, table.Keyboard(quantity), table.Keyboard(unit), table.Keyboard(definition), ""})
}

// columnsCSV is columns.csv: every column of the run's sheets, what it holds, in
// which unit, and how the hours' figures make a day's where all hours are known.
func columnsCSV(r *analysis.Result) ([]byte, error) {
	var rows columnRows
	for _, t := range []struct {
		file, key, window string
		table             *analysis.Table
	}{{"hourly.csv", "hour_start", "hour", &r.Hourly}, {"daily.csv", "day_start", "day", &r.Daily}} {
		rows.add(t.file, t.key, "time", "", "start of the "+t.window+" on the plant's clock, with its offset")
		rows.add(t.file, "time_utc", "time", "", "the same moment in UTC")
		for _, c := range t.table.Columns {
			unit := inSystem(c.Unit, r.Plant.Units)
			definition := "of the " + t.window + "; empty: not determined"
			if c.Cover != nil {
				definition += ", because too little of it is covered"
			}
			rows.add(t.file, columnKey(c.Name, unit), c.Title, unit.Symbol, definition)
			rows[len(rows)-1].DayIs = string(c.Kind.Fold)
			if c.Cover != nil {
				rows.add(t.file, c.Name+"_coverage", c.Title+": coverage", "share, 0 to 1", "how much of the "+t.window+" is covered by readings that could be used")
				rows[len(rows)-1].DayIs = string(analysis.FoldMean)
			}
		}
		for _, w := range t.table.Words {
			rows.add(t.file, w.Name, w.Title, "", "of the "+t.window+", in words")
		}
	}
	describe(&rows, "samples.csv", r.Plant.Units, sheet.Headings[sampleRow]())
	describe(&rows, "findings.csv", r.Plant.Units, sheet.Headings[findingRow]())
	describe(&rows, "set-aside.csv", r.Plant.Units, sheet.Headings[asideRow]())
	if len(r.Upsets) > 0 {
		describe(&rows, "moves.csv", r.Plant.Units, sheet.Headings[moveRow]())
	}
	describeReadings(&rows)
	return sheet.Rows([]columnRow(rows), nil)
}

// describe adds the columns of a sheet of structs.
func describe(rows *columnRows, file string, system plant.System, columns []sheet.Heading) {
	head := unitHeading(system)
	for _, c := range columns {
		quantity, symbol, _ := strings.Cut(c.Name, " ")
		if symbol != "" {
			symbol = inSystem(unit(symbol), system).Symbol
		}
		if c.Name == "result_mg_per_l" {
			quantity, symbol = "result", "mg/L"
		}
		rows.add(file, head(c.Name), strings.ReplaceAll(quantity, "_", " "), symbol, c.About)
	}
}

// describeReadings adds the columns of readings.csv.
func describeReadings(rows *columnRows) {
	for i, c := range readingsTable(nil).Columns {
		definition := "readings set aside for this reason"
		switch {
		case i < 4:
			definition = []string{"the export", "the tag; empty: rows of no tag", "data rows, or cells of a table with a column a tag", "of these, used; the others stand in the columns of reasons"}[i]
		case i >= 4+len(ledger.Reasons()):
			definition = "of the used, those with this remark"
		}
		rows.add("readings.csv", c.Key, c.Name, "", definition)
	}
}

// monthColumnsCSV is columns.csv of a monthly summary.
func monthColumnsCSV(r *analysis.MonthResult) ([]byte, error) {
	var rows columnRows
	for _, k := range monthKeys {
		rows.add("month.csv", k[0], strings.ReplaceAll(k[0], "_", " "), "", k[1])
	}
	rows.add("month-days.csv", "day_start", "time", "", "start of the day on the plant's clock, with its offset")
	rows.add("month-days.csv", "time_utc", "time", "", "the same moment in UTC")
	rows.add("month-days.csv", "hours", "hours", "h", "length of the day: 23 or 25 at a clock change")
	rows.add("month-days.csv", "in_month", "in the month", "", "no: a day of a week that touches the month")
	for _, c := range dayColumns(r.Month, r.Plant.Units) {
		rows.add("month-days.csv", c.key, c.quantity, c.unit, c.definition)
	}
	describe(&rows, "set-aside.csv", r.Plant.Units, sheet.Headings[asideRow]())
	describeReadings(&rows)
	return sheet.Rows([]columnRow(rows), nil)
}
