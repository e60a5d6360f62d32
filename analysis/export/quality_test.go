package export

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/series"
	"weirbook/testdata/published"
)

func flagWord(f series.Flag) string {
	switch f {
	case 0:
		return "good"
	case series.Uncertain:
		return "uncertain"
	case series.Bad:
		return "bad"
	}
	return "?"
}

// Every published OPC DA quality number, with every limit bit and a vendor's
// high byte, is read as its meaning says.
func TestPublishedOPCDAQuality(t *testing.T) {
	tab := published.Load(t, "opc_da_quality")
	sheet := published.NewSheet(t)
	for _, r := range tab.Rows {
		word, _, _ := strings.Cut(r.Text(t, "meaning"), ":")
		code := int(r.Num(t, "decimal"))
		for _, n := range []int{code, code + 1, code + 2, code + 3, code + 0x2a00} {
			q := qualityReader{codes: codesDA}
			sheet.Same("OPC DA quality "+strconv.Itoa(n), r.Source(), r.Mark(), word, flagWord(q.read([]byte(strconv.Itoa(n)))))
		}
	}
}

// Every published OPC UA status, as hexadecimal, as a decimal number, signed
// and with its low half in use, and by name.
func TestPublishedOPCUAStatus(t *testing.T) {
	tab := published.Load(t, "opc_ua_status")
	sheet := published.NewSheet(t)
	for _, r := range tab.Rows {
		want := []string{"good", "uncertain", "bad"}[int(r.Num(t, "severity_bits"))]
		hex := r.Text(t, "hex")
		code, err := strconv.ParseUint(hex[2:], 16, 32)
		require.NoError(t, err)
		for _, s := range []string{hex, strconv.FormatUint(code, 10), strconv.FormatInt(int64(int32(code)), 10), strconv.FormatUint(code|0x480, 10), r.Text(t, "symbol")} {
			q := qualityReader{codes: codesUA}
			sheet.Same("OPC UA "+r.Text(t, "symbol")+" as "+s, r.Source(), r.Mark(), want, flagWord(q.read([]byte(s))))
		}
	}
}

// 0 is bad in OPC DA and good in OPC UA: which it is, is decided over the column.
func TestGuessCodes(t *testing.T) {
	for _, c := range []struct {
		codes map[uint64]int
		want  qualityCodes
		sure  bool
	}{
		{map[uint64]int{192: 90, 0: 10}, codesDA, true},
		{map[uint64]int{0: 90, 0x80310000: 10}, codesUA, true},
		{map[uint64]int{0: 90, 1: 10}, zeroGood, false},
		{map[uint64]int{0: 10, 1: 90}, oneGood, false},
		{map[uint64]int{0: 100}, zeroGood, false},
		{map[uint64]int{64: 5, 0: 95}, codesDA, false},
	} {
		got, sure := guessCodes(c.codes)
		require.Equal(t, c.want, got, "%v", c.codes)
		require.Equal(t, c.sure, sure, "%v", c.codes)
	}
}

// A sign under a heading of quality is the result's, also where the first rows had
// none.
func TestSignInAQualityColumn(t *testing.T) {
	text := "time,tag,value,Flag\n"
	for i := range 300 {
		text += fmt.Sprintf("2026-03-%02d %02d:00,TRC,0.08,\n", 1+i/24, i%24)
	}
	text += "2026-03-25 06:00,TRC,0.05,<\n"
	r, err := Read(context.Background(), []File{memFile("a.csv", []byte(text))}, Options{})
	require.NoError(t, err)
	s := r.Series["TRC"]
	require.Equal(t, 301, s.Len())
	require.Equal(t, series.LessThan, s.F[300])
	require.Equal(t, 1, r.Ledger[0].LessThan)
}
