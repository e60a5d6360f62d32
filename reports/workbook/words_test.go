package workbook

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"weirbook/analysis/align"
	"weirbook/analysis/discharge"
	"weirbook/analysis/lab"
	"weirbook/analysis/plant"
	"weirbook/analysis/series"
)

// wordsMonth has two bottles of bacteria on Mondays, one of them too many to count on
// 9 March unless a number is given for it, and oxygen with results below a limit, of which
// one lies at the minimum asked for.
func wordsMonth(t *testing.T, tntc float64) *discharge.Month {
	t.Helper()
	toml := plantText
	for _, l := range []string{"e_coli|geometric mean monthly|126", "e_coli|geometric mean weekly|200", "e_coli|instantaneous maximum|235", "dissolved_oxygen|minimum daily|5.0", "dissolved_oxygen|instantaneous minimum|5.0"} {
		p := strings.Split(l, "|")
		toml += fmt.Sprintf("[[limit]]\nparameter = %q\nat = \"outfall\"\nstatistic = %q\nvalue = %s\n", p[0], p[1], p[2])
	}
	p, err := plant.Load("plant.toml", strings.NewReader(toml+"[reporting]\nnon_detect = \"half\"\n"), "tags.csv",
		strings.NewReader("tag,measures,at,unit,reading\nEC,e_coli,outfall,MPN/100mL,grab\nDO,dissolved_oxygen,outfall,mg/L,grab\n"))
	require.NoError(t, err)
	ec, do := &series.Series{Tag: "EC"}, &series.Series{Tag: "DO"}
	var words []lab.Cell
	at := func(day, hour int) int64 { return time.Date(2026, 3, day, hour, 0, 0, 0, p.Zone).UnixMilli() }
	for day := 1; day <= 31; day++ {
		ec.Append(at(day, 8), float64(10+3*day%17), 0)
		switch v, flag := 6.2+0.1*float64(day%5), series.Flag(0); day {
		case 5, 19: // below 4, and at the limit itself: both lie below 5
			do.Append(at(day, 8), map[int]float64{5: 4, 19: 5}[day], series.LessThan)
		case 12: // below 7 does not tell
			do.Append(at(day, 8), 7, series.LessThan)
		default:
			do.Append(at(day, 8), v, flag)
		}
		if day%7 != 2 {
			continue
		}
		switch {
		case day == 9 && tntc == 0:
			words = append(words, lab.Cell{T: at(day, 15), Text: "TNTC"})
		case day == 9:
			ec.Append(at(day, 15), tntc, 0)
		default:
			ec.Append(at(day, 15), float64(40+day), 0)
		}
	}
	in := discharge.Input{Plant: p, Year: 2026, Month: time.March}
	for _, tg := range p.Tags {
		d := discharge.TagData{Tag: tg, Series: map[string]*series.Series{"EC": ec, "DO": do}[tg.Name], Rule: align.Rule{Reading: tg.Reading, MaxGap: time.Hour}}
		if tg.Name == "EC" {
			d.Lab = words
		}
		in.Tags = append(in.Tags, d)
	}
	m, err := discharge.Summarise(in)
	require.NoError(t, err)
	return m
}

// A word without a number, a week's geometric mean of several results a day and a minimum
// with results below a limit are formulas, which agree with the program; and a number
// written over the word gives what the program makes of that number.
func TestWordsAreLive(t *testing.T) {
	m := wordsMonth(t, 0)
	f, err := excelize.OpenReader(bytes.NewReader(write(t, m)))
	require.NoError(t, err)
	got := func(col, row int) string {
		s, err := f.CalcCellValue(Summary, cell(col, row), excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		return s
	}
	require.Equal(t, 5, sameAsProgram(t, m, got, "words"))
	require.Equal(t, ">", string(m.Lines[0].Sign))
	for n, row := range summaryRows(m) {
		for _, col := range []int{4, 7, 8} {
			formula, err := f.GetCellFormula(Summary, cell(col, row))
			require.NoError(t, err)
			require.NotEmpty(t, formula, "%s, column %d", m.Lines[n].Statistic, col)
		}
	}
	rows, err := f.GetRows(Results)
	require.NoError(t, err)
	for r, row := range rows {
		if len(row) > 5 && row[5] == "TNTC" {
			require.NoError(t, f.SetCellFloat(Results, cell(6, r+1), 900, -1, 64))
		}
	}
	after := wordsMonth(t, 900)
	require.Equal(t, "900", after.Lines[2].Report)
	require.Equal(t, 5, sameAsProgram(t, after, got, "900 in place of the word"))
}
