package export

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"math/rand"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

func readAll(t *testing.T, opt Options, files ...record.File) *Result {
	t.Helper()
	r, err := Read(context.Background(), files, opt)
	require.NoError(t, err)
	checkLedger(t, r)
	return r
}

// seconds writes a long export of one tag, every second of [from, to).
func seconds(from, to int) string {
	var b strings.Builder
	b.WriteString("time,tag,value\n")
	start := time.Date(2026, 3, 25, 0, 0, 0, 0, time.UTC)
	for i := from; i < to; i++ {
		fmt.Fprintf(&b, "%s,A,%d\n", start.Add(time.Duration(i)*time.Second).Format("2006-01-02 15:04:05"), (i*7919)%1000)
	}
	return b.String()
}

// Files that overlap, rows out of order and blocks written twice give what one
// clean file gives, also where the readings were condensed.
func TestOverlapIsCleanFile(t *testing.T) {
	clean := readAll(t, Options{}, memFile("a.csv", []byte(seconds(0, 3600))))
	want := clean.Series["A"]
	require.Equal(t, 60, want.Len())
	require.Equal(t, 3600, clean.Ledger[0].Condensed)

	over := readAll(t, Options{}, memFile("a.csv", []byte(seconds(0, 2000))), memFile("b.csv", []byte(seconds(1500, 3600))))
	require.Equal(t, want.T, over.Series["A"].T)
	require.Equal(t, 500, over.Ledger[1].Aside[ledger.Repeated])
	for i := range want.V {
		require.InDelta(t, want.V[i], over.Series["A"].V[i], 1e-9)
	}

	lines := strings.Split(strings.TrimSpace(seconds(0, 3600)), "\n")
	rows := lines[1:]
	rand.New(rand.NewSource(1)).Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
	shuffled := readAll(t, Options{}, memFile("a.csv", []byte(strings.Join(lines, "\n"))))
	require.Equal(t, want.T, shuffled.Series["A"].T)
	for i := range want.V {
		require.InDelta(t, want.V[i], shuffled.Series["A"].V[i], 1e-9)
		require.NotZero(t, shuffled.Series["A"].F[i]&series.Late)
	}

	twice := readAll(t, Options{}, memFile("a.csv", []byte(seconds(0, 3600)+strings.SplitN(seconds(600, 1200), "\n", 2)[1])))
	require.Equal(t, 600, twice.Ledger[0].Aside[ledger.Repeated])
	require.Equal(t, want.T, twice.Series["A"].T)
	for i := range want.V {
		require.InDelta(t, want.V[i], twice.Series["A"].V[i], 1e-9)
	}
}

// Daily files join end to end.
func TestFilesInTurn(t *testing.T) {
	r := readAll(t, Options{}, memFile("b.csv", []byte(seconds(1800, 3600))), memFile("a.csv", []byte(seconds(0, 1800))))
	require.Equal(t, 60, r.Series["A"].Len())
	require.Equal(t, "a.csv", r.Files[0].Name)
}

// The better quality is kept whichever file it stands in.
func TestConflictAcrossFiles(t *testing.T) {
	a := memFile("a.csv", []byte("tag,time,value,quality\nA,2026-03-25 06:00,1,Bad\nA,2026-03-25 06:01,2,Good\n"))
	b := memFile("b.csv", []byte("tag,time,value,quality\nA,2026-03-25 06:00,1.5,Good\nA,2026-03-25 06:01,2.5,Good\n"))
	r := readAll(t, Options{}, b, a)
	require.Equal(t, []float64{1.5, 2}, r.Series["A"].V)
	require.Equal(t, 1, r.Ledger[0].Aside[ledger.Conflicting])
	require.Equal(t, 1, r.Ledger[1].Aside[ledger.Conflicting])
}

// Two control systems: each source has its zone and clock offset.
func TestTwoSystems(t *testing.T) {
	opt := Options{Zone: denver(t), Sources: []rule.SourceRule{
		{Name: "winter clock", Files: []string{"b*.csv"}, ClockOffset: time.Hour},
		{Name: "utc", Files: []string{"exports/c?.csv"}, Zone: time.UTC},
	}}
	r := readAll(t, opt,
		memFile("exports/a1.csv", []byte("time,A\n2026-07-01 06:00,1\n")),
		memFile("exports/b1.csv", []byte("time,B\n2026-07-01 05:00,1\n")),
		memFile("exports/c1.csv", []byte("time,C\n2026-07-01 12:00,1\n")))
	want := time.Date(2026, 7, 1, 12, 0, 0, 0, time.UTC).UnixMilli()
	for _, k := range []string{"A", "B", "C"} {
		require.Equal(t, []int64{want}, r.Series[k].T, k)
	}
	require.Contains(t, r.Files[1].Zone, "1h")
}

// One field of 100 MB costs its row and a message, not memory or the rest.
func TestHugeField(t *testing.T) {
	open := func() (io.ReadCloser, error) {
		return io.NopCloser(io.MultiReader(strings.NewReader("time,A\n2026-03-25 06:00,1\n2026-03-25 06:01,"),
			io.LimitReader(endless{}, 100<<20), strings.NewReader("\n2026-03-25 06:02,3\n"))), nil
	}
	for _, block := range []int{1 << 16, 1 << 23} {
		r := readAll(t, Options{BlockSize: block}, record.File{Name: "a.csv", Open: open})
		require.Equal(t, []float64{1, 3}, r.Series["A"].V)
		require.Equal(t, 1, r.Ledger[0].Aside[ledger.Damaged])
		require.Equal(t, 3, r.SetAside[0].Line)
		require.Contains(t, r.Messages[len(r.Messages)-1].Text, "damaged")
		_, err := Read(context.Background(), []record.File{{Name: "a.csv", Open: func() (io.ReadCloser, error) { return nil, errors.New("no such file") }}}, Options{Strict: true})
		require.ErrorContains(t, err, "a.csv: no such file")
	}
}

type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = 'x'
	}
	return len(p), nil
}

func TestCancel(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Read(ctx, []record.File{memFile("a.csv", []byte(seconds(0, 100)))}, Options{})
	require.ErrorIs(t, err, context.Canceled)
}

// Units: the heading's counts where tags.csv states none; where both do,
// tags.csv counts and the difference is told.
func TestUnits(t *testing.T) {
	f := memFile("a.csv", []byte("time,FIT (gpm),CL (ug/L)\n2026-03-25 06:00,1000,1500\n"))
	r := readAll(t, Options{Rules: map[string]rule.TagRule{
		"FIT": {Kind: quantity.Flow},
		"CL":  {Kind: quantity.ChlorineTotal, Unit: quantity.MustUnit("mg/L"), HasUnit: true},
	}}, f)
	require.InDelta(t, 1.44, r.Series["FIT"].V[0], 1e-12) // 1000 gpm x 1440 min/d / 1e6
	require.Equal(t, 1500.0, r.Series["CL"].V[0])
	var all []string
	for _, m := range r.Messages {
		all = append(all, m.Text)
	}
	require.Contains(t, strings.Join(all, "\n"), "the export says ug/L, tags.csv says mg/L")
}

// Values in their working unit keep every bit.
func TestBitExact(t *testing.T) {
	var b bytes.Buffer
	b.WriteString("time,A\n")
	r := rand.New(rand.NewSource(5))
	var want []float64
	for i := 0; i < 1000; i++ {
		v := r.NormFloat64() * 700
		want = append(want, v)
		fmt.Fprintf(&b, "%s,%v\n", time.Unix(int64(1770000000+60*i), 0).UTC().Format(time.RFC3339), v)
	}
	res := readAll(t, Options{Rules: map[string]rule.TagRule{"A": {Kind: quantity.ORP, Low: -1e9, High: 1e9}}}, memFile("a.csv", b.Bytes()))
	require.Equal(t, want, res.Series["A"].V)
}

func TestPeriod(t *testing.T) {
	from := time.Date(2026, 3, 25, 0, 10, 0, 0, time.UTC)
	r := readAll(t, Options{From: from, To: from.Add(5 * time.Minute)}, memFile("a.csv", []byte(seconds(0, 3600))))
	require.Equal(t, 5, r.Series["A"].Len())
	require.Equal(t, 3300, r.Ledger[0].Aside[ledger.OutsidePeriod])
}

// Quality numbers are understood over the whole file: one that begins with an
// hour of bad readings (0) is not taken for one whose 0 means good.
func TestQualityDecidedLate(t *testing.T) {
	var b strings.Builder
	b.WriteString("time,tag,value,quality\n")
	start := time.Date(2026, 3, 25, 0, 0, 0, 0, time.UTC)
	for i := 0; i < 600; i++ {
		q := 0
		if i >= 400 {
			q = 192
		}
		fmt.Fprintf(&b, "%s,A,%d,%d\n", start.Add(time.Duration(i)*time.Minute).Format("2006-01-02 15:04"), i, q)
	}
	r := readAll(t, Options{}, memFile("a.csv", []byte(b.String())))
	require.Equal(t, 400, r.Ledger[0].Bad)
	require.Equal(t, 600, r.Ledger[0].Used)
	require.NotZero(t, r.Series["A"].F[0]&series.Bad)
	require.Zero(t, r.Series["A"].F[599])
	require.Contains(t, r.Files[0].Format, "OPC DA")
}

// The same for day and month: only the last of many rows tells.
func TestDateOrderDecidedLate(t *testing.T) {
	var b strings.Builder
	b.WriteString("time,A\n")
	start := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	for i := 0; i < 13*1440; i++ {
		fmt.Fprintf(&b, "%s,%d\n", start.Add(time.Duration(i)*time.Minute).Format("02/01/2006 15:04"), i)
	}
	body := []byte(b.String())
	r := readAll(t, Options{}, memFile("a.csv", body))
	require.Equal(t, 13*1440, r.Series["A"].Len())
	require.Equal(t, start.UnixMilli(), r.Series["A"].T[0])
	require.Contains(t, r.Files[0].Format, "day first")
	// Without random access, too.
	r = readAll(t, Options{}, record.File{Name: "a.csv", Size: int64(len(body)), Open: func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(body)), nil }})
	require.Equal(t, start.UnixMilli(), r.Series["A"].T[0])
}

// A wide export cut by a Windows program: its year of daily files reads as one.
func TestManyFiles(t *testing.T) {
	var files []record.File
	for d := 0; d < 60; d++ {
		var b strings.Builder
		b.WriteString("sep=;\r\nZeit;ORP (mV);Cl2 (mg/L)\r\n")
		start := time.Date(2026, 3, 1+d, 0, 0, 0, 0, time.UTC)
		for i := 0; i < 96; i++ {
			fmt.Fprintf(&b, "%s;%d;1,%02d\r\n", start.Add(time.Duration(i)*15*time.Minute).Format("02.01.2006 15:04"), 640+i, i)
		}
		files = append(files, memFile(fmt.Sprintf("day-%02d.csv", d), []byte(b.String())))
	}
	r := readAll(t, Options{}, files...)
	require.Equal(t, 60*96, r.Series["ORP"].Len())
	require.Equal(t, 1.95, r.Series["Cl2"].V[95])
}

// A source rule has the last word on columns, decimal mark, order and encoding.
func TestSourceRule(t *testing.T) {
	body := "Keyed;Drawn;What;Got;Mark\n" +
		"07.03.2026 09:00;05/03/26 06:00;A;1.250;bad\n" +
		"07.03.2026 09:00;05/03/26 07:00;A;1.500;good\n"
	f := memFile("lab.csv", []byte(body))
	tagRule := rule.SourceRule{Files: []string{"lab*"}, TimeColumn: "Drawn", TagColumn: "What", ValueColumn: "Got", QualityColumn: "Mark",
		DateOrder: "ymd", Decimal: ",", Layout: "long"}
	r := readAll(t, Options{Sources: []rule.SourceRule{tagRule}}, f)
	require.Equal(t, time.Date(2005, 3, 26, 6, 0, 0, 0, time.UTC).UnixMilli(), r.Series["A"].T[0])
	require.Equal(t, []float64{1250, 1500}, r.Series["A"].V)
	require.Equal(t, series.Bad, r.Series["A"].F[0])
	tagRule.DateOrder, tagRule.Decimal = "mdy", "."
	r = readAll(t, Options{Sources: []rule.SourceRule{tagRule}}, f)
	require.Equal(t, time.Date(2026, 5, 3, 6, 0, 0, 0, time.UTC).UnixMilli(), r.Series["A"].T[0])
	require.Equal(t, []float64{1.25, 1.5}, r.Series["A"].V)

	// A misspelt heading is said, not passed over.
	tagRule.ValueColumn = "Result"
	r, err := Read(context.Background(), []record.File{f}, Options{Sources: []rule.SourceRule{tagRule}})
	require.NoError(t, err)
	require.Contains(t, fmt.Sprint(r.Messages), "Result")
}

// What a second file repeats is set aside with the line it stands on there, and
// a worse reading met first with its own.
func TestRepeatsAreToldWithTheirLines(t *testing.T) {
	row := func(i int, v string) string { return fmt.Sprintf("2026-03-25 06:%02d,A,%s\n", i, v) }
	head := "time,tag,value,quality\n"
	first := head
	for i := 0; i < 10; i++ {
		first += strings.TrimSuffix(row(i, fmt.Sprint(600+i)), "\n") + ",Good\n"
	}
	second := "# cut from the same week\n" + head +
		strings.TrimSuffix(row(8, "608"), "\n") + ",Good\n" + // line 3: says the same
		strings.TrimSuffix(row(9, "655"), "\n") + ",Good\n" + // line 4: does not
		strings.TrimSuffix(row(10, "610"), "\n") + ",Bad\n" + // line 5: the next one is better
		strings.TrimSuffix(row(10, "611"), "\n") + ",Good\n"
	for _, block := range []int{1, 60, 0} {
		r := readAll(t, Options{BlockSize: block}, memFile("a.csv", []byte(first)), memFile("b.csv", []byte(second)))
		var got []string
		for _, s := range r.SetAside {
			got = append(got, fmt.Sprintf("%s:%d %s", s.File, s.Line, s.Reason))
		}
		require.Equal(t, []string{"b.csv:3 repeated reading", "b.csv:4 conflicting reading", "b.csv:5 conflicting reading"}, got)
		require.Equal(t, 11, r.Series["A"].Len())
		require.Equal(t, 609.0, r.Series["A"].V[9])
		require.Equal(t, 611.0, r.Series["A"].V[10])
	}
}

// A second file that repeats a minute of seconds has nothing of it in a mean,
// and one that repeats its first half has the other half.
func TestCondensedOfOverlap(t *testing.T) {
	rows := func(from, to int) []byte {
		b := []byte("time,A\n")
		for i := from; i < to; i++ {
			b = fmt.Appendf(b, "2026-03-25 06:%02d:%02d,%d\n", i/60, i%60, 600+i)
		}
		return b
	}
	r := readAll(t, Options{}, memFile("a.csv", rows(0, 120)), memFile("b.csv", rows(0, 120)), memFile("c.csv", rows(60, 180)))
	for i, want := range [][3]int{{120, 120, 120}, {120, 0, 0}, {120, 60, 60}} {
		l := r.Ledger[i]
		require.Equal(t, want, [3]int{l.Rows, l.Used, l.Condensed}, l.File)
	}
	require.Equal(t, 3, r.Series["A"].Len())
}

// The sum is that of the file as it lies there: of a table, of what is none, and
// of a packed one before unpacking. Source: the example of FIPS 180 for "abc", from
// memory, and of nothing at all; "abc" alone is no table, so the table's sum is
// held against crypto/sha256.
func TestSHA256OfFiles(t *testing.T) {
	table := []byte("time,A\n2026-03-25 06:00,1\n2026-03-25 06:01,2\n")
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	z.Write(table)
	require.NoError(t, z.Close())
	files := []record.File{memFile("a.csv", []byte("abc")), memFile("b.csv", nil), memFile("c.csv", table), memFile("d.csv.gz", packed.Bytes())}
	sums := []string{"ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
		fmt.Sprintf("%x", sha256.Sum256(table)), fmt.Sprintf("%x", sha256.Sum256(packed.Bytes()))}
	r := readAll(t, Options{Hash: true}, files...)
	plain := readAll(t, Options{}, files...)
	for i, want := range sums {
		require.Equal(t, want, r.Files[i].SHA256, r.Files[i].Name)
		require.Empty(t, plain.Files[i].SHA256)
	}
}
