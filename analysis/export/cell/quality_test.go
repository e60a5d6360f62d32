package cell

import (
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
			q := QualityReader{Codes: codesDA}
			sheet.Same("OPC DA quality "+strconv.Itoa(n), r.Source(), r.Mark(), word, flagWord(q.Read([]byte(strconv.Itoa(n)))))
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
			q := QualityReader{Codes: codesUA}
			sheet.Same("OPC UA "+r.Text(t, "symbol")+" as "+s, r.Source(), r.Mark(), want, flagWord(q.Read([]byte(s))))
		}
	}
}

// 0 is bad in OPC DA and good in OPC UA: which it is, is decided over the column.
func TestGuessCodes(t *testing.T) {
	for _, c := range []struct {
		codes map[uint64]int
		want  QualityCodes
		sure  bool
	}{
		{map[uint64]int{192: 90, 0: 10}, codesDA, true},
		{map[uint64]int{0: 90, 0x80310000: 10}, codesUA, true},
		{map[uint64]int{0: 90, 1: 10}, ZeroGood, false},
		{map[uint64]int{0: 10, 1: 90}, OneGood, false},
		{map[uint64]int{0: 100}, ZeroGood, false},
		{map[uint64]int{64: 5, 0: 95}, codesDA, false},
	} {
		got, sure := GuessCodes(c.codes)
		require.Equal(t, c.want, got, "%v", c.codes)
		require.Equal(t, c.sure, sure, "%v", c.codes)
	}
}
