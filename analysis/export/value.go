package export

import (
	"bytes"
	"strings"

	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// What a value cell held.
type cellKind uint8

const (
	cellNumber cellKind = iota
	cellBlank
	cellText
	cellBadWord  // text that says the signal was lost: a bad reading without a number
	cellOverflow // a number no float holds
)

// cellValue is a value cell taken apart.
type cellValue struct {
	kind  cellKind
	v     float64
	flag  series.Flag // LessThan, GreaterThan; Uncertain where it bears a mark
	unit  []byte      // unit in the cell
	state bool        // v stands for an on or off word
}

// readValue takes a value cell apart. dec is the file's decimal mark.
func readValue(b []byte, dec byte) cellValue {
	b = trim(b)
	if len(b) == 0 {
		return cellValue{kind: cellBlank}
	}
	var flag series.Flag
	c := b
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
	c = trim(c)
	if n := len(c); n > 2 && c[0] == '(' && c[n-1] == ')' && flag == 0 { // a negative number, as spreadsheets write it
		if in := readValue(c[1:n-1], dec); in.kind == cellNumber && in.flag == 0 && !in.state && len(in.unit) == 0 && in.v >= 0 {
			return cellValue{v: 0 - in.v}
		}
	}
	v, n := parseNumber(c, dec)
	if n > 0 && n == len(c) {
		return cellValue{v: v, flag: flag}
	}
	if g, ok := groupedNumber(c, dec); ok {
		return cellValue{v: g, flag: flag}
	}
	if n == 0 {
		// A minus sign from a word processor.
		if bytes.HasPrefix(c, []byte("−")) {
			if v, n := parseNumber(c[3:], dec); n > 0 && n == len(c)-3 {
				return cellValue{v: -v, flag: flag}
			}
		}
		if flag == 0 {
			if v, ok := limitResult(c, dec); ok {
				return v
			}
		}
		return wordValue(b, c, flag)
	}
	// A number and a unit; the number may have thousands separators.
	i := n
	for i < len(c) && (c[i]-'0' <= 9 || c[i] == dec || c[i] == ',' || c[i] == '.') {
		i++
	}
	if i > n {
		if g, ok := groupedNumber(c[:i], dec); ok {
			v, n = g, i
		} else {
			return cellValue{kind: cellText}
		}
	}
	u := trim(c[n:])
	if len(u) > 24 || len(u) == 0 || string(u) == "-" { // 3.5-: a minus sign behind, or a slip
		return cellValue{kind: cellText}
	}
	switch string(u) {
	case "*", "J": // a footnote mark: there is something about it; J: estimated by the laboratory
		return cellValue{v: v, flag: flag | series.Uncertain}
	case "U", "u": // a laboratory's mark of a result that was not detected
		if flag == 0 {
			flag = series.LessThan
		}
		return cellValue{v: v, flag: flag}
	}
	if _, err := quantity.ParseUnit(decodeText(u)); err != nil {
		return cellValue{kind: cellText, unit: u, v: v}
	}
	return cellValue{v: v, flag: flag, unit: u}
}

// stateWords are the words of two-state signals.
var stateWords = map[string]float64{
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

var blankWords = map[string]bool{"-": true, "--": true, "---": true, "null": true, "nil": true, "none": true, "nan": true, "na": true, "n/a": true, "#n/a": true, "\\n": true}

func wordValue(whole, c []byte, flag series.Flag) cellValue {
	if len(whole) > 40 {
		return cellValue{kind: cellText}
	}
	if overflows(c) {
		return cellValue{kind: cellOverflow}
	}
	s := strings.ToLower(string(whole))
	if v, ok := stateWords[s]; ok {
		return cellValue{v: v, state: true}
	}
	switch {
	case lostWords[s]:
		return cellValue{kind: cellBadWord}
	case blankWords[s]:
		return cellValue{kind: cellBlank}
	}
	return cellValue{kind: cellText}
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
