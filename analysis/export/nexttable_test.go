package export

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"weirbook/analysis/export/rows"
)

// Tables one below the other are found far into a file, whatever its encoding
// and packing, and their lines are those of the file. What is expected is what
// this test itself writes: row i of tag A is i, of tag Ä 1000 + i.
func TestTablesOneBelowTheOther(t *testing.T) {
	const rows = 700
	var b strings.Builder
	line, bad := 0, 0
	add := func(s string) { b.WriteString(s + "\r\n"); line++ }
	for block := range 5 {
		if block%2 == 0 {
			add("time,A,Ä")
		} else {
			add("time,Ä,A")
		}
		for i := range rows {
			n := block*rows + i
			a, z := fmt.Sprint(n), fmt.Sprint(1000+n)
			if block%2 == 1 {
				a, z = z, a
			}
			add(fmt.Sprintf("2026-03-%02d %02d:%02d,%s,%s", 1+n/1440, n/60%24, n%60, a, z))
		}
		if block == 3 {
			add("2026-03-01 00:00")
			bad = line
		}
	}
	text := []byte(b.String())
	latin, err := charmap.Windows1252.NewEncoder().Bytes(text)
	require.NoError(t, err)
	wide, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().Bytes(text)
	require.NoError(t, err)
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	z.Write(text)
	require.NoError(t, z.Close())
	for name, file := range map[string][]byte{"utf-8": text, "with a mark": append([]byte("\xef\xbb\xbf"), text...),
		"windows-1252": latin, "utf-16": wide, "gzip": packed.Bytes()} {
		for _, opt := range []Options{{}, {BlockSize: 50, Workers: 3}, {longWay: true}} {
			r := readAll(t, opt, memFile("a.csv", file))
			require.Len(t, r.Files, 5, name)
			for tag, first := range map[string]int{"A": 0, "Ä": 1000} {
				s := r.Series[tag]
				require.NotNil(t, s, name)
				require.Equal(t, 5*rows, s.Len(), name)
				for i, v := range s.V {
					require.Equal(t, float64(first+i), v, "%s %s", name, tag)
				}
			}
			require.Len(t, r.SetAside, 1, name)
			require.Equal(t, bad, r.SetAside[0].Line, name)
		}
	}
}

// More tables than are followed cost rows their place, not the ledger theirs.
func TestTooManyTables(t *testing.T) {
	var b strings.Builder
	for i := range rows.MaxTables + 10 {
		fmt.Fprintf(&b, "time,T%d\n2026-03-25 06:00,%d\n", i, i)
	}
	r := readAll(t, Options{}, memFile("a.csv", []byte(b.String())))
	used, aside := 0, 0
	for _, l := range r.Ledger {
		used += l.Used
		aside += l.Rows - l.Used
	}
	require.Equal(t, rows.MaxTables, used)
	require.Equal(t, 19, aside) // ten rows and, but for the first, their headings
}

// Tables of a file are listed as they stand in it, and a question about the decimal
// mark is put once a file.
func TestTablesAreListedByLine(t *testing.T) {
	var b strings.Builder
	for n := range 3 {
		fmt.Fprintf(&b, "Zeit;T%d\n", n)
		for i := range 50 {
			fmt.Fprintf(&b, "2026-04-02 %02d:%02d;%d,%d\n", i/60, i%60, 2+n, 100+i)
		}
	}
	r := readAll(t, Options{}, memFile("a.csv", []byte(b.String())))
	names := func(n int, file func(int) string) (out []string) {
		for i := range n {
			if f := file(i); f != "" && (len(out) == 0 || out[len(out)-1] != f) {
				out = append(out, f)
			}
		}
		return out
	}
	order := []string{"a.csv", "a.csv (from line 52)", "a.csv (from line 103)"}
	require.Equal(t, order, names(len(r.Files), func(i int) string { return r.Files[i].Name }))
	require.Equal(t, order, names(len(r.Ledger), func(i int) string { return r.Ledger[i].File }))
	require.Equal(t, order, names(len(r.Messages), func(i int) string { return r.Messages[i].File }))
	require.Equal(t, 1, strings.Count(said(r), "every number with a mark has three digits"))
	for n := range 3 {
		s := r.Series[fmt.Sprintf("T%d", n)]
		require.Equal(t, 50, s.Len())
		require.InDelta(t, float64(2+n)+0.1, s.V[0], 1e-12)
	}
}
