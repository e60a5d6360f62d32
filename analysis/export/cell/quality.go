package cell

import (
	"bytes"
	"maps"
	"strconv"
	"strings"

	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/series"
)

// QualityCodes says how a quality column's numbers are meant.
type QualityCodes uint8

const (
	CodesUnknown QualityCodes = iota // words only, or numbers that tell nothing yet
	codesDA                          // OPC DA quality: low byte QQSSSSLL, 192 and up good
	codesUA                          // OPC UA status code: severity in bits 30 and 31, 0 good
	ZeroGood
	OneGood
	codesEither // of one tag that bears both: small ones of OPC DA, great ones of OPC UA
)

var QualityCodeNames = []string{"words", "OPC DA quality numbers", "OPC UA status codes", "0 for good", "1 for good", "OPC DA and OPC UA numbers"}

func ParseQualityCodes(s string) QualityCodes {
	switch s {
	case "opc-da":
		return codesDA
	case "opc-ua":
		return codesUA
	case "zero-good":
		return ZeroGood
	case "one-good":
		return OneGood
	}
	return CodesUnknown
}

// flag of a quality number. OPC DA: bits 6 and 7 of the low byte, 0 bad,
// 1 uncertain, 3 good (OPC 10000-8 A.3.2.3); 2 is not used by the standard
// and taken as uncertain. OPC UA: bits 30 and 31, 0 good, 1 uncertain, 2 and 3
// bad (OPC 10000-4, 7.39); a code with reserved bits is none of it. known is false where
// the number says nothing.
func (q QualityCodes) flag(code uint64) (f series.Flag, known bool) {
	bad := func(yes bool) (series.Flag, bool) {
		if yes {
			return series.Bad, true
		}
		return 0, true
	}
	switch q {
	case codesDA:
		switch code >> 6 & 3 {
		case 0:
			return series.Bad, true
		case 3:
			return 0, true
		}
		return series.Uncertain, true
	case codesUA:
		switch severity := code >> 30; {
		case code>>28&3 != 0 || severity == 3:
			return series.Uncertain, false
		case severity == 0:
			return 0, true
		case severity == 1:
			return series.Uncertain, true
		}
		return series.Bad, true
	case codesEither:
		switch {
		case code == 0: // good of the one, bad of the other
			return series.Uncertain, false
		case code < 1<<16:
			return codesDA.flag(code)
		}
		return codesUA.flag(code)
	case ZeroGood:
		return bad(code != 0)
	case OneGood:
		return bad(code == 0)
	}
	return series.Uncertain, false
}

// goodWords, uncertainWords, badWords: the first words of quality texts.
var (
	goodWords      = strings.Fields("good ok g valid raw normal true yes gut gültig accepted approved bon bonne bueno buena 良好 良 正常")
	uncertainWords = strings.Fields("uncertain questionable suspect doubtful estimated interpolated substituted manual held u q s e j unsicher annotated incertain incertaine douteux dudoso 不確か 不確定 注意")
	badWords       = strings.Fields("bad simulated simulation fail failed failure error invalid i/o timeout comm communication disconnected offline shutdown b f false no schlecht ungültig rejected missing nodata configure overflow underflow sensor device not out fehler mauvais mauvaise malo mala 不良 異常 無効 欠測")
)

// QualityReader turns quality cells into flags, remembering the last cell and
// every distinct one. Not safe for several goroutines; copy it.
type QualityReader struct {
	Codes   QualityCodes
	Words   map[string]series.Flag // what plant.toml says, lower case
	Last    []byte
	Flag    series.Flag
	Seen    map[string]series.Flag
	Unknown map[string]bool // words that say nothing to us: taken as uncertain
}

func (q *QualityReader) Read(b []byte) series.Flag {
	if bytes.Equal(b, q.Last) && q.Seen != nil {
		return q.Flag
	}
	f, ok := q.Seen[string(b)]
	if !ok {
		f = q.Parse(lex.Trim(b))
		if q.Seen == nil {
			q.Seen = map[string]series.Flag{}
		}
		if len(q.Seen) < 1000 {
			q.Seen[string(b)] = f
		}
	}
	q.Last = append(q.Last[:0], b...)
	q.Flag = f
	return f
}

// Parse reads a quality; blank says nothing and is taken as good.
func (q *QualityReader) Parse(b []byte) series.Flag {
	if len(b) == 0 {
		return 0
	}
	if len(q.Words) > 0 {
		if f, ok := q.Words[strings.ToLower(record.CleanName(b))]; ok {
			return f
		}
	}
	if code, ok := QualityNumber(b); ok {
		f, known := q.Codes.flag(code)
		if !known {
			q.unknown(b)
		}
		return f
	}
	if BlankWords[strings.ToLower(string(b))] { // NULL says no more than a blank
		return 0
	}
	switch string(b) {
	case "<", "<=", "≤": // signs of results that the column's heading did not tell
		return series.LessThan
	case ">", ">=", "≥":
		return series.GreaterThan
	}
	s := strings.ToLower(string(b))
	if f, ok := opcUANames[s]; ok {
		return f
	}
	w := strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune(" ,;:_-[]()", r) })
	f, ok := series.Flag(0), false
	for i, x := range w {
		if g, k := qualityWord(x); k && (i == 0 || g > f || f == 0 && g != 0) {
			if f != series.Bad {
				f, ok = g, true
			}
		}
	}
	if !ok {
		switch { // BadSensorFailure and the like
		case strings.HasPrefix(s, "bad"):
			return series.Bad
		case strings.HasPrefix(s, "uncertain"):
			return series.Uncertain
		case strings.HasPrefix(s, "good"):
			return 0
		}
		q.unknown(b)
		return series.Uncertain
	}
	return f
}

func (q *QualityReader) unknown(b []byte) {
	if q.Unknown == nil {
		q.Unknown = map[string]bool{}
	}
	if len(q.Unknown) < 50 {
		q.Unknown[string(b)] = true
	}
}

// opcUANames are status names whose parts mislead.
var opcUANames = map[string]series.Flag{"goodlocaloverride": 0}

func qualityWord(x string) (series.Flag, bool) {
	for _, g := range badWords {
		if x == g {
			return series.Bad, true
		}
	}
	for _, g := range uncertainWords {
		if x == g {
			return series.Uncertain, true
		}
	}
	for _, g := range goodWords {
		if x == g {
			return 0, true
		}
	}
	return 0, false
}

// PlausibleCode says whether a number can be a quality code at all: 0, 1, an OPC DA
// quality with a substatus of the standard (OPC 10000-8 A.3.2.3), or an OPC UA status
// code whose reserved bits are clear (OPC 10000-4, 7.39). -1 is none.
func PlausibleCode(code uint64) bool {
	switch {
	case code <= 1:
		return true
	case code < 1<<16:
		return daSubstatus[code&0xfc] && (code&3 == 0 || code&0xff >= 64)
	}
	return code >= 1<<22 && code>>28&3 == 0 && code>>30 != 3
}

var daSubstatus = map[uint64]bool{0: true, 4: true, 8: true, 12: true, 16: true, 20: true, 24: true, 28: true, 32: true,
	64: true, 68: true, 80: true, 84: true, 88: true, 192: true, 216: true}

// QualityNumber reads 192, 192.0, 0x80000000 or -2147483648 (a UA code kept in
// a signed column).
func QualityNumber(b []byte) (uint64, bool) {
	s := string(lex.Narrow(b))
	if len(s) > 2 && (s[:2] == "0x" || s[:2] == "0X") {
		v, err := strconv.ParseUint(s[2:], 16, 32)
		return v, err == nil
	}
	if i := strings.IndexByte(s, '>'); i > 1 && s[0] == '<' { // <0> (x): a code and its letter
		s = s[1:i]
	}
	s = strings.TrimSuffix(s, ".0")
	if v, err := strconv.ParseInt(s, 10, 64); err == nil && v >= -1<<31 && v < 1<<32 {
		return uint64(uint32(v)), true
	}
	return 0, false
}

// MixedCodes says whether the numbers met in a file cannot all be of one kind: those of
// OPC UA beside those of OPC DA, or of these beside a 1 that says good. Which tag bears
// which has to be looked at then: 0 is good of the one and bad of the other.
func MixedCodes(codes map[uint64]int) bool {
	da, ua := false, false
	for c := range codes {
		da = da || c > 1 && c < 1<<16 && PlausibleCode(c)
		ua = ua || c >= 1<<22 && PlausibleCode(c)
	}
	return da && (ua || codes[1] > 0)
}

// GuessTagCodes decides how the numbers of one tag in such a file are meant.
func GuessTagCodes(codes map[uint64]int) (q QualityCodes, sure bool) {
	telling := maps.Clone(codes)
	delete(telling, 0)
	delete(telling, 1)
	if MixedCodes(telling) {
		return codesEither, true
	}
	return GuessCodes(codes)
}

// GuessCodes decides how numbers are meant from those met in a sample. sure is
// false where 0 could as well mean good as bad.
func GuessCodes(codes map[uint64]int) (q QualityCodes, sure bool) {
	if len(codes) == 0 {
		return CodesUnknown, true
	}
	var da, ua, zero, one, other, odd int
	for c, n := range codes {
		switch {
		case c == 0:
			zero += n
		case c == 1:
			one += n
		case !PlausibleCode(c):
			odd += n
		case c >= 1<<22:
			ua += n
		case c&0xff >= 192:
			da += n
		default:
			other += n
		}
	}
	switch {
	case ua > 0:
		return codesUA, true
	case da > 0:
		return codesDA, true
	case odd > 0 && zero == 0 && one == 0: // numbers that tell nothing
		return CodesUnknown, false
	case odd == 0 && other > 0: // 64, 24 …: only OPC DA writes such numbers
		return codesDA, zero == 0
	case zero == 0:
		return OneGood, false
	case one == 0:
		return ZeroGood, false
	case one > zero:
		return OneGood, false
	}
	return ZeroGood, false
}
