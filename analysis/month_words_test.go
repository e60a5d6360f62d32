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
)

// Tern Hollow, an invented plant whose laboratory writes words.
const (
	ternHead = `name = "Tern Hollow"
time_zone = "America/Chicago"
[[point]]
name = "final"
outfall = true
`
	ternTags = `tag,measures,at,unit,reading
E. coli,e_coli,final,MPN/100 mL,grab
TRC,chlorine_total,final,mg/L,grab
`
	ternLimits = `[[limit]]
parameter = "e_coli"
at = "final"
statistic = "geometric mean monthly"
value = 126
sample = "grab"
frequency = "1/day"
[[limit]]
parameter = "e_coli"
at = "final"
statistic = "instantaneous maximum"
value = 410
sample = "grab"
[[limit]]
parameter = "chlorine_total"
at = "final"
statistic = "average monthly"
value = 0.05
sample = "grab"
frequency = "1/day"
`
)

// sheetMonth makes the month of April 2026 of one sheet, lab.csv, or several, lab-1.csv
// and so on.
func sheetMonth(t *testing.T, toml, tags string, sheets ...string) *analysis.MonthResult {
	t.Helper()
	files := texts{}
	for i, sheet := range sheets {
		name := "lab.csv"
		if len(sheets) > 1 {
			name = fmt.Sprintf("lab-%d.csv", i+1)
		}
		files[name] = sheet
	}
	r, err := first(analysis.Months(t.Context(), files.input(t, toml, tags), time.Date(2026, time.April, 1, 0, 0, 0, 0, time.UTC), 1))
	require.NoError(t, err)
	return r
}

// april writes a sheet with a column each for bacteria and chlorine, the same on
// all days but those named.
func april(ec, trc string, other map[int][2]string) string {
	var b strings.Builder
	b.WriteString("Date,E. coli (MPN/100 mL),TRC (mg/L)\n")
	for d := 1; d <= 30; d++ {
		v := [2]string{ec, trc}
		if o, ok := other[d]; ok {
			v = o
		}
		fmt.Fprintf(&b, "2026-04-%02d 08:00,%s,%s\n", d, v[0], v[1])
	}
	return b.String()
}

// 29 results of 5 and one too many to count: the mean of the others is "at
// least", nothing lies within a limit, and no sample is missing.
func TestTooManyToCount(t *testing.T) {
	sheet := april("5", "0.02", map[int][2]string{17: {"TNTC", "0.02"}})
	m := sheetMonth(t, ternHead+ternLimits, ternTags, sheet).Month
	require.Equal(t, ">5", m.Lines[0].Report)
	require.Equal(t, discharge.CannotTell, m.Lines[0].State)
	require.Equal(t, ">5", m.Lines[1].Report)
	require.Equal(t, discharge.CannotTell, m.Lines[1].State)
	require.Zero(t, m.Lines[0].Missing)
	require.Contains(t, strings.Join(m.Lines[0].Remarks, " "), "TNTC: too many to count: 17 April 2026.")
	require.Equal(t, discharge.Within, m.Lines[2].State)

	// With the method's upper limit it counts as more than 200: by hand
	// (5^29 x 200)^(1/30) = 5 x 40^(1/30).
	m = sheetMonth(t, ternHead+ternLimits+"[[lab]]\nparameter = \"e_coli\"\nupper_limit = \"200 MPN/100 mL\"\n", ternTags, sheet).Month
	require.InDelta(t, 5*math.Pow(40, 1.0/30), m.Lines[0].Value, 1e-9)
	require.Equal(t, discharge.Greater, m.Lines[0].Sign)
	require.Equal(t, ">200", m.Lines[1].Report)
	require.Equal(t, discharge.CannotTell, m.Lines[1].State)
}

// 28 results not detected, 0.06 and 0.05: under "zero" 0.11 ÷ 30 = 0.003667,
// and no limit is needed; otherwise the figure waits for the limit, and 0.05 or
// more of it would be the mean of the two alone.
func TestNotDetectedWithoutItsLimit(t *testing.T) {
	sheet := april("5", "ND", map[int][2]string{9: {"5", "0.06"}, 21: {"5", "0.05"}})
	line := func(more string) discharge.Line {
		return sheetMonth(t, ternHead+ternLimits+more, ternTags, sheet).Month.Lines[2]
	}
	open := line("")
	require.Empty(t, open.Report)
	require.Equal(t, discharge.CannotTell, open.State)
	require.Zero(t, open.Missing)
	require.Contains(t, strings.Join(open.Remarks, " "), "28 results are below a limit")

	zero := line("non_detect = \"zero\"\n")
	require.InDelta(t, 0.11/30, zero.Value, 1e-12)
	require.Equal(t, discharge.Within, zero.State)

	// With a reporting limit of 0.03: (28 x 0.03 + 0.11) ÷ 30 = 0.031667, less than.
	stated := line("[[lab]]\nparameter = \"chlorine_total\"\nreporting_limit = \"0.03 mg/L\"\n")
	require.InDelta(t, (28*0.03+0.11)/30, stated.Value, 1e-12)
	require.Equal(t, "<0.03", stated.Report)
	require.Equal(t, discharge.Within, stated.State)

	// The limit changes on the 16th: 14 before (1 to 15 without the 9th) at 0.03,
	// 14 from then on (without the 21st) at 0.02.
	changed := line("[[lab]]\nparameter = \"chlorine_total\"\nreporting_limit = \"0.03 mg/L\"\n[[lab]]\nparameter = \"chlorine_total\"\nfrom = \"2026-04-16\"\nreporting_limit = \"0.02 mg/L\"\n")
	require.InDelta(t, (14*0.03+14*0.02+0.11)/30, changed.Value, 1e-12)
}

// A permit limit below what the method can tell: results below the compliance
// level count as the non-detect rule has it, and as within the limit.
func TestComplianceLevel(t *testing.T) {
	toml := strings.Replace(ternLimits, "value = 0.05", "value = 0.011\ncompliance_level = 0.05\nnon_detect = \"zero\"", 1)
	m := sheetMonth(t, ternHead+toml, ternTags, april("5", "0.03", map[int][2]string{9: {"5", "0.06"}})).Month
	require.InDelta(t, 0.06/30, m.Lines[2].Value, 1e-12) // 29 below the level count as zero
	require.Equal(t, discharge.Within, m.Lines[2].State)
	m = sheetMonth(t, ternHead+strings.Replace(toml, "zero", "limit", 1), ternTags, april("5", "0.03", nil)).Month
	require.Equal(t, "<0.05", m.Lines[2].Report)
	require.Equal(t, discharge.Within, m.Lines[2].State)
}

// Reasons why there is no result are no results, and are told; words that nobody
// knows are a question.
func TestReasonsForNoResult(t *testing.T) {
	sheet := april("5", "0.02", map[int][2]string{3: {"NS", "0.02"}, 4: {"broken", "0.02"}, 5: {"QC fail", "0.02"}, 6: {"NODI 9", "0.02"}, 7: {"purple", "0.02"}, 8: {"No discharge", "0.02"}})
	m := sheetMonth(t, ternHead+ternLimits+"[[code]]\nwords = [\"NS\"]\nmeans = \"not sampled\"\nletter = \"E\"\n", ternTags, sheet).Month
	l := m.Lines[0]
	require.Equal(t, 24, l.Taken)
	require.Equal(t, 29, l.Required, "no sample is due on the day without discharge")
	require.Equal(t, 5, l.Missing)
	require.Equal(t, 4, l.MissingSaid)
	require.Equal(t, "5", l.Report)
	words := strings.Join(l.Remarks, " ")
	for _, want := range []string{"not sampled (NS) (the regulator's letter E): 3 April", "sample lost (broken): 4 April", "rejected (QC fail): 5 April", "no result (NODI 9): 6 April",
		`Not understood, and not used: "purple"`, "Left out: no discharge: 8 April"} {
		require.Contains(t, words, want)
	}
}
