// Package workbook writes the monthly discharge summary as a spreadsheet that
// a reviewer can click through: each load, mean and geometric mean is a live
// formula over the day cells, beside the program's own figure.
package workbook

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
	"weirbook/reports/table"
)

// Sheet names.
const (
	Summary   = "Summary"
	Daily     = "Daily"
	Weeks     = "Weeks"
	Results   = "Results"
	Operation = "Operation"
	Working   = "Working"
	Signs     = "Signs"
	Check     = "Check"
	Sources   = "Sources and settings"
)

// sheets in their order, which is also that of their files in the archive.
var sheets = []string{Summary, Daily, Weeks, Results, Check, Sources, Operation, Working, Signs}

// Book is what is written.
type Book struct {
	Month   *discharge.Month
	Inputs  []Input // the exports it was made from
	Version string  // of the program
	A4      bool    // paper; else Letter
	Units   plant.System
}

// Input is one export by name and hash.
type Input struct{ Name, SHA256 string }

// Name is the file name: month-2026-03.xlsx.
func Name(m *discharge.Month) string {
	return fmt.Sprintf("month-%04d-%02d.xlsx", m.Year, int(m.Month))
}

// Write writes the workbook. The same month gives the same bytes.
func Write(w io.Writer, b Book) error {
	f := excelize.NewFile()
	defer f.Close()
	k := &writer{f: f, b: b, m: b.Month, styles: map[string]int{}, answers: map[string]string{}}
	k.lay()
	if err := f.SetSheetName("Sheet1", Summary); err != nil {
		return err
	}
	for _, s := range sheets[1:] {
		if _, err := f.NewSheet(s); err != nil {
			return err
		}
	}
	k.daily()
	k.results()
	k.operation()
	k.weeks()
	k.summary()
	k.signs()
	k.working()
	k.reportLive()
	k.check()
	k.sources()
	for _, s := range sheets {
		k.paper(s)
	}
	k.cache()
	// The time is the month's own: the same month gives the same bytes.
	at := b.Month.First().AddDate(0, 1, 0).Format("2006-01-02T15:04:05Z")
	k.do(f.SetDocProps(&excelize.DocProperties{Title: "Monthly discharge summary, " + b.Month.Name(), Subject: table.Neutral(b.Month.Plant),
		Creator: "Weirbook", LastModifiedBy: "Weirbook", Created: at, Modified: at, Language: "en-US"}))
	full := true
	k.do(f.SetCalcProps(&excelize.CalcPropsOptions{FullCalcOnLoad: &full}))
	f.SetActiveSheet(0)
	if k.err != nil {
		return fmt.Errorf("workbook: %w", k.err)
	}
	buf, err := f.WriteToBuffer()
	if err != nil {
		return fmt.Errorf("workbook: %w", err)
	}
	return tidy(w, buf.Bytes(), k.answers)
}

// writer holds the book in the making. The first error stays.
type writer struct {
	f       *excelize.File
	b       Book
	m       *discharge.Month
	err     error
	styles  map[string]int
	plans   []plan
	formula []place           // every formula cell
	answers map[string]string // of formulas that answer with a text, by sheet!cell
	live    []live            // by line
	weekCol map[int]int
	work    []workRow // by line
	printed map[string]printArea
}

type place struct {
	sheet, cell, formula string
	known, isNumber      bool // the program has the answer
	number               float64
	text                 string
}

type printArea struct{ head, lastRow, lastCol int }

func (k *writer) do(err error) {
	if k.err == nil {
		k.err = err
	}
}

func cell(col, row int) string {
	s, err := excelize.CoordinatesToCellName(col, row)
	if err != nil {
		return "A1"
	}
	return s
}

func colName(col int) string {
	s, err := excelize.ColumnNumberToName(col)
	if err != nil {
		return "A"
	}
	return s
}

// text writes text that a spreadsheet never takes for a formula.
func (k *writer) text(sheet string, col, row int, s, style string) {
	k.do(k.f.SetCellStr(sheet, cell(col, row), table.Neutral(s)))
	k.style(sheet, col, row, style)
}

// number writes a number; one that is unknown stays an empty cell.
func (k *writer) number(sheet string, col, row int, v float64, style string) {
	if !math.IsNaN(v) && !math.IsInf(v, 0) {
		k.do(k.f.SetCellFloat(sheet, cell(col, row), v, -1, 64))
	}
	k.style(sheet, col, row, style)
}

// calc writes a live formula.
func (k *writer) calc(sheet string, col, row int, formula, style string) {
	c := cell(col, row)
	k.do(k.f.SetCellFormula(sheet, c, formula))
	k.formula = append(k.formula, place{sheet: sheet, cell: c, formula: formula})
	k.style(sheet, col, row, style)
}

// reported writes a figure as it is reported, digits and sign kept: as a number
// with its decimals where it has no sign.
func (k *writer) reported(sheet string, col, row int, s, style string) {
	if v, err := strconv.ParseFloat(s, 64); err == nil {
		k.number(sheet, col, row, v, style+" d"+strconv.Itoa(discharge.DecimalsOf(s)))
		return
	}
	k.text(sheet, col, row, s, style+" right")
}

// cache evaluates every formula and stores the answer beside it, so that a
// viewer that does not reckon (protected view, mail) shows figures too.
func (k *writer) cache() {
	for _, p := range k.formula {
		if k.err != nil {
			return
		}
		if p.known {
			if p.isNumber {
				k.do(k.f.SetCellFloat(p.sheet, p.cell, p.number, -1, 64))
			} else if p.text != "" {
				k.answers[p.sheet+"!"+p.cell] = p.text
			}
			continue
		}
		s, err := k.f.CalcCellValue(p.sheet, p.cell, excelize.Options{RawCellValue: true})
		if err != nil || strings.HasPrefix(s, "#") {
			continue // the formula stays and shows its own error; the figure stands beside it
		}
		if v, err := strconv.ParseFloat(s, 64); err == nil {
			k.do(k.f.SetCellFloat(p.sheet, p.cell, v, -1, 64))
		} else if s != "" { // the library keeps texts elsewhere; tidy puts them in
			k.answers[p.sheet+"!"+p.cell] = s
		}
	}
	// Setting a value takes a formula away; all are put back at the end, when no
	// other needs them for its own value.
	for _, p := range k.formula {
		k.do(k.f.SetCellFormula(p.sheet, p.cell, p.formula))
	}
}
