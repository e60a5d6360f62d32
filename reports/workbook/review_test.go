package workbook

import (
	"bytes"
	"context"
	"encoding/csv"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"weirbook/analysis"
	"weirbook/analysis/review"
	"weirbook/examples"
	"weirbook/examples/ready"
)

func reviewed(t *testing.T) []byte {
	t.Helper()
	files, err := examples.Demo(examples.DemoSeed)
	require.NoError(t, err)
	texts, err := ready.Write(files)
	require.NoError(t, err)
	in, err := ready.Input(texts, nil)
	require.NoError(t, err)
	r, err := analysis.Review(context.Background(), in, 0, 0, review.BySeason)
	require.NoError(t, err)
	var a, b bytes.Buffer
	book := ReviewBook{Plant: r.Plant, Record: r.Record, Review: r.Review, Version: "test"}
	require.NoError(t, WriteReview(&a, book))
	require.NoError(t, WriteReview(&b, book))
	require.Equal(t, a.Bytes(), b.Bytes(), "the same review gives the same bytes")
	return a.Bytes()
}

// What a reader may change is changed, and LibreOffice reckons the book again: the
// program's own figures and a figure counted here from the sheet of hours.
func TestReviewFormulasInLibreOffice(t *testing.T) {
	office, err := exec.LookPath("soffice")
	if err != nil {
		t.Skip("skipped: LibreOffice is not installed")
	}
	if testing.Short() {
		t.Skip("skipped in short mode: starting LibreOffice takes seconds")
	}
	dir := t.TempDir()
	rows := func(name string, data []byte) map[string][][]string {
		path := filepath.Join(dir, name+".xlsx")
		require.NoError(t, os.WriteFile(path, data, 0o666))
		cmd := exec.Command(office, "-env:UserInstallation=file://"+filepath.ToSlash(filepath.Join(dir, "profile")), "--headless",
			"--convert-to", `csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false,false,false,false,-1`, "--outdir", dir, path)
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, string(out))
		all := map[string][][]string{}
		for _, s := range []string{"Percentiles", "What if", "Hours"} {
			fh, err := os.Open(filepath.Join(dir, name+"-"+s+".csv"))
			require.NoError(t, err)
			defer fh.Close()
			r := csv.NewReader(fh)
			r.FieldsPerRecord = -1
			all[s], err = r.ReadAll()
			require.NoError(t, err)
		}
		return all
	}
	data := reviewed(t)
	num := func(s string) float64 {
		v, err := strconv.ParseFloat(strings.TrimSuffix(s, "%"), 64)
		require.NoError(t, err, s)
		return v
	}

	got := rows("review", forget(t, data))
	checked := 0
	for _, r := range got["Percentiles"][3:] {
		for i := range 7 {
			if live, ours := r[3+i], r[10+i]; ours != "n.d." {
				require.InDelta(t, num(ours), num(live), 1e-9*math.Max(1, math.Abs(num(ours))), r[0])
				checked++
			}
		}
	}
	for _, r := range got["What if"] {
		if len(r) > 6 && r[6] != "" && r[5] != "results" && r[6] != "Short, program" {
			require.InDelta(t, num(r[6]), num(r[5]), 0, r[1])
			checked++
		}
	}
	require.Greater(t, checked, 60)

	// Ask for 60 mg·min/L, with four fifths of the contact time.
	f, err := excelize.OpenReader(bytes.NewReader(forget(t, data)))
	require.NoError(t, err)
	ct := -1
	for i, h := range got["Hours"][0] {
		if strings.HasPrefix(h, "CT, ") {
			ct = i
		}
	}
	want := 0
	for _, r := range got["Hours"][2:] {
		if r[ct] != "" && 0.8*num(r[ct]) < 60 {
			want++
		}
	}
	for i, r := range got["What if"] {
		switch {
		case len(r) > 1 && r[1] == "CT asked":
			require.NoError(t, f.SetCellValue("What if", "C"+strconv.Itoa(i+1), 60))
		case len(r) > 1 && strings.HasPrefix(r[1], "contact time, as a multiple"):
			require.NoError(t, f.SetCellValue("What if", "C"+strconv.Itoa(i+1), 0.8))
		}
	}
	var buf bytes.Buffer
	require.NoError(t, f.Write(&buf))
	again := rows("changed", buf.Bytes())
	for _, r := range again["What if"] {
		if len(r) > 2 && r[1] == "hours that would be short" {
			require.InDelta(t, float64(want), num(r[2]), 0)
			checked = -1
		}
	}
	require.Equal(t, -1, checked, "the changed figure was reckoned")
}

func TestReviewBookIsWhole(t *testing.T) {
	f, err := excelize.OpenReader(bytes.NewReader(reviewed(t)))
	require.NoError(t, err)
	require.Equal(t, []string{"Summary", "Percentiles", "What if", "Hours"}, f.GetSheetList())
	n := 0
	for _, s := range []string{"Percentiles", "What if"} {
		rows, err := f.GetRows(s)
		require.NoError(t, err)
		for i := range rows {
			for j := range rows[i] {
				c, err := excelize.CoordinatesToCellName(j+1, i+1)
				require.NoError(t, err)
				formula, err := f.GetCellFormula(s, c)
				require.NoError(t, err)
				if formula != "" {
					n++
				}
			}
		}
	}
	require.Greater(t, n, 80)
}
