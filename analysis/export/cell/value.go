// Package cell reads a cell as a value: number, limit, word or blank; as the flag
// that a quality or a sign asks for; and as what a tag's rule makes of it, in the
// tag's working unit.
package cell

import (
	"bytes"
	"strings"

	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// What a value cell held.
type cellKind uint8

const (
	CellNumber cellKind = iota
	CellBlank
	CellText
	CellBadWord  // text that says the signal was lost: a bad reading without a number
	CellOverflow // a number no float holds
)

// CellValue is a value cell taken apart.
type CellValue struct {
	Kind  cellKind
	V     float64
	Flag  series.Flag // LessThan, GreaterThan; Uncertain where it bears a mark
	Unit  []byte      // unit in the cell
	State bool        // v stands for an on or off word
}

// ReadValue takes a value cell apart. dec is the file's decimal mark.
func ReadValue(b []byte, dec byte) CellValue {
	b = lex.Narrow(lex.Trim(b))
	if len(b) == 0 {
		return CellValue{Kind: CellBlank}
	}
	if noNumber(b) {
		return CellValue{Kind: CellBlank}
	}
	flag, c := limitSign(b)
	if n := len(c); n > 2 && c[0] == '(' && c[n-1] == ')' && flag == 0 { // a negative number, as spreadsheets write it
		if in := ReadValue(c[1:n-1], dec); in.Kind == CellNumber && in.Flag == 0 && !in.State && len(in.Unit) == 0 && in.V >= 0 {
			return CellValue{V: 0 - in.V}
		}
	}
	v, n := lex.ParseNumber(c, dec)
	if n > 0 && n == len(c) {
		return CellValue{V: v, Flag: flag}
	}
	if g, ok := lex.GroupedNumber(c, dec); ok {
		return CellValue{V: g, Flag: flag}
	}
	if n == 0 {
		// A minus sign from a word processor.
		if bytes.HasPrefix(c, []byte("−")) {
			if v, n := lex.ParseNumber(c[3:], dec); n > 0 && n == len(c)-3 {
				return CellValue{V: -v, Flag: flag}
			}
		}
		if flag == 0 {
			if v, ok := limitResult(c, dec); ok {
				return v
			}
		}
		return wordValue(b, c, flag)
	}
	return withUnit(c, v, n, dec, flag)
}

// limitSign takes a sign of less or greater off a cell.
func limitSign(b []byte) (flag series.Flag, c []byte) {
	c = b
	switch {
	case c[0] == '<':
		flag, c = series.LessThan, c[1:]
	case c[0] == '>':
		flag, c = series.GreaterThan, c[1:]
	case bytes.HasPrefix(c, []byte("≤")):
		flag, c = series.LessThan, c[3:]
	case bytes.HasPrefix(c, []byte("≥")):
		flag, c = series.GreaterThan, c[3:]
	}
	if flag != 0 && len(c) > 0 && c[0] == '=' {
		c = c[1:]
	}
	return flag, lex.Trim(c)
}

// withUnit reads a number of n bytes and what stands behind it; the number may have
// thousands separators.
func withUnit(c []byte, v float64, n int, dec byte, flag series.Flag) CellValue {
	i := n
	for i < len(c) && (c[i]-'0' <= 9 || c[i] == dec || c[i] == ',' || c[i] == '.') {
		i++
	}
	if i > n {
		if g, ok := lex.GroupedNumber(c[:i], dec); ok {
			v, n = g, i
		} else {
			return CellValue{Kind: CellText}
		}
	}
	u := lex.Trim(c[n:])
	if len(u) > 24 || len(u) == 0 || string(u) == "-" { // 3.5-: a minus sign behind, or a slip
		return CellValue{Kind: CellText}
	}
	switch string(u) {
	case "*", "J": // a footnote mark: there is something about it; J: estimated by the laboratory
		return CellValue{V: v, Flag: flag | series.Uncertain}
	case "U", "u": // a laboratory's mark of a result that was not detected
		if flag == 0 {
			flag = series.LessThan
		}
		return CellValue{V: v, Flag: flag}
	}
	if _, err := quantity.ParseUnit(record.DecodeText(u)); err != nil {
		return CellValue{Kind: CellText, Unit: u, V: v}
	}
	return CellValue{V: v, Flag: flag, Unit: u}
}

// noNumber says whether a cell is how programs print a number that is none: 1.#QNAN,
// -1.#IND00, #-1.
func noNumber(b []byte) bool {
	i := bytes.IndexByte(b, '#')
	if i < 0 || len(b) > 12 {
		return false
	}
	if i == 0 {
		return string(b) == "#-1"
	}
	switch string(bytes.TrimLeft(b[:i], "+-")) {
	case "1.", "1,":
		word := strings.ToUpper(strings.TrimRight(string(b[i+1:]), "0"))
		return word == "QNAN" || word == "SNAN" || word == "IND" || word == "J" || word == "R"
	}
	return false
}

// sheetErrors are what spreadsheets and add-ins print for a value that there is not.
var sheetErrors = map[string]bool{"#-1": true, "#n/a": true, "#na": true, "#value!": true, "#ref!": true, "#div/0!": true, "#num!": true, "#name?": true, "#null!": true}

// BeginsWithError says whether a row's first cell is such a word: the row is no remark,
// though it begins like one.
func BeginsWithError(row []byte, sep byte) bool {
	first, _, _ := bytes.Cut(row, []byte{sep})
	return len(first) < 12 && sheetErrors[strings.ToLower(string(lex.Trim(first)))]
}

// StateWords are the words of two-state signals.
var StateWords = map[string]float64{
	"on": 1, "off": 0, "run": 1, "running": 1, "stop": 0, "stopped": 0, "true": 1, "false": 0,
	"open": 1, "opened": 1, "closed": 0, "close": 0, "yes": 1, "no": 0, "start": 1, "started": 1,
	"enabled": 1, "disabled": 0, "active": 1, "inactive": 0, "ein": 1, "aus": 0, "in service": 1, "out of service": 0,
}

// lostWords say that the signal was lost, in the value's place.
var lostWords = map[string]bool{
	"bad": true, "bad input": true, "i/o timeout": true, "comm fail": true, "comm failure": true, "not connected": true,
	"no good data": true, "bad quality": true, "sensor failure": true, "failed": true, "fault": true, "shutdown": true,
	"offline": true, "out of range": true, "over range": true, "under range": true,
}

var BlankWords = map[string]bool{"-": true, "--": true, "---": true, "null": true, "nil": true, "none": true, "nan": true, "na": true, "n/a": true, "#n/a": true, "\\n": true}

func wordValue(whole, c []byte, flag series.Flag) CellValue {
	if len(whole) > 40 {
		return CellValue{Kind: CellText}
	}
	if overflows(c) {
		return CellValue{Kind: CellOverflow}
	}
	s := strings.ToLower(string(whole))
	if v, ok := StateWords[s]; ok {
		return CellValue{V: v, State: true}
	}
	switch {
	case lostWords[s]:
		return CellValue{Kind: CellBadWord}
	case BlankWords[s]:
		return CellValue{Kind: CellBlank}
	}
	return CellValue{Kind: CellText}
}

// overflows says whether c is written as a number that no float holds.
func overflows(c []byte) bool {
	if len(c) == 0 || c[0]-'0' > 9 && c[0] != '-' && c[0] != '+' && c[0] != '.' {
		return false
	}
	any := false
	for _, x := range c {
		if x-'0' <= 9 {
			any = true
		} else if !strings.ContainsRune("+-.,eE", rune(x)) {
			return false
		}
	}
	return any && len(c) > 3
}

// IsNumberCell says whether a cell is a number without a unit.
func IsNumberCell(t []byte, dec byte) bool {
	v := ReadValue(t, dec)
	return v.Kind == CellNumber && !v.State && len(v.Unit) == 0
}

func Numeric(b []byte) bool {
	t := lex.Trim(b)
	_, n := lex.ParseNumber(t, '.')
	return n > 0 && n == len(t)
}

// Bare is a heading without its bracketed part, lower case.
func Bare(h string) string {
	h = strings.ToLower(h)
	if i := strings.IndexAny(h, "([{"); i > 0 {
		h = h[:i]
	}
	return strings.TrimSpace(strings.Trim(h, " :*#"))
}
