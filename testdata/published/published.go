// Package published gives the tests the values that others have published:
// tables typed from print, each with its source and its mark.
//
// A mark says how well a value is known: verified (seen in a retrieved text),
// memory (remembered, not retrieved) or derived (computed from a stated
// formula). Expected values stay as printed; unless a row states a tolerance,
// half a unit of the last printed digit is allowed.
//
// Every test that holds our results against these rows is named
// TestPublished… and reports through a Sheet, so that
//
//	go test ./... -run Published -v | grep '^ *| '
//
// prints one table of every published check: source, mark, expected as
// printed, ours, pass.
package published

import (
	"bytes"
	"embed"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
)

//go:embed *.csv *.md
var files embed.FS

// Table is one file: its head comment lines and its rows.
type Table struct {
	Name   string
	Source string // text of the "# source:" line
	Rows   []Row
}

// Row is one line of a table by column name.
type Row struct {
	Line  int // in the file
	Cells map[string]string
	table *Table
}

// Load reads NAME.csv of this folder; a table that cannot be read fails the test.
func Load(t testing.TB, name string) *Table {
	t.Helper()
	b, err := files.ReadFile(name + ".csv")
	if err != nil {
		t.Fatalf("published table: %v", err)
	}
	tab := &Table{Name: name}
	for _, l := range bytes.Split(b, []byte("\n")) {
		if s, ok := strings.CutPrefix(string(l), "# source:"); ok {
			tab.Source = strings.TrimSpace(s)
			break
		}
	}
	if tab.Source == "" {
		tab.Source = listedSource(name)
	}
	if tab.Source == "" {
		t.Fatalf("%s.csv has no \"# source:\" line and stands in no list of sources", name)
	}
	r := csv.NewReader(bytes.NewReader(b))
	r.Comment = '#'
	head, err := r.Read()
	if err != nil {
		t.Fatalf("%s.csv: %v", name, err)
	}
	for {
		rec, err := r.Read()
		if rec == nil {
			break
		}
		if err != nil {
			t.Fatalf("%s.csv: %v", name, err)
		}
		line, _ := r.FieldPos(0)
		row := Row{Line: line, Cells: make(map[string]string, len(head)), table: tab}
		for i, h := range head {
			row.Cells[h] = rec[i]
		}
		tab.Rows = append(tab.Rows, row)
	}
	if len(tab.Rows) == 0 {
		t.Fatalf("%s.csv holds no rows", name)
	}
	return tab
}

// listedSource looks a table up in ct_sources.md: | file, file | source | mark |.
func listedSource(name string) string {
	b, err := files.ReadFile("ct_sources.md")
	if err != nil {
		return ""
	}
	for _, l := range strings.Split(string(b), "\n") {
		cells := strings.Split(l, "|")
		if len(cells) > 2 && strings.Contains(cells[1], name+".csv") {
			return strings.TrimSpace(cells[2])
		}
	}
	return ""
}

// Find gives the row whose column id holds the given value.
func (tab *Table) Find(t testing.TB, id string) Row {
	t.Helper()
	for _, r := range tab.Rows {
		if r.Cells["id"] == id || r.Cells["id"] == "" && r.Cells["name"] == id {
			return r
		}
	}
	t.Fatalf("%s.csv has no row %q", tab.Name, id)
	return Row{}
}

// Text gives a cell; an unknown column fails the test.
func (r Row) Text(t testing.TB, col string) string {
	t.Helper()
	s, ok := r.Cells[col]
	if !ok {
		t.Fatalf("%s.csv has no column %q", r.table.Name, col)
	}
	return s
}

// Num gives a cell as a number; a cell that is none fails the test.
func (r Row) Num(t testing.TB, col string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r.Text(t, col), 64)
	if err != nil {
		t.Fatalf("%s.csv:%d: %s: %v", r.table.Name, r.Line, col, err)
	}
	return v
}

// In gives one number out of a cell such as "dose_mg_l=7.1;residual_mg_l=1.0"
// in column inputs.
func (r Row) In(t testing.TB, key string) float64 {
	t.Helper()
	for _, kv := range strings.Split(r.Text(t, "inputs"), ";") {
		if k, s, ok := strings.Cut(kv, "="); ok && k == key {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatalf("%s.csv:%d: %s: %v", r.table.Name, r.Line, key, err)
			}
			return v
		}
	}
	t.Fatalf("%s.csv:%d has no input %q", r.table.Name, r.Line, key)
	return math.NaN()
}

// Mark is how well the row is known: verified, memory or derived.
func (r Row) Mark() string {
	if m := r.Cells["confidence"]; m != "" {
		return m
	}
	return r.Cells["mark"]
}

// Source is the row's own source, else the table's.
func (r Row) Source() string {
	if s := r.Cells["source"]; s != "" {
		return s
	}
	return r.table.Source
}

// HalfUnit is half a unit of the last printed digit of s: "10.652" gives 0.0005.
func HalfUnit(s string) float64 {
	s = strings.TrimSpace(s)
	exp := 0
	if i := strings.IndexAny(s, "eE"); i >= 0 {
		exp, _ = strconv.Atoi(s[i+1:])
		s = s[:i]
	}
	places := 0
	if i := strings.IndexByte(s, '.'); i >= 0 {
		places = len(s) - i - 1
	}
	return 0.5 * math.Pow(10, float64(exp-places))
}

// Sheet collects the checks of one test and logs them as table rows.
type Sheet struct {
	t     *testing.T
	lines []string
}

// NewSheet starts a sheet that is logged when the test ends.
func NewSheet(t *testing.T) *Sheet {
	s := &Sheet{t: t}
	t.Cleanup(func() {
		t.Helper()
		t.Log("\n" + strings.Join(s.lines, "\n"))
	})
	return s
}

// Row checks ours against a cell of a row: within the row's own tolerance, else
// half a unit of the last printed digit.
func (s *Sheet) Row(r Row, col string, ours float64) {
	s.t.Helper()
	tol := HalfUnit(r.Cells[col])
	if v, err := strconv.ParseFloat(r.Cells["tolerance"], 64); err == nil && col == "expected" {
		tol = v
	}
	s.Check(r.id(col), r.Source(), r.Mark(), r.Text(s.t, col), tol, ours)
}

func (r Row) id(col string) string {
	if id := r.Cells["id"]; id != "" {
		return id
	}
	return fmt.Sprintf("%s.csv:%d %s", r.table.Name, r.Line, col)
}

// Check holds ours against a printed value. A small part in 1e9 is allowed on
// top of the tolerance, so that a value exactly half a unit away passes.
func (s *Sheet) Check(id, source, mark, expected string, tol, ours float64) {
	s.t.Helper()
	want, err := strconv.ParseFloat(expected, 64)
	if err != nil {
		s.t.Errorf("%s: expected value %q is no number", id, expected)
		return
	}
	// NaN fails: it is within no tolerance.
	ok := math.Abs(ours-want) <= tol+1e-9*math.Abs(want)
	s.line(id, source, mark, expected, strconv.FormatFloat(ours, 'g', 7, 64), ok)
	if !ok {
		s.t.Errorf("%s: published %s (within %g), ours %.9g; %s", id, expected, tol, ours, source)
	}
}

// Same holds a word or a state against the printed one.
func (s *Sheet) Same(id, source, mark, expected, ours string) {
	s.t.Helper()
	ok := expected == ours
	s.line(id, source, mark, expected, ours, ok)
	if !ok {
		s.t.Errorf("%s: published %q, ours %q; %s", id, expected, ours, source)
	}
}

// Differs notes a printed value that we do not follow on purpose, with the
// reason. It fails when ours agrees after all, so that the note cannot go stale.
func (s *Sheet) Differs(id, source, mark, expected string, ours float64, why string) {
	s.t.Helper()
	if want, err := strconv.ParseFloat(expected, 64); err == nil && math.Abs(ours-want) <= HalfUnit(expected) {
		s.t.Errorf("%s: noted as different, but ours is %v", id, ours)
	}
	s.lines = append(s.lines, fmt.Sprintf("| %s | %s | %s | %s | %.7g | differs: %s |", id, source, mark, expected, ours, why))
}

func (s *Sheet) line(id, source, mark, expected, ours string, ok bool) {
	pass := "pass"
	if !ok {
		pass = "FAIL"
	}
	cell := strings.NewReplacer("|", ", ") // a bar would begin another column
	s.lines = append(s.lines, fmt.Sprintf("| %s | %s | %s | %s | %s | %s |", id, cell.Replace(source), mark, cell.Replace(expected), cell.Replace(ours), pass))
}
