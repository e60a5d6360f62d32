package workbook

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"weirbook/analysis/discharge"
	"weirbook/analysis/series"
)

// The book's own report, state and excursions, evaluated by the library's engine,
// are the program's, under every rule and both roundings.
func TestReportIsLive(t *testing.T) {
	for _, rule := range []string{"zero", "half", "limit", "without-sign", "value"} {
		for _, rounding := range []string{"half-up", "half-even"} {
			m := edited(t, rule, 0.3, 7, rounding, nil)
			f, err := excelize.OpenReader(bytes.NewReader(write(t, m)))
			require.NoError(t, err)
			got := func(col, row int) string {
				s, err := f.CalcCellValue(Summary, cell(col, row), excelize.Options{RawCellValue: true})
				require.NoError(t, err)
				return s
			}
			live := sameAsProgram(t, m, got, rule+", "+rounding)
			require.Greater(t, live, 12)
		}
	}
}

// sameAsProgram compares the three live columns with the lines of a month, and
// counts the lines that are live.
func sameAsProgram(t *testing.T, m *discharge.Month, got func(col, row int) string, what string) (live int) {
	t.Helper()
	k := &writer{m: m, f: excelize.NewFile(), styles: map[string]int{}, answers: map[string]string{}, weekCol: map[int]int{}}
	defer k.f.Close()
	k.lay()
	for n, row := range summaryRows(m) {
		l := m.Lines[n]
		if l.Report == "" {
			continue
		}
		text := got(4, row)
		if v, err := strconv.ParseFloat(text, 64); err == nil { // a constant is a number with its format
			w, err := strconv.ParseFloat(l.Report, 64)
			require.NoError(t, err, "%s: %s %s: %s", what, l.Parameter, l.Statistic, l.Report)
			require.InDelta(t, w, v, 1e-12, "%s: %s %s", what, l.Parameter, l.Statistic)
		} else {
			require.Equal(t, l.Report, text, "%s: %s %s", what, l.Parameter, l.Statistic)
		}
		require.Equal(t, Standing(l.State), got(7, row), "%s: %s %s %s", what, l.Parameter, l.Statistic, l.Report)
		if l.State != discharge.NoLimit {
			want := "none"
			if len(l.Excursions) > 0 {
				want = fmt.Sprint(len(l.Excursions))
			}
			require.Equal(t, want, got(8, row), "%s: excursions of %s %s", what, l.Parameter, l.Statistic)
		}
		live++
	}
	return live
}

func summaryRows(m *discharge.Month) []int {
	out := make([]int, len(m.Lines))
	row, listed := sumFirst, true
	for n, l := range m.Lines {
		if listed && !l.ForPlant {
			listed = false
			row++
		}
		out[n] = row
		row++
	}
	return out
}

// Days that a person edits in the book, reckoned by another spreadsheet program with
// the stored answers taken out, give what the program makes of the same results.
func TestEditedInLibreOffice(t *testing.T) {
	office, err := exec.LookPath("soffice")
	if err != nil {
		if office, err = exec.LookPath("libreoffice"); err != nil {
			t.Skip("skipped: LibreOffice is not installed")
		}
	}
	if testing.Short() {
		t.Skip("skipped in short mode: starting LibreOffice takes seconds")
	}
	for _, rule := range []string{"half", "limit"} {
		before := edited(t, rule, 0.2, 4, "half-up", nil)
		f, err := excelize.OpenReader(bytes.NewReader(write(t, before)))
		require.NoError(t, err)
		// The suspended solids of three days: far above the daily limit, below a limit
		// of 3, and more than 70.
		edits := map[string]map[time.Time]string{}
		days := map[time.Time]string{}
		plans := plansOf(before)
		for i, c := range before.Columns {
			if c.Title != "Total suspended solids, +Outfall 001 (composite)" {
				continue
			}
			words := []string{"99", "<3", ">70"}
			for r, d := range c.Days[:c.MonthHi] {
				if d.N != 1 || r < c.MonthLo || len(words) == 0 {
					continue
				}
				at := cell(plans[i].reported, dailyFirst+r)
				if v, err := strconv.ParseFloat(words[0], 64); err == nil {
					require.NoError(t, f.SetCellFloat(Daily, at, v, -1, 64))
				} else {
					require.NoError(t, f.SetCellStr(Daily, at, words[0]))
				}
				days[d.Date] = words[0]
				words = words[1:]
			}
			edits["L-TSS"] = days
			require.Empty(t, words)
		}
		require.Len(t, days, 3)
		after := edited(t, rule, 0.2, 4, "half-up", func(s map[string]*series.Series) {
			x := s["L-TSS"]
			loc, err := time.LoadLocation("America/Denver")
			require.NoError(t, err)
			for i, ms := range x.T {
				at := time.UnixMilli(ms).In(loc).Add(-12 * time.Hour) // the day that most of the composite is of
				w, ok := days[time.Date(at.Year(), at.Month(), at.Day(), 0, 0, 0, 0, time.UTC)]
				if !ok {
					continue
				}
				v, err := strconv.ParseFloat(strings.TrimLeft(w, "<>"), 64)
				require.NoError(t, err)
				x.V[i], x.F[i] = v, map[byte]series.Flag{'<': series.LessThan, '>': series.GreaterThan}[w[0]]
			}
		})
		var book bytes.Buffer
		require.NoError(t, f.Write(&book))
		dir := t.TempDir()
		path := filepath.Join(dir, "month.xlsx")
		require.NoError(t, os.WriteFile(path, forget(t, book.Bytes()), 0o666))
		cmd := exec.Command(office, "-env:UserInstallation=file://"+filepath.ToSlash(filepath.Join(dir, "profile")), "--headless",
			"--convert-to", "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false,false,false,false,1", "--outdir", dir, path)
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, string(out))
		files, err := filepath.Glob(filepath.Join(dir, "*.csv"))
		require.NoError(t, err)
		require.Len(t, files, 1, string(out))
		data, err := os.ReadFile(files[0])
		require.NoError(t, err)
		r := csv.NewReader(bytes.NewReader(data))
		r.FieldsPerRecord = -1
		rows, err := r.ReadAll()
		require.NoError(t, err)
		got := func(col, row int) string { return rows[row-1][col-1] }
		changed := 0
		for n, row := range summaryRows(after) {
			l := after.Lines[n]
			if l.Parameter != "Total suspended solids" || l.Report == "" || l.Limit.At != "outfall" {
				continue
			}
			require.Equal(t, l.Report, got(4, row), "%s: %s", rule, l.Statistic)
			require.Equal(t, Standing(l.State), got(7, row), "%s: %s %s", rule, l.Statistic, l.Report)
			if len(l.Excursions) > 0 {
				require.Equal(t, fmt.Sprint(len(l.Excursions)), got(8, row), "%s: excursions of %s", rule, l.Statistic)
			}
			if l.Report != before.Lines[n].Report {
				changed++
			}
		}
		require.GreaterOrEqual(t, changed, 5, rule)
	}
}
