package sheet

import (
	"bytes"
	"encoding/csv"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/unicode"
)

type row struct {
	Tag  string `csv:"tag"`
	Unit string `csv:"unit"`
	Note string `csv:"note"`
}

var columns = Columns{Known: []string{"tag", "unit", "note"}, Needed: 2}

func utf16(t *testing.T, order unicode.Endianness, bom unicode.BOMPolicy, s string) string {
	t.Helper()
	out, err := unicode.UTF16(order, bom).NewEncoder().String(s)
	require.NoError(t, err)
	return out
}

// TestReadTakesWhatSpreadsheetsWrite reads one sheet in every shape that
// spreadsheets save it in. Common practice, no source.
func TestReadTakesWhatSpreadsheetsWrite(t *testing.T) {
	plain := "tag,unit,note\r\nT-1,°C,\"a, b\"\r\n\r\n# later, the 6\" pipe,\r\nT-2,mg/L,'=kept\r\n"
	semi := "tag;unit;note\r\nT-1;°C;a, b\r\n;;\r\n# later;;\r\nT-2;mg/L;=kept\r\n"
	tabs := strings.ReplaceAll(semi, ";", "\t")
	for name, c := range map[string]struct {
		text  string
		lines []int
	}{
		"UTF-8":                      {plain, []int{2, 5}},
		"UTF-8 with mark":            {"\ufeff" + plain, []int{2, 5}},
		"semicolons":                 {semi, []int{2, 5}},
		"sep=":                       {"sep=;\r\n" + semi, []int{3, 6}},
		"quoted sep=":                {"\"sep=;\"\r\n" + semi, []int{3, 6}},
		"Windows-1252":               {strings.ReplaceAll(plain, "°", "\xb0"), []int{2, 5}},
		"tabs, UTF-16 with mark":     {utf16(t, unicode.LittleEndian, unicode.ExpectBOM, tabs), []int{2, 5}},
		"tabs, UTF-16BE with mark":   {utf16(t, unicode.BigEndian, unicode.ExpectBOM, tabs), []int{2, 5}},
		"tabs, UTF-16 without mark":  {utf16(t, unicode.LittleEndian, unicode.IgnoreBOM, tabs), []int{2, 5}},
		"sep= in UTF-16, semicolons": {utf16(t, unicode.LittleEndian, unicode.ExpectBOM, "sep=;\r\n"+semi), []int{3, 6}},
	} {
		var rows []row
		lines, comma, err := Read("tags.csv", []byte(c.text), columns, &rows)
		require.NoError(t, err, name)
		require.Equal(t, []row{{"T-1", "°C", "a, b"}, {"T-2", "mg/L", "=kept"}}, rows, name)
		require.Equal(t, c.lines, lines, name)
		require.Equal(t, strings.Contains(name, "semi") || strings.Contains(name, "sep"), comma, name)
	}
}

// TestReadNamesTheCauseFirst gives sheets that cannot be read; the first line of
// the message is what has to be mended.
func TestReadNamesTheCauseFirst(t *testing.T) {
	for name, c := range map[string]struct{ text, first string }{
		"workbook":        {"PK\x03\x04\x14\x00", "tags.csv: this is a spreadsheet workbook and no CSV"},
		"empty":           {"", "tags.csv:1: no heading row; write tag,unit,note"},
		"misspelt":        {"tag,units\nQ,MGD\n", `tags.csv:1: unknown column "units" ("unit"?); the columns are tag, unit, note`},
		"twice":           {"tag,unit,tag\nQ,MGD,R\n", `tags.csv:1: column "tag" stands twice`},
		"missing":         {"tag\nQ\n", `tags.csv:1: column "unit" is missing`},
		"field too many":  {"tag,unit,note\nQ,MGD,in, out\n", `tags.csv:2: 4 fields under 3 headings; a text with "," in it stands between quotes`},
		"a wide export":   {strings.Repeat("a,", 30_000) + "\n", "tags.csv:1: a heading of 30001 columns; this is no such sheet"},
		"quotation marks": {"tag,unit,note\nA,MGD,\nQ,MGD,a 6\" pipe\n", `tags.csv:3: bare "`},
	} {
		var rows []row
		_, _, err := Read("tags.csv", []byte(c.text), columns, &rows)
		require.Error(t, err, name)
		require.True(t, strings.HasPrefix(err.Error(), c.first), "%s: %v", name, err)
	}
}

// TestEveryCellIsGuarded writes headings and cells that a spreadsheet would run;
// OWASP's page on CSV injection names the signs (from memory).
func TestEveryCellIsGuarded(t *testing.T) {
	type cells struct {
		A string `csv:"=HYPERLINK(1)"`
		N Number `csv:"n"`
		T Moment `csv:"t"`
	}
	in := []string{"=1+1", "+cmd", "-cmd", "@SUM(A1)", "\t=1", "\r=1", " =1", "\u00a0=1", "＝1", "|calc"}
	rows := []cells{{A: "-12.5", N: -12.5, T: At(0, time.UTC)}, {A: "fine", N: Number(math.NaN())}}
	for _, s := range in {
		rows = append(rows, cells{A: s})
	}
	text, err := Rows(rows, nil)
	require.NoError(t, err)
	require.NotContains(t, strings.ReplaceAll(string(text), "\r\n", ""), "\n")
	got, err := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff")))).ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{"'=HYPERLINK(1)", "n", "t"}, got[0])
	require.Equal(t, []string{"-12.5", "-12.5", "1970-01-01T00:00:00Z"}, got[1])
	require.Equal(t, []string{"fine", "", ""}, got[2])
	for i, s := range in {
		require.Equal(t, "'", got[3+i][0][:1], "%q", s)
		require.Equal(t, s, Plain(Neutral(s)))
	}
}

func TestByteOrderMarkOnlyWhereItIsNeeded(t *testing.T) {
	for note, want := range map[string]bool{"20 C": false, "20 °C": true} {
		text, err := Rows([]row{{Note: note}}, nil)
		require.NoError(t, err)
		require.Equal(t, want, bytes.HasPrefix(text, []byte("\ufeff")), note)
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte("tag,unit,note\nQ,MGD,\n"))
	f.Add([]byte("sep=;\ntag;unit\n"))
	f.Add([]byte("\xff\xfet\x00a\x00"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		var rows []row
		lines, _, err := Read("tags.csv", raw, columns, &rows)
		if err == nil {
			require.Len(t, lines, len(rows))
		}
	})
}
