package workbook

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"weirbook/analysis/discharge"
)

func write(t testing.TB, m *discharge.Month) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Write(&b, Book{Month: m, Version: "test", Inputs: []Input{{"=lab.csv", "00"}}}))
	return b.Bytes()
}

// Every live formula, evaluated over the day cells, agrees with the program's
// own figure; under every non-detect rule.
func TestFormulasAgree(t *testing.T) {
	for _, rule := range []string{"zero", "half", "limit", "without-sign", "value", "mle", "kaplan-meier"} {
		m := month(t, rule, 0.2, 4)
		f, err := excelize.OpenReader(bytes.NewReader(write(t, m)))
		require.NoError(t, err)
		live := liveByLine(t, f, m)
		formulas := 0
		for n, l := range m.Lines {
			if live[n] == "" {
				continue
			}
			formulas++
			v, err := strconv.ParseFloat(live[n], 64)
			require.NoError(t, err, "%s %s: %s", rule, l.Statistic, live[n])
			require.False(t, math.IsNaN(l.Value))
			require.InDelta(t, l.Value, v, 1e-9*math.Max(1, math.Abs(l.Value)), "%s: %s %s", rule, l.Parameter, l.Statistic)
		}
		least := 16
		if rule == "mle" || rule == "kaplan-meier" {
			least = 8 // what was estimated has no formula, and says so
		}
		require.GreaterOrEqual(t, formulas, least, rule)
		if rule != "limit" {
			continue
		}
		loads := 0
		for i, c := range m.Columns {
			for r, d := range c.Days {
				if c.HasLoad && !math.IsNaN(d.Load) {
					k := plansOf(m)[i]
					if col := k.load["lb/d"]; col > 0 {
						s, err := f.CalcCellValue(Daily, cell(col, dailyFirst+r), excelize.Options{RawCellValue: true})
						require.NoError(t, err)
						v, err := strconv.ParseFloat(s, 64)
						require.NoError(t, err)
						require.InDelta(t, d.Load, v, 1e-9*math.Max(1, d.Load))
						formula, err := f.GetCellFormula(Daily, cell(col, dailyFirst+r))
						require.NoError(t, err)
						require.Contains(t, formula, "*8.34", "the reviewer's own factor")
						loads++
					}
				}
			}
		}
		require.Greater(t, loads, 30)
	}
}

func plansOf(m *discharge.Month) []plan {
	k := &writer{m: m}
	k.lay()
	return k.plans
}

// liveByLine evaluates the live column of the summary.
func liveByLine(t testing.TB, f *excelize.File, m *discharge.Month) []string {
	t.Helper()
	out := make([]string, len(m.Lines))
	row, listed := sumFirst, true
	for n, l := range m.Lines {
		if listed && !l.ForPlant {
			listed = false
			row++
		}
		c := cell(sumLive, row)
		if formula, err := f.GetCellFormula(Summary, c); err == nil && formula != "" {
			s, err := f.CalcCellValue(Summary, c, excelize.Options{RawCellValue: true})
			require.NoError(t, err, "%s: %s", c, formula)
			out[n] = s
		}
		row++
	}
	return out
}

// A change in a day cell moves the figure: the formulas are alive.
func TestFormulasAreAlive(t *testing.T) {
	m := month(t, "limit", 0, 4)
	f, err := excelize.OpenReader(bytes.NewReader(write(t, m)))
	require.NoError(t, err)
	before := liveByLine(t, f, m)
	k := plansOf(m)
	for i, c := range m.Columns {
		for r, d := range c.Days {
			if d.N > 0 && d.Date.Month() == m.Month && c.Sample != "continuous" {
				require.NoError(t, f.SetCellFloat(Daily, cell(k[i].value, dailyFirst+r), 99999, -1, 64))
				break
			}
		}
	}
	after := liveByLine(t, f, m)
	moved := 0
	for n := range before {
		if before[n] != after[n] {
			moved++
		}
	}
	require.Greater(t, moved, 10)
}

func TestSameBytes(t *testing.T) {
	require.Equal(t, write(t, month(t, "limit", 0.2, 4)), write(t, month(t, "limit", 0.2, 4)))
}

// A month without a sample, and one in which nothing was detected.
func TestEmptyAndAllBelow(t *testing.T) {
	for _, rule := range []string{"zero", "limit"} {
		m := month(t, rule, 1, 4)
		f, err := excelize.OpenReader(bytes.NewReader(write(t, m)))
		require.NoError(t, err)
		s, err := f.GetCellValue(Summary, cell(4, sumFirst))
		require.NoError(t, err)
		require.Equal(t, "<6", s)
		for n, v := range liveByLine(t, f, m) {
			if v != "" {
				x, err := strconv.ParseFloat(v, 64)
				require.NoError(t, err)
				require.InDelta(t, m.Lines[n].Value, x, 1e-9)
			}
		}
	}
	m := month(t, "limit", 0, 4)
	empty := *m
	empty.Columns, empty.Lines = nil, nil
	write(t, &empty)
}

// No text cell begins with a character that a spreadsheet takes for a formula.
func TestTextIsNeutral(t *testing.T) {
	f, err := excelize.OpenReader(bytes.NewReader(write(t, month(t, "limit", 0.2, 4))))
	require.NoError(t, err)
	seen := 0
	for _, s := range sheets {
		rows, err := f.GetRows(s, excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		for r, row := range rows {
			for c, v := range row {
				formula, err := f.GetCellFormula(s, cell(c+1, r+1))
				require.NoError(t, err)
				if formula != "" || v == "" {
					continue
				}
				if _, err := strconv.ParseFloat(v, 64); err == nil {
					continue
				}
				require.NotContains(t, "=+-@\t\r", v[:1], "%s!%s: %q", s, cell(c+1, r+1), v)
				if strings.HasPrefix(v, "'") {
					seen++
				}
			}
		}
	}
	require.GreaterOrEqual(t, seen, 3, "facility, point and file name were neutralised")
}

// Printing: paper, orientation, one page wide, titles on every page.
func TestPrintSetup(t *testing.T) {
	m := month(t, "limit", 0.2, 4)
	for _, a4 := range []bool{false, true} {
		var b bytes.Buffer
		require.NoError(t, Write(&b, Book{Month: m, A4: a4}))
		f, err := excelize.OpenReader(&b)
		require.NoError(t, err)
		want := map[bool]int{false: 1, true: 9}[a4] // ECMA-376: 1 Letter, 9 A4
		titles := 0
		for _, s := range sheets {
			l, err := f.GetPageLayout(s)
			require.NoError(t, err)
			require.Equal(t, want, *l.Size)
			require.Equal(t, "landscape", *l.Orientation)
			require.Equal(t, 1, *l.FitToWidth)
		}
		for _, d := range f.GetDefinedName() {
			if d.Name == "_xlnm.Print_Titles" {
				titles++
			}
		}
		require.Equal(t, 8, titles, "every sheet with a table")
	}
}

// An independent spreadsheet program reckons the formulas, stored answers taken
// out so that it cannot copy them.
func TestFormulasInLibreOffice(t *testing.T) {
	office, err := exec.LookPath("soffice")
	if err != nil {
		if office, err = exec.LookPath("libreoffice"); err != nil {
			t.Skip("skipped: LibreOffice is not installed; the formulas were evaluated by one engine only")
		}
	}
	if testing.Short() {
		t.Skip("skipped in short mode: starting LibreOffice takes seconds")
	}
	m := month(t, "half", 0.2, 4)
	dir := t.TempDir()
	path := filepath.Join(dir, "month.xlsx")
	require.NoError(t, os.WriteFile(path, forget(t, write(t, m)), 0o666))
	cmd := exec.Command(office, "-env:UserInstallation=file://"+filepath.ToSlash(filepath.Join(dir, "profile")), "--headless",
		"--convert-to", `csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false,false,false,false,5`, "--outdir", dir, path)
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	files, err := filepath.Glob(filepath.Join(dir, "*.csv"))
	require.NoError(t, err)
	require.Len(t, files, 1, string(out))
	fh, err := os.Open(files[0])
	require.NoError(t, err)
	defer fh.Close()
	r := csv.NewReader(fh)
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	require.NoError(t, err)
	checked := 0
	for _, row := range rows {
		if len(row) < 6 || row[5] != "yes" && row[5] != "NO" {
			continue
		}
		ours, err1 := strconv.ParseFloat(row[2], 64)
		theirs, err2 := strconv.ParseFloat(row[3], 64)
		require.NoError(t, err1, row)
		require.NoError(t, err2, row)
		require.InDelta(t, ours, theirs, 1e-9*math.Max(1, math.Abs(ours)), row[0])
		require.Equal(t, "yes", row[5], row[0])
		checked++
	}
	require.GreaterOrEqual(t, checked, 16)
	t.Logf("%d formulas reckoned by %s", checked, office)
}

var stored = regexp.MustCompile(`(<f>[^<]*</f>)<v>[^<]*</v>`)

// forget takes the stored answers out of a workbook.
func forget(t testing.TB, data []byte) []byte {
	t.Helper()
	r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	n := 0
	for _, f := range r.File {
		in, err := f.Open()
		require.NoError(t, err)
		b, err := io.ReadAll(in)
		require.NoError(t, err)
		n += len(stored.FindAll(b, -1))
		w, err := z.Create(f.Name)
		require.NoError(t, err)
		_, err = w.Write(stored.ReplaceAll(b, []byte("$1")))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	require.Greater(t, n, 100, "the workbook stores its answers for viewers that do not reckon")
	return out.Bytes()
}

// Names and remarks as long as people make them still make a workbook.
func TestLongTexts(t *testing.T) {
	m := month(t, "limit", 0.2, 4)
	m.Plant = strings.Repeat("3 Rivers & Sons ", 40)
	m.Facility = m.Plant
	long := strings.Repeat("a remark that goes on ", 400)
	m.Remarks = append(m.Remarks, long)
	for i := range m.Lines {
		m.Lines[i].Remarks = append(m.Lines[i].Remarks, long)
		m.Lines[i].Parameter = long[:200]
	}
	write(t, m)
}

// Whatever the results and the rule, no formula ends in an error, and each agrees
// with the program's figure.
func FuzzBook(f *testing.F) {
	f.Add(uint64(1), uint8(0), uint8(50))
	f.Add(uint64(2), uint8(3), uint8(255))
	f.Fuzz(func(t *testing.T, seed uint64, rule, below uint8) {
		rules := []string{"zero", "half", "limit", "without-sign", "value", "mle", "kaplan-meier"}
		m := month(t, rules[int(rule)%len(rules)], float64(below)/255, seed)
		b, err := excelize.OpenReader(bytes.NewReader(write(t, m)))
		require.NoError(t, err)
		for _, s := range sheets {
			rows, err := b.GetRows(s)
			require.NoError(t, err)
			for r, row := range rows {
				for c := range row {
					at := cell(c+1, r+1)
					formula, err := b.GetCellFormula(s, at)
					require.NoError(t, err)
					if formula == "" {
						continue
					}
					v, err := b.CalcCellValue(s, at)
					require.NoError(t, err, "%s!%s: %s", s, at, formula)
					require.False(t, strings.HasPrefix(v, "#"), "%s!%s: %s = %s", s, at, formula, v)
					require.NotEqual(t, "NO", v, "%s!%s: %s", s, at, formula)
				}
			}
		}
	})
}

// The shading of the daily sheet marks the program's excursions: its conditions,
// evaluated day by day, against the lines of daily and instantaneous limits.
func TestShadedDaysAreTheExcursions(t *testing.T) {
	m := month(t, "limit", 0.2, 11)
	f, err := excelize.OpenReader(bytes.NewReader(write(t, m)))
	require.NoError(t, err)
	formats, err := f.GetConditionalFormats(Daily)
	require.NoError(t, err)
	plans := plansOf(m)
	checked, shaded := 0, 0
	for _, l := range m.Lines {
		col := 0
		switch l.Statistic {
		case "maximum daily", "instantaneous maximum":
			col = plans[l.Column].value
		case "mass maximum daily":
			col = plans[l.Column].load[l.Unit]
		}
		if col == 0 || math.IsNaN(l.LimitValue) || l.Limit.Season != "" {
			continue
		}
		rng := cell(col, dailyFirst) + ":" + cell(col, dailyFirst+len(m.Columns[0].Days)-1)
		require.NotEmpty(t, formats[rng], "%s %s", l.Parameter, l.Statistic)
		want := map[string]bool{}
		for _, e := range l.Excursions {
			want[e.First.Format("2006-01-02")] = true
		}
		got := map[string]bool{}
		for _, cf := range formats[rng] {
			if !strings.Contains(cf.Criteria, ">=") {
				continue // the minimum of the same column
			}
			for r, d := range m.Columns[l.Column].Days {
				if d.Date.Month() != m.Month {
					continue
				}
				one := regexp.MustCompile(`([A-Z]+)5\b`).ReplaceAllString(cf.Criteria, "${1}"+strconv.Itoa(dailyFirst+r))
				require.NoError(t, f.SetCellFormula(Daily, "ZZ1", one))
				v, err := f.CalcCellValue(Daily, "ZZ1")
				require.NoError(t, err, one)
				if v == "TRUE" {
					got[d.Date.Format("2006-01-02")] = true
				}
			}
		}
		require.Equal(t, want, got, "%s %s", l.Parameter, l.Statistic)
		checked++
		shaded += len(got)
	}
	require.GreaterOrEqual(t, checked, 3)
	require.Positive(t, shaded)
	s, err := f.GetConditionalFormats(Summary)
	require.NoError(t, err)
	require.Len(t, s, 1, "the summary shades lines beyond their limit")
}
