package cell

import (
	"bytes"
	"fmt"
	"strings"

	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/lab"
	"weirbook/analysis/series"
)

// limitWords stand before a limit that a result lies below or above.
var limitWords = []struct {
	word string
	flag series.Flag
}{
	{"not detected", series.LessThan}, {"less than", series.LessThan}, {"below", series.LessThan},
	{"non-detect", series.LessThan}, {"nondetect", series.LessThan}, {"bdl", series.LessThan}, {"nd", series.LessThan}, {"lt", series.LessThan},
	{"greater than", series.GreaterThan}, {"above", series.GreaterThan}, {"gt", series.GreaterThan},
}

// limitResult reads results as laboratories write them without a sign: ND(0.05),
// ND < 0.05, LT 0.05 mg/L.
func limitResult(b []byte, dec byte) (CellValue, bool) {
	if len(b) > 40 {
		return CellValue{}, false
	}
	s := strings.ToLower(string(b))
	for _, l := range limitWords {
		if !strings.HasPrefix(s, l.word) {
			continue
		}
		rest := b[len(l.word):]
		for len(rest) > 0 && strings.IndexByte(" ([{<@:", rest[0]) >= 0 {
			rest = rest[1:]
		}
		for len(rest) > 0 && strings.IndexByte(" )]}", rest[len(rest)-1]) >= 0 {
			rest = rest[:len(rest)-1]
		}
		if len(rest) == 0 || rest[0]-'0' > 9 && rest[0] != dec {
			return CellValue{}, false
		}
		v := ReadValue(rest, dec)
		if v.Kind != CellNumber || v.State || v.Flag&^series.LessThan != 0 {
			return CellValue{}, false
		}
		v.Flag = l.flag
		return v, true
	}
	return CellValue{}, false
}

// NotDetected are results below a limit that they do not tell.
var NotDetected = lex.Set("nd", "n.d.", "n.d", "nd.", "not detected", "none detected", "non-detect", "nondetect", "non detect", "bdl", "bql", "bmdl", "bld",
	"below detection", "below detection limit", "<mdl", "< mdl", "<rl", "< rl", "<dl", "< dl", "<lod", "< lod", "<loq", "< loq", "<pql", "< pql", "<", "u", "不検出")

// LabValue reads a result with a word or letter of the laboratory before or behind
// it: TNTC (>200), 4 E, est 7; and 6 H, which is no hours. c is what the text was
// read as.
func LabValue(c CellValue, text []byte, dec byte) CellValue {
	letter := len(c.Unit) == 1 && strings.IndexByte("BEHJQ", c.Unit[0]) >= 0
	if c.Kind != CellText && !letter || len(text) > 40 {
		return c
	}
	m, rest, ok := lab.Split(record.DecodeText(text))
	if !ok {
		return c
	}
	v := ReadValue([]byte(rest), dec)
	f := labFlag(m)
	if v.Kind != CellNumber || v.State || f == 0 {
		return c
	}
	if v.Flag&(series.LessThan|series.GreaterThan) != 0 {
		f &^= series.LessThan | series.GreaterThan
	}
	v.Flag |= f
	return v
}

// BelowLimit reads a result that says only that it lies below a limit with the limit
// that its row states: ND beside 0.05 is <0.05. as is what stands in the sheet then.
func BelowLimit(c CellValue, text, limit []byte, dec byte) (v CellValue, as []byte) {
	if m, ok := lab.Of(record.DecodeText(lex.Trim(text))); !ok || !m.Below() {
		return c, text
	}
	v = ReadValue(limit, dec)
	if v.Kind != CellNumber || v.State || !(v.V > 0) || v.Flag&series.GreaterThan != 0 {
		return c, text
	}
	v.Flag |= series.LessThan
	return v, append(append(append([]byte(nil), lex.Trim(text)...), " <"...), bytes.TrimLeft(limit, "< ")...)
}

// labFlag is what a laboratory's word says of a number that it stands beside. A
// word that says why there is no number leaves one that is there in doubt.
func labFlag(m lab.Meaning) series.Flag {
	switch {
	case m.Below():
		return series.LessThan
	case m == lab.TooMany:
		return series.GreaterThan
	case m == lab.Rejected:
		return series.Bad
	case m == lab.NoResult:
		return 0
	}
	return series.Uncertain
}

// UndetectedMessage says what results without their limit do.
func UndetectedMessage(tag string, words map[string]int) string {
	n := 0
	var met []string
	for _, w := range lex.SortedKeys(words) {
		if NotDetected[strings.ToLower(w)] {
			n += words[w]
			met = append(met, fmt.Sprintf("%q", w))
		}
	}
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("tag %s: %s below a limit that the export does not tell (%s) and %s set aside: a mean over the others is too high. State the laboratory's limit under [[lab]] in plant.toml",
		tag, lex.Counted(n, "result is", "results are"), strings.Join(met, ", "), lex.Pick(n, "is", "are"))
}

// Leading takes apart a number and words behind it that no list explains: 12.0
// (resample).
func Leading(text []byte, dec byte) (c CellValue, rest []byte, ok bool) {
	text = lex.Trim(text)
	i := 0
	for i < len(text) && strings.IndexByte("0123456789.,<>", text[i]) >= 0 {
		i++
	}
	rest = lex.Trim(text[i:])
	if i == 0 || len(rest) == 0 || len(text) > 100 {
		return c, nil, false
	}
	c = ReadValue(text[:i], dec)
	return c, rest, c.Kind == CellNumber && !c.State
}
