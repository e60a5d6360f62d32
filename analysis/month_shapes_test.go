package analysis_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/discharge"
)

// One invented laboratory's April in six shapes of sheet. Every day has suspended
// solids of the raw and the final water and E. coli of the final; the words of the
// trade stand among them.
const shapesTOML = `name = "Tern Hollow"
time_zone = "America/Chicago"
[[point]]
name = "raw"
influent = true
[[point]]
name = "final"
outfall = true
[[limit]]
parameter = "tss"
at = "final"
statistic = "average monthly"
value = 30.0
non_detect = "half"
[[limit]]
parameter = "tss"
at = "final"
statistic = "removal monthly minimum"
value = 85
non_detect = "half"
[[limit]]
parameter = "e_coli"
at = "final"
statistic = "geometric mean monthly"
value = 126
frequency = "1/day"
[[limit]]
parameter = "e_coli"
at = "final"
statistic = "instantaneous maximum"
value = 410
[[lab]]
parameter = "e_coli"
reporting_limit = "1 MPN/100 mL"
upper_limit = "2419.6 MPN/100 mL"
`

// bottle is what the laboratory found of one thing on one day.
type bottle struct{ sign, number, word string } // a word stands in place of both

func (b bottle) text() string { return b.sign + b.number + b.word }

// The month, by day: words and bounds where named, else the usual.
func bottles(day int) (raw, final, ec bottle) {
	raw, final, ec = bottle{number: "200"}, bottle{number: "8"}, bottle{number: "20"}
	switch day {
	case 3:
		final = bottle{sign: "<", number: "4"}
	case 4:
		ec = bottle{sign: ">", number: "2419.6"}
	case 5:
		ec = bottle{word: "ND"}
	case 6:
		ec = bottle{word: "TNTC"}
	case 7:
		ec = bottle{word: "NS"}
	case 8:
		ec = bottle{word: "broken"}
	case 9:
		ec = bottle{word: "QC fail"}
	case 10:
		ec = bottle{word: "NODI 9"}
	case 11:
		ec = bottle{word: "Absent"}
	case 12:
		final = bottle{number: "20"}
	}
	return raw, final, ec
}

// checkShapes holds a sheet's month against the figures worked by hand.
func checkShapes(t *testing.T, tags, sheet string) {
	t.Helper()
	r := sheetMonth(t, shapesTOML, tags, sheet)
	m := r.Month
	tss, removal, gm, top := m.Lines[0], m.Lines[1], m.Lines[2], m.Lines[3]
	// 28 days of 8, one of 20 and one below 4, which counts as 2: 246 ÷ 30 = 8.2.
	require.InDelta(t, 246/30.0, tss.Value, 1e-9, "%v", r.Read.Messages)
	require.Equal(t, "8", tss.Report, "the laboratory gave no decimals")
	require.InDelta(t, 100*(1-8.2/200), removal.Value, 1e-9)
	// Of 30 bottles four broke off (NS, broken, QC fail, NODI 9). The 26 others: 22 of
	// 20, above 2419.6 twice (once TNTC, by the method's upper limit), and below 1
	// twice (ND, Absent): (20^22 × 2419.6² × 1²)^(1/26), and more than that.
	want := math.Exp((22*math.Log(20) + 2*math.Log(2419.6)) / 26)
	require.InDelta(t, want, gm.Value, 1e-9*want)
	require.Equal(t, discharge.Greater, gm.Sign)
	require.Equal(t, discharge.CannotTell, gm.State)
	require.Equal(t, 26, gm.Taken)
	require.Equal(t, 4, gm.Missing)
	require.Equal(t, 4, gm.MissingSaid)
	require.Equal(t, ">2419.6", top.Report)
	require.Equal(t, discharge.Above, top.State)
	words := strings.Join(gm.Remarks, " ")
	for _, w := range []string{"(NS): 7 April", "(broken): 8 April", "(QC fail): 9 April", "(NODI 9): 10 April", "TNTC: taken above the method's upper limit 2419.6", "Absent"} {
		require.Contains(t, words, w)
	}
	require.Regexp(t, "ND( <1)?: taken below the (reporting limit 1|limit that its row states)", words)
}

const (
	shapesTagsPair = "tag,measures,at,unit,reading\nraw TSS,tss,raw,mg/L,grab\nfinal TSS,tss,final,mg/L,grab\nfinal E. coli,e_coli,final,MPN/100 mL,grab\n"
	shapesTagsWide = "tag,measures,at,unit,reading\nRaw TSS,tss,raw,mg/L,grab\nFinal TSS,tss,final,mg/L,grab\nE. coli,e_coli,final,MPN/100 mL,grab\n"
)

func TestLaboratorySheets(t *testing.T) {
	pair := func(f func(b *strings.Builder, day int, place, what, unit string, x bottle)) string {
		var b strings.Builder
		for day := 1; day <= 30; day++ {
			raw, final, ec := bottles(day)
			f(&b, day, "raw", "TSS", "mg/L", raw)
			f(&b, day, "final", "TSS", "mg/L", final)
			f(&b, day, "final", "E. coli", "MPN/100 mL", ec)
		}
		return b.String()
	}
	t.Run("a row per result, the sign in front, place and parameter in two columns", func(t *testing.T) {
		checkShapes(t, shapesTagsPair, "Sampled,Point,Analyte,Result,Units\n"+pair(func(b *strings.Builder, day int, place, what, unit string, x bottle) {
			fmt.Fprintf(b, "2026-04-%02d 08:00,%s,%s,%s,%s\n", day, place, what, x.text(), unit)
		}))
	})
	t.Run("date and time apart, a column of qualifiers, headings of its own", func(t *testing.T) {
		checkShapes(t, shapesTagsPair, "Date,Time,Where,What,Qualifier,Result,Units\n"+pair(func(b *strings.Builder, day int, place, what, unit string, x bottle) {
			fmt.Fprintf(b, "4/%d/2026,08:00,%s,%s,%s,%s,%s\n", day, place, what, x.sign+x.word, x.number, unit)
		}))
	})
	t.Run("the qualifier behind, and limits in columns of their own", func(t *testing.T) {
		checkShapes(t, shapesTagsPair, "Date,Sample Point,Parameter,Result,Qualifier,RL,Units,Method\n"+pair(func(b *strings.Builder, day int, place, what, unit string, x bottle) {
			limit := "2"
			if what == "E. coli" {
				limit = "1"
			}
			fmt.Fprintf(b, "2026-04-%02d 08:00,%s,%s,%s,%s,%s,%s,std\n", day, place, what, x.number+x.word, x.sign, limit, unit)
		}))
	})
	t.Run("a column per parameter, the unit in the heading", func(t *testing.T) {
		var b strings.Builder
		b.WriteString("Date,Raw TSS (mg/L),Final TSS (mg/L),E. coli (MPN/100 mL)\n")
		for day := 1; day <= 30; day++ {
			raw, final, ec := bottles(day)
			fmt.Fprintf(&b, "2026-04-%02d,%s,%s,%s\n", day, raw.text(), final.text(), ec.text())
		}
		checkShapes(t, shapesTagsWide, b.String())
	})
	t.Run("a column per parameter, each with its qualifier behind", func(t *testing.T) {
		var b strings.Builder
		b.WriteString("Date,Time,Raw TSS,Raw TSS Qualifier,Final TSS,Final TSS Qualifier,E. coli,E. coli Qualifier\n")
		for day := 1; day <= 30; day++ {
			raw, final, ec := bottles(day)
			fmt.Fprintf(&b, "04/%02d/2026,08:15,%s,%s,%s,%s,%s,%s\n", day, raw.number, raw.sign, final.number, final.sign, ec.number, ec.sign+ec.word)
		}
		checkShapes(t, shapesTagsWide, b.String())
	})
	t.Run("a block per day", func(t *testing.T) {
		var b strings.Builder
		for day := 1; day <= 30; day++ {
			raw, final, ec := bottles(day)
			fmt.Fprintf(&b, "Date: 2026-04-%02d\nParameter,Result,Units\nRaw TSS,%s,mg/L\nFinal TSS,%s,mg/L\nE. coli,%s,MPN/100 mL\n\n", day, raw.text(), final.text(), ec.text())
		}
		checkShapes(t, shapesTagsWide, b.String())
	})
}

// Several reporting limits: the sheet states one for each result, and that counts
// before what plant.toml says. Three results of 10, below 2 and below 4, half of which
// counts: (10 + 1 + 2) ÷ 3.
func TestLimitsInTheSheet(t *testing.T) {
	const sheet = "Date,Sample Point,Parameter,Result,MDL,RL,Units\n2026-04-01 08:00,final,TSS,10,1,2,mg/L\n2026-04-02 08:00,final,TSS,ND,1,2,mg/L\n2026-04-03 08:00,final,TSS,BDL,2,4,mg/L\n2026-04-03 08:00,raw,TSS,180,2,4,mg/L\n"
	m := sheetMonth(t, shapesTOML, shapesTagsPair, sheet).Month
	require.InDelta(t, 13/3.0, m.Lines[0].Value, 1e-9)
	require.Equal(t, 2, m.Lines[0].NonDetects)
	require.Equal(t, "ND <2", m.Columns[m.Lines[0].Column].Results[1].Written)
}
