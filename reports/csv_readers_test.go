package reports

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// sheetsOf writes the demo run's CSV files into a folder and reads them with
// encoding/csv.
func sheetsOf(t *testing.T) (dir string, sheets map[string][][]string) {
	t.Helper()
	if testing.Short() {
		t.Skip("a whole run; the tests without -short have it")
	}
	outs, err := demo()
	require.NoError(t, err)
	dir, sheets = t.TempDir(), map[string][][]string{}
	for _, o := range outs {
		if filepath.Ext(o.Name) != ".csv" {
			continue
		}
		require.NoError(t, os.WriteFile(filepath.Join(dir, o.Name), o.Data, 0o644))
		text := bytes.TrimPrefix(o.Data, []byte("\ufeff"))
		require.Equal(t, bytes.Count(text, []byte("\n")), bytes.Count(text, []byte("\r\n")), "%s: one kind of line end", o.Name)
		rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
		require.NoError(t, err, o.Name)
		sheets[o.Name] = rows
	}
	return dir, sheets
}

var doubled = regexp.MustCompile(`(?:^|[._])([a-z]+)_([a-z]+)$`)

// TestEveryColumnIsTold holds the sheets' headings against columns.csv.
func TestEveryColumnIsTold(t *testing.T) {
	_, sheets := sheetsOf(t)
	told := map[string]bool{}
	for _, r := range sheets["columns.csv"][1:] {
		require.False(t, told[r[1]+" "+r[0]], "%s of %s stands twice", r[0], r[1])
		told[r[1]+" "+r[0]] = true
		require.NotEmpty(t, r[2], "%s of %s has a quantity", r[0], r[1])
		require.NotEmpty(t, r[4], "%s of %s has a definition", r[0], r[1])
	}
	for _, name := range []string{"hourly.csv", "daily.csv", "samples.csv", "findings.csv", "set-aside.csv", "readings.csv", "moves.csv"} {
		seen := map[string]bool{}
		for _, h := range sheets[name][0] {
			require.True(t, told[name+" "+h], "columns.csv tells of %s of %s", h, name)
			require.False(t, seen[h], "%s of %s", h, name)
			seen[h] = true
			if m := doubled.FindStringSubmatch(h); m != nil {
				require.NotEqual(t, m[1], m[2], "%s says one word twice", h)
			}
		}
	}
	for _, name := range []string{"hourly.csv", "daily.csv"} {
		last := time.Time{}
		for _, r := range sheets[name][1:] {
			local, err := time.Parse(time.RFC3339, r[0])
			require.NoError(t, err)
			utc, err := time.Parse("2006-01-02T15:04:05Z", r[1])
			require.NoError(t, err)
			require.True(t, local.Equal(utc) && utc.After(last))
			last = utc
		}
	}
}

// TestColumnsTellTheTruth: a day whose hours are all covered is what columns.csv
// says that its hours make: their mean, sum, or lowest, by the two sheets alone.
func TestColumnsTellTheTruth(t *testing.T) {
	_, sheets := sheetsOf(t)
	column := func(sheet, name string) []float64 {
		at := slices.Index(sheets[sheet][0], name)
		require.GreaterOrEqual(t, at, 0, "%s in %s", name, sheet)
		var out []float64
		for _, row := range sheets[sheet][1:] {
			v, err := strconv.ParseFloat(row[at], 64)
			if err != nil {
				require.Empty(t, row[at], "%s of %s", name, sheet)
				v = math.NaN()
			}
			out = append(out, v)
		}
		return out
	}
	ofDay := map[string][]int{}
	for i, row := range sheets["hourly.csv"][1:] {
		ofDay[row[0][:10]] = append(ofDay[row[0][:10]], i)
	}
	compared := map[string]int{}
	for _, c := range sheets["columns.csv"][1:] {
		name, how := c[0], c[5]
		if c[1] != "daily.csv" || how == "" || !slices.Contains(sheets["hourly.csv"][0], name) || strings.HasSuffix(name, "_coverage") {
			continue
		}
		hours, days := column("hourly.csv", name), column("daily.csv", name)
		for d, row := range sheets["daily.csv"][1:] {
			sum, low, n := 0.0, math.Inf(1), 0
			for _, h := range ofDay[row[0][:10]] {
				if v := hours[h]; !math.IsNaN(v) {
					sum, low, n = sum+v, math.Min(low, v), n+1
				}
			}
			if n < len(ofDay[row[0][:10]]) || math.IsNaN(days[d]) {
				continue
			}
			want := map[string]float64{"mean": sum / float64(n), "sum": sum, "lowest": low}[how]
			// An hour of less than sixty covered minutes weighs less in the day than in the mean of hours.
			within := 0.02*math.Abs(want) + 1e-3
			if how == "lowest" {
				within = 1e-6 * math.Abs(want)
			}
			require.InDelta(t, want, days[d], within, "%s on %s, the %s of its hours", name, row[0][:10], how)
			compared[how]++
		}
	}
	t.Log(compared)
	for _, how := range []string{"mean", "sum", "lowest"} {
		require.Greater(t, compared[how], 50, how)
	}
}

// TestSamplesHoldEveryResult: pH and counts, too, and not only concentrations.
func TestSamplesHoldEveryResult(t *testing.T) {
	_, sheets := sheetsOf(t)
	measured := map[string]int{}
	for _, r := range sheets["samples.csv"][1:] {
		measured[r[3]]++
	}
	lab, err := demoLab()
	require.NoError(t, err)
	require.Equal(t, lab, measured)
}

// demoLab counts the results of the demo's laboratory sheet, by what its tags measure.
func demoLab() (map[string]int, error) {
	r, err := demoRun(false)
	if err != nil {
		return nil, err
	}
	out := map[string]int{}
	for _, tag := range r.Plant.Tags {
		if s := r.Read.Series[tag.Name]; tag.Sampled() && s != nil {
			out[string(tag.Measures)] += s.Len()
		}
	}
	return out, nil
}

// TestPandasReadsTheSheets: times of one offset, numbers as numbers.
func TestPandasReadsTheSheets(t *testing.T) {
	python := ""
	for _, p := range []string{"python3", "/usr/bin/python3", "python"} {
		if exec.Command(p, "-c", "import pandas").Run() == nil {
			python = p
			break
		}
	}
	if python == "" {
		t.Skip("no pandas here")
	}
	dir, sheets := sheetsOf(t)
	const script = `
import sys, pandas
for name, times in [("hourly.csv", ["time_utc"]), ("daily.csv", ["time_utc"]), ("samples.csv", ["sample_start_utc", "sample_end_utc"]), ("findings.csv", ["start_utc"]), ("moves.csv", ["began_utc"])]:
    d = pandas.read_csv(sys.argv[1] + "/" + name)
    for c in times:
        assert str(pandas.to_datetime(d[c]).dtype) == "datetime64[ns, UTC]", (name, c)
    for c in d.columns:
        if name in ("hourly.csv", "daily.csv") and c.endswith(("_mgd", "_lb", "_coverage", "_mg_per_l")):
            assert d[c].dtype == "float64" or d[c].dtype == "int64", (name, c, d[c].dtype)
    print(name, len(d), len(d.columns))
`
	out, err := exec.Command(python, "-c", script, dir).CombinedOutput()
	require.NoError(t, err, string(out))
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		t.Log(line)
	}
	require.Contains(t, string(out), "hourly.csv "+strconv.Itoa(len(sheets["hourly.csv"])-1)+" "+strconv.Itoa(len(sheets["hourly.csv"][0])))
}

// TestSpreadsheetReadsTheSheets opens sheets as a spreadsheet does and has it write
// them again: signs beyond ASCII arrive, and nothing is taken for a formula.
func TestSpreadsheetReadsTheSheets(t *testing.T) {
	office, err := exec.LookPath("soffice")
	if err != nil {
		t.Skip("no LibreOffice here")
	}
	dir, sheets := sheetsOf(t)
	hostile := "\ufefftag,note\r\n'=1+1,20 °C · mg/L\r\n"
	require.NoError(t, os.WriteFile(filepath.Join(dir, "hostile.csv"), []byte(hostile), 0o644))
	back := filepath.Join(t.TempDir(), "back")
	cmd := exec.Command(office, "--headless", "-env:UserInstallation=file://"+t.TempDir(), "--infilter=CSV:44,34,76,1", "--convert-to", "xlsx", "--outdir", back,
		filepath.Join(dir, "hourly.csv"), filepath.Join(dir, "hostile.csv"))
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	require.Equal(t, sheets["hourly.csv"][0], sheetRow(t, filepath.Join(back, "hourly.xlsx"), 1))
	require.Equal(t, []string{"tag", "note"}, sheetRow(t, filepath.Join(back, "hostile.xlsx"), 1), "the byte order mark is no part of a heading")
	require.Equal(t, []string{"'=1+1", "20 °C · mg/L"}, sheetRow(t, filepath.Join(back, "hostile.xlsx"), 2))
}

// sheetRow is a row of a workbook's first sheet.
func sheetRow(t *testing.T, path string, row int) []string {
	t.Helper()
	f, err := excelize.OpenFile(path)
	require.NoError(t, err)
	defer f.Close()
	rows, err := f.GetRows(f.GetSheetList()[0])
	require.NoError(t, err)
	return rows[row-1]
}
