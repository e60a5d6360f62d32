package analysis_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/discharge"
	"weirbook/analysis/export/ledger"
)

// Sheets as laboratories fill them, each invented, with the month worked by hand. The
// arithmetic is 40 CFR 122.2 (sum of daily values ÷ their number) and the nth root of the
// product (EPA DMR form instructions).

const curlewHead = `name = "Curlew Bend"
time_zone = "America/Chicago"
[[point]]
name = "final"
outfall = true
[[source]]
name = "laboratory"
files = ["lab*"]
date_order = "mdy"
`

func curlewLimit(parameter, statistic, value string) string {
	return "[[limit]]\nparameter = \"" + parameter + "\"\nat = \"final\"\nstatistic = \"" + statistic + "\"\nvalue = " + value + "\nnon_detect = \"half\"\n"
}

var (
	curlewBacteria = curlewHead + curlewLimit("e_coli", "geometric mean monthly", "126") + curlewLimit("e_coli", "instantaneous maximum", "410")
	curlewTwo      = curlewHead + curlewLimit("ammonia_n", "average monthly", "1.0") + curlewLimit("tss", "average monthly", "30")
)

func remarksOf(l discharge.Line) string { return strings.Join(l.Remarks, " ") }

// Two bottles of a day of which the sheet gives only the date are two results: the day's
// highest is 40, not the first. A result that stands twice alike is counted once, and said
// so: (10 x 40 x 10 x 0.5 x 4)^(1/5), half of <1 being 0.5.
func TestSeveralResultsOfOneTime(t *testing.T) {
	const tags = "tag,measures,at,unit,reading\nEFF E. coli,e_coli,final,MPN/100 mL,grab\n"
	for _, order := range [][]string{{"6,40", "6,10", "7,10", "7,10", "13,<1", "13,4"}, {"13,4", "13,<1", "7,10", "7,10", "6,10", "6,40"}} {
		sheet := "Date,Site,Analyte,Result,Units\n"
		for _, x := range order {
			day, result, _ := strings.Cut(x, ",")
			sheet += "4/" + day + "/2026,EFF,E. coli," + result + ",MPN/100 mL\n"
		}
		m := sheetMonth(t, curlewBacteria, tags, sheet).Month
		require.InDelta(t, math.Pow(10*40*10*0.5*4, 0.2), m.Lines[0].Value, 1e-9)
		require.Equal(t, "40", m.Lines[1].Report)
		require.Equal(t, 5, m.Lines[0].Taken)
		require.Contains(t, remarksOf(m.Lines[0]), "Left out: 10, stands twice for that time in one file, counted once: 7 April 2026.")
	}
}

// Blanks, spikes and duplicates stand among the results, a blank even before its sample.
// Of the water are 12, above 2419.6, 8 (taken again), 5, and below 1.
func TestControlSamplesAreNotTheWater(t *testing.T) {
	const tags = "tag,measures,at,unit,reading\nEFF E. coli,e_coli,final,MPN/100 mL,grab\n"
	const sheet = `Date Sampled,Time,Site,Sample Type,Analyte,Qual,Result,Units
4/6/2026,07:30,EFF,Field Blank,E. coli,<,1,MPN/100mL
4/6/2026,07:30,EFF,Routine,E. coli,,12,MPN/100mL
4/6/2026,07:30,EFF,Field Dup,E. coli,,18,MPN/100mL
4/13/2026,07:35,EFF,Routine,E. coli,>,2419.6,MPN/100mL
4/13/2026,07:35,EFF,Matrix Spike,E. coli,,99,MPN/100mL
4/14/2026,07:40,EFF,Resample,E. coli,,8,MPN/100mL
4/20/2026,07:30,EFF,Routine,E. coli,,5,MPN/100mL
4/20/2026,07:30,EFF,Lab Dup,E. coli,,7,MPN/100mL
4/27/2026,07:30,EFF,Routine,E. coli,<,1,MPN/100mL
`
	r := sheetMonth(t, curlewBacteria, tags, sheet)
	gm, top := r.Month.Lines[0], r.Month.Lines[1]
	require.Equal(t, 5, gm.Values)
	require.InDelta(t, math.Pow(12*2419.6*8*5*0.5, 0.2), gm.Value, 1e-9)
	require.Equal(t, ">2419.6", top.Report)
	require.Contains(t, remarksOf(gm), "Left out: < 1, control sample (Field Blank): 6 April 2026.")
	require.Contains(t, remarksOf(gm), "Left out: 18, control sample (Field Dup): 6 April 2026.")
	require.Equal(t, 4, r.Read.Ledger[0].Aside[ledger.ControlSample])
}

// A composite's result bears the time of its end. The one of 1 April 08:00 lies mostly in
// March; April has 12 (its 1st), 15, 18 and 30, the last collected on its 30th to midnight:
// 75 ÷ 4.
func TestCompositeWithBeginAndEnd(t *testing.T) {
	const rows = `3/31/2026,08:00,4/1/2026,08:00,Effluent,BOD5,9,mg/L
4/1/2026,08:00,4/2/2026,08:00,Effluent,BOD5,12,mg/L
4/15/2026,00:00,4/16/2026,00:00,Effluent,BOD5,15,mg/L
4/29/2026,00:00,4/30/2026,00:00,Effluent,BOD5,18,mg/L
4/30/2026,00:00,5/1/2026,00:00,Effluent,BOD5,30,mg/L
`
	const tags = "tag,measures,at,unit,reading\nEffluent BOD5,bod5,final,mg/L,composite\n"
	toml := curlewHead + curlewLimit("bod5", "average monthly", "30") + curlewLimit("bod5", "maximum daily", "45")
	for _, head := range []string{"Start Date,Start Time,End Date,End Time,Location,Parameter,Result,Units\n", "Composite Begin Date,Begin Time,Composite Stop Date,Stop Time,Location,Parameter,Result,Units\n"} {
		m := sheetMonth(t, toml, tags, head+rows).Month
		require.InDelta(t, 75/4.0, m.Lines[0].Value, 1e-9)
		require.Equal(t, "30 April 2026", m.Lines[1].When)
	}
}

// Nothing detected: an empty result beside N, with its limits in columns of their own, and
// an estimate. Ammonia (0.62 + 0.05 + 0.06 + 0.25) ÷ 4, solids (7 + 1) ÷ 2.
func TestColumnThatSaysDetected(t *testing.T) {
	const tags = "tag,measures,at,unit,reading\nEF-1 Ammonia as N,ammonia_n,final,mg/L,grab\nEF-1 Total Suspended Solids,tss,final,mg/L,grab\n"
	const sheet = `sample_id,date_taken,time_taken,station,constituent,value,detected,lab_flags,rep_limit,det_limit,value_unit,lab
A1,2026-04-06,08:00,EF-1,Ammonia as N,0.62,Y,,0.10,0.03,mg/L,North
A2,2026-04-13,08:00,EF-1,Ammonia as N,,N,U,0.10,0.03,mg/L,North
A3,2026-04-20,08:00,EF-1,Ammonia as N,0.06,Y,J,0.10,0.03,mg/L,North
A4,2026-04-27,08:00,EF-1,Ammonia as N,,N,,0.50,0.15,mg/L,South
A1,2026-04-06,08:00,EF-1,Total Suspended Solids,7,Y,,2,1,mg/L,North
A2,2026-04-13,08:00,EF-1,Total Suspended Solids,,N,U,2,1,mg/L,North
`
	m := sheetMonth(t, curlewTwo, tags, sheet).Month
	require.InDelta(t, 0.98/4, m.Lines[0].Value, 1e-9)
	require.Equal(t, 2, m.Lines[0].NonDetects)
	require.InDelta(t, 4, m.Lines[1].Value, 1e-9)
}

// A column per parameter, each with a column of its reporting limit: solids
// (10 + 1 + 2 + 6 + 8) ÷ 5, ammonia (0.5 + 0.05 + 0.1 + 0.7 + 1.2) ÷ 5.
func TestLimitsBesideEachParameter(t *testing.T) {
	const tags = "tag,measures,at,unit,reading\nTSS,tss,final,mg/L,grab\nNH3-N,ammonia_n,final,mg/L,grab\n"
	const rows = "4/1/2026,08:00,10,2,0.5,0.1\n4/8/2026,08:00,ND,2,ND,0.1\n4/15/2026,08:00,ND,4,U,0.2\n4/22/2026,08:00,6,2,0.7,0.1\n4/29/2026,08:00,8,2,1.2,0.1\n"
	for _, head := range []string{"Date,Time,TSS (mg/L),TSS RL,NH3-N (mg/L),NH3-N RL\n", "Date,Time,TSS,RL,NH3-N,RL\n", "Date,Time,TSS,TSS Reporting Limit,NH3-N,NH3-N Reporting Limit\n"} {
		m := sheetMonth(t, curlewTwo, tags, head+rows).Month
		require.InDelta(t, 2.55/5, m.Lines[0].Value, 1e-9, head)
		require.InDelta(t, 27/5.0, m.Lines[1].Value, 1e-9, head)
		require.Equal(t, "ND <4", m.Columns[m.Lines[1].Column].Results[2].Written)
	}
}

// Merged cells: a date stands in the first row of its block, a place in the first of
// its own, headings are repeated on each page. By the rule "half" BOD is (2.5 + 7) ÷ 2,
// solids (8 + 12) ÷ 2, and E. coli (4 x 20)^(1/2).
func TestMergedCellsAndRepeatedHeadings(t *testing.T) {
	const tags = "tag,measures,at,unit,reading\nInfluent TSS,tss,raw,mg/L,composite\nEffluent TSS,tss,final,mg/L,composite\nEffluent BOD5,bod5,final,mg/L,composite\nEffluent E. coli,e_coli,final,MPN/100 mL,grab\n"
	const page = "Lab Report,,,,\nDate,Location,Test,Result,Units\n"
	const sheet = page + `"April 2, 2026",Influent,TSS,210,mg/L
,,BOD5,190,mg/L
,Effluent,TSS,8,mg/L
,,BOD5,<5,mg/L
,,E. coli,4,MPN/100 mL
` + page + `"April 9, 2026",Influent,TSS,230,mg/L
,,BOD5,210,mg/L
,Effluent,TSS,12,mg/L
,,BOD5,7,mg/L
,,E. coli,20,MPN/100 mL
`
	toml := curlewHead + curlewLimit("bod5", "average monthly", "30") + curlewLimit("tss", "average monthly", "30") + curlewLimit("e_coli", "geometric mean monthly", "126")
	r := sheetMonth(t, toml, tags, sheet)
	require.InDelta(t, 9.5/2, r.Month.Lines[0].Value, 1e-9, "%v", r.Read.Messages)
	require.InDelta(t, 10, r.Month.Lines[1].Value, 1e-9)
	require.InDelta(t, math.Sqrt(80), r.Month.Lines[2].Value, 1e-9)

	// A sheet that repeats its dates has forgotten one: its row is not guessed, and the
	// month says that a result is lost.
	const forgot = "Date,Location,Test,Result,Units\n4/2/2026,Effluent,TSS,8,mg/L\n4/2/2026,Effluent,BOD5,6,mg/L\n,Effluent,TSS,90,mg/L\n,Effluent,BOD5,60,mg/L\n4/9/2026,Effluent,TSS,12,mg/L\n4/9/2026,Effluent,BOD5,7,mg/L\n"
	m := sheetMonth(t, toml, tags, forgot).Month
	require.InDelta(t, 10, m.Lines[1].Value, 1e-9)
	require.Contains(t, remarksOf(m.Lines[1]), "1 row of Effluent TSS could not be read, and may hold a result of this month: time not understood in lab.csv")
	require.Equal(t, 2, m.Unread)
}

// Words of a person behind a number: none is guessed, and each is used once plant.toml
// says what they mean: (12 + 10) ÷ 2 of solids where "resample" is used and "old bottle"
// not. A unit that does not fit is said, with its result.
func TestWordsBehindNumbers(t *testing.T) {
	const tags = "tag,measures,at,unit,reading\nTSS,tss,final,mg/L,grab\n"
	sheet := "Date,Parameter,Result,Units\n4/2/2026,TSS,12.0 (resample),mg/L\n4/3/2026,TSS,44 old bottle,mg/L\n4/8/2026,TSS,10,mg/L\n4/9/2026,TSS,99,furlong\n"
	toml := curlewHead + curlewLimit("tss", "average monthly", "30")
	l := sheetMonth(t, toml, tags, sheet).Month.Lines[0]
	require.InDelta(t, 10, l.Value, 1e-9)
	require.Contains(t, remarksOf(l), `"12.0 (resample)"; say under [[code]] in plant.toml what "resample" means: 2 April 2026.`)
	require.Contains(t, remarksOf(l), "Left out: 99, its unit, furlong, is not known or does not fit: 9 April 2026.")
	l = sheetMonth(t, toml+"[[code]]\nwords = [\"resample\"]\nmeans = \"used\"\n[[code]]\nwords = [\"old bottle\"]\nmeans = \"rejected\"\nletter = \"X\"\n", tags, sheet).Month.Lines[0]
	require.InDelta(t, 11, l.Value, 1e-9)
	require.Contains(t, remarksOf(l), "44 old bottle")
	require.Contains(t, remarksOf(l), "(the regulator's letter X)")
}

// Two laboratories, one with milligrams and a reporting limit beside each result, one with
// micrograms and the sign in front, and a result that the second reports anew for a time of
// the first: ammonia (0.8 + 0.05 + 0.1 + 1.2) ÷ 4, and 0.9 is said to be left out.
func TestTwoLaboratories(t *testing.T) {
	const tags = "tag,measures,at,unit,reading\nFinal Ammonia-N,ammonia_n,final,mg/L,grab\nFinal TSS,tss,final,mg/L,grab\n"
	const north = "Collected,Client Location,Test,Result,RL,Unit\n04/02/2026 08:10,Final,Ammonia-N,0.80,0.1,mg/L\n04/02/2026 08:10,Final,TSS,6,2,mg/L\n04/09/2026 08:05,Final,Ammonia-N,ND,0.1,mg/L\n04/09/2026 08:05,Final,TSS,ND,2,mg/L\n"
	const south = "Sample Date;Sample Time;Location;Parameter;Value;Reporting Limit;Units\n02-Apr-2026;08:10;Final;Ammonia-N;900;200;ug/L\n16-Apr-2026;09:00;Final;Ammonia-N;<200;200;ug/L\n16-Apr-2026;09:00;Final;TSS;<5;5;mg/L\n23-Apr-2026;09:00;Final;Ammonia-N;1200;200;ug/L\n23-Apr-2026;09:00;Final;TSS;14;5;mg/L\n"
	toml := strings.Replace(curlewTwo, "files = [\"lab*\"]\n", "files = [\"lab-1*\"]\ntag_columns = [\"Client Location\", \"Test\"]\n", 1)
	m := sheetMonth(t, toml, tags, north, south).Month
	require.InDelta(t, 2.15/4, m.Lines[0].Value, 1e-9, remarksOf(m.Lines[0]))
	require.Contains(t, remarksOf(m.Lines[0]), "Left out: 0.9, another result of that time was kept: 2 April 2026.")
	require.InDelta(t, (6+1+2.5+14)/4, m.Lines[1].Value, 1e-9) // half of <2 and of <5
}

// One analyte typed three ways: the tag has one of the three, and the month says whose
// results are in no figure. A tag that no export has is named as well.
func TestNamesThatNoTagHas(t *testing.T) {
	const tags = "tag,measures,at,unit,reading\nTSS,tss,final,mg/L,grab\nNH3,ammonia_n,final,mg/L,grab\n"
	m := sheetMonth(t, curlewTwo, tags, "Date,Analyte,Result,Units\n4/16/2026,TSS,2,mg/L\n4/17/2026,Total Suspended Solids,80,mg/L\n4/18/2026,T.S.S.,90,mg/L\n").Month
	require.InDelta(t, 2, m.Lines[1].Value, 1e-9)
	require.Contains(t, strings.Join(m.Remarks, " "), `The sheets hold results under names that tags.csv does not: "T.S.S." (1 row), "Total Suspended Solids" (1 row). They are in no figure`)
	require.Len(t, m.Unnamed, 2)
	require.Contains(t, remarksOf(m.Lines[0]), "NH3 is in no export")
}

// Times as people type them; the composite of the 17th, stamped at eight in the morning,
// lies mostly in the 16th, those of the afternoon in their own day.
func TestTimesTypedByHand(t *testing.T) {
	const tags = "tag,measures,at,unit,reading\nTSS,tss,final,mg/L,composite\n"
	m := sheetMonth(t, curlewHead+curlewLimit("tss", "average monthly", "30"), tags,
		"Date,Time,Tech,TSS (mg/L)\n4/17/2026,8 am,JK,4\n4/18/2026,0800,MB,5\n4/19/2026,800,MB,6\n4/20/2026,8:00 a.m.,JK,7\n4/22/2026,2:30p,JK,8\n4/24/2026,1545,JK,9\n").Month
	var days []int
	for _, r := range m.Columns[m.Lines[0].Column].Results {
		days = append(days, r.Date.Day())
	}
	require.Equal(t, []int{16, 17, 18, 19, 22, 24}, days)
	require.InDelta(t, 39/6.0, m.Lines[0].Value, 1e-9)
}

// A number of its own for each sample is no place, and short codes of kinds are known in
// a column of kinds.
func TestSampleNumbersAreNoPlaces(t *testing.T) {
	const tags = "tag,measures,at,unit,reading\nTSS,tss,final,mg/L,grab\n"
	m := sheetMonth(t, curlewHead+curlewLimit("tss", "average monthly", "30"), tags,
		"Sample ID,Type,Date,Analyte,Result,Units\nE-11,SAMP,4/16/2026 08:00,TSS,4,mg/L\nE-12,MB,4/16/2026 08:00,TSS,<1,mg/L\nE-13,LCS,4/16/2026 08:00,TSS,98,mg/L\nE-14,SAMP,4/17/2026 08:00,TSS,6,mg/L\nE-15,Dup,4/17/2026 08:00,TSS,7,mg/L\nE-16,SAMP,4/20/2026 08:00,TSS,8,mg/L\n").Month
	require.InDelta(t, 6, m.Lines[0].Value, 1e-9)
	require.Equal(t, 3, m.Lines[0].Values)
}

// The monthly sheet of an operator: days as the numbers 1 to 31, the month's name above or
// in the file's name, merged headings, a form with a 31st day, lines of totals. Effluent
// BOD of the odd days is 8, but 20 on the 29th: (14 x 8 + 20) ÷ 15 = 8.8; chlorine 0.02
// on all days but <0.02 on the 10th, which counts 0.01: (29 x 0.02 + 0.01) ÷ 30.
func TestMonthlySheetOfAnOperator(t *testing.T) {
	bod := func(d int) string {
		switch {
		case d%2 == 0 || d > 30:
			return ""
		case d == 29:
			return "20"
		}
		return "8"
	}
	cl2 := func(d int) string {
		switch {
		case d > 30:
			return "--"
		case d == 10:
			return "<0.02"
		}
		return "0.02"
	}
	limits := curlewLimit("bod5", "average monthly", "30") + curlewLimit("chlorine_total", "average monthly", "1.0")
	check := func(tags, sheet string) {
		r := sheetMonth(t, curlewHead+limits, tags, sheet)
		require.InDelta(t, 8.8, r.Month.Lines[0].Value, 1e-9, "%v", r.Read.Messages)
		require.Equal(t, 15, r.Month.Lines[0].Values)
		require.InDelta(t, 0.59/30, r.Month.Lines[1].Value, 1e-12)
		require.Zero(t, r.Month.Unread, remarksOf(r.Month.Lines[1]))
	}
	down := "Monthly report\nCurlew Bend,,Month:,April 2026,\n,Influent,Effluent,,\nDay,BOD,BOD,Cl2,Remarks\n,mg/L,mg/L,mg/L,\n"
	across := "Curlew Bend, April 2026\nParameter,Units,"
	for d := 1; d <= 31; d++ {
		down += fmt.Sprintf("%d,,%s,%s,\n", d, bod(d), cl2(d))
		across += fmt.Sprintf("%d,", d)
	}
	down += "Total,,132,,\nAverage,,8.8,0.02,\nMax,,20,0.02,\n"
	across += "Avg\n"
	for _, x := range []struct {
		head string
		of   func(int) string
	}{{"Effluent BOD,mg/L", bod}, {"Effluent Cl2,mg/L", cl2}} {
		across += x.head
		for d := 1; d <= 31; d++ {
			across += "," + x.of(d)
		}
		across += ",9\n"
	}
	tags := "tag,measures,at,unit,reading\nEffluent BOD,bod5,final,mg/L,composite\nEffluent Cl2,chlorine_total,final,mg/L,grab\n"
	check(tags, down)
	check(tags, across)

	without := strings.Replace(down, "April 2026", "", 1)
	read := func(name string) error {
		_, err := analysis.Months(t.Context(), texts{name: without}.input(t, curlewHead+limits, tags), time.Date(2026, time.April, 1, 0, 0, 0, 0, time.UTC), 1)
		return err
	}
	require.NoError(t, read("exports/lab 2026-04.csv"))
	require.ErrorContains(t, read("exports/lab.csv"), "say which month")
}

// 24:00 ends its own date; a result's text stands before its number; a year mistyped is
// said. By hand: the composite of 14 April 24:00 is the 14th's; solids as reported <4
// (half: 2), 8 and 11: 21 ÷ 3.
func TestSmallThingsOfSheets(t *testing.T) {
	const tags = "tag,measures,at,unit,reading\nTSS,tss,final,mg/L,composite\n"
	toml := curlewHead + curlewLimit("tss", "average monthly", "30")
	m := sheetMonth(t, toml, tags, "Date,Time,TSS (mg/L)\n4/14/2026,24:00,8\n4/16/2026,24:00,9\n4/18/2026,24:00,10\n").Month
	require.Equal(t, 14, m.Columns[m.Lines[0].Column].Results[0].Date.Day())

	m = sheetMonth(t, toml, tags, "Date,Analyte,Result,Result Text,Units\n4/14/2026,TSS,4,<4,mg/L\n4/15/2026,TSS,8,8,mg/L\n4/16/2026,TSS,11,11,mg/L\n").Month
	require.InDelta(t, 7, m.Lines[0].Value, 1e-9)
	require.Equal(t, 1, m.Lines[0].NonDetects)

	m = sheetMonth(t, toml, tags, "Date,TSS (mg/L)\n4/14/2026,8\n4/15/2025,90\n4/16/2026,9\n4/17/2026,0\n4/18/2026,10\n").Month
	require.Contains(t, remarksOf(m.Lines[0]), "A result of TSS is dated 15 April 2025, far from all others of the tag: a wrong year?")
	require.Contains(t, remarksOf(m.Lines[0]), "counted as 0; a method tells only that a result lies below its limit")
}
