package export

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/ledger"
)

// An archive whose checksum is wrong may hold any number: none is used.
func TestWrongChecksumSetsAllAside(t *testing.T) {
	var text bytes.Buffer
	text.WriteString("Time,FIT-101\n")
	for i := range 500 {
		fmt.Fprintf(&text, "2026-03-25 %02d:%02d,%d\n", i/60, i%60, i)
	}
	var gz, z bytes.Buffer
	w := gzip.NewWriter(&gz)
	w.Write(text.Bytes())
	w.Close()
	g := gz.Bytes()
	g[len(g)-8] ^= 1 // of the CRC-32
	zw := zip.NewWriter(&z)
	m, err := zw.CreateHeader(&zip.FileHeader{Name: "a.csv", Method: zip.Store})
	require.NoError(t, err)
	m.Write(text.Bytes())
	zw.Close()
	b := z.Bytes()
	at := bytes.Index(b, []byte(",250\n"))
	b[at+1] = '9' // 950 instead of 250
	for name, data := range map[string][]byte{"a.csv.gz": g, "a.zip": b} {
		for _, block := range []int{0, 64} {
			r := readAll(t, Options{BlockSize: block}, memFile(name, data))
			require.Empty(t, r.Series, name)
			n := 0
			for _, l := range r.Ledger {
				require.True(t, l.AddsUp())
				n += l.Aside[ledger.Damaged]
			}
			require.Equal(t, 500, n, name)
			require.Contains(t, allTexts(r), "all its rows are set aside")
		}
	}
}

// The list of an archive's members is read once, not once a member.
func TestManyMembers(t *testing.T) {
	var z bytes.Buffer
	zw := zip.NewWriter(&z)
	const n = 5000
	for i := range n {
		m, err := zw.CreateHeader(&zip.FileHeader{Name: fmt.Sprintf("%05d.csv", i), Method: zip.Store})
		require.NoError(t, err)
		fmt.Fprintf(m, "Time,A\n%s,%d\n", time.Date(2026, 1, 1, 0, i, 0, 0, time.UTC).Format("2006-01-02 15:04"), i)
	}
	zw.Close()
	start := time.Now()
	r := readAll(t, Options{}, memFile("many.zip", z.Bytes()))
	require.Equal(t, n, r.Series["A"].Len())
	require.Less(t, time.Since(start), 30*time.Second)
}
