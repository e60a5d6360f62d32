package export

import (
	"fmt"
	"strings"

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
func limitResult(b []byte, dec byte) (cellValue, bool) {
	if len(b) > 40 {
		return cellValue{}, false
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
			return cellValue{}, false
		}
		v := readValue(rest, dec)
		if v.kind != cellNumber || v.state || v.flag&^series.LessThan != 0 {
			return cellValue{}, false
		}
		v.flag = l.flag
		return v, true
	}
	return cellValue{}, false
}

// notDetected are results below a limit that they do not tell.
var notDetected = set("nd", "n.d.", "n.d", "nd.", "not detected", "none detected", "non-detect", "nondetect", "non detect", "bdl", "bql", "bmdl", "bld",
	"below detection", "below detection limit", "<mdl", "< mdl", "<rl", "< rl", "<dl", "< dl", "<lod", "< lod", "<loq", "< loq", "<pql", "< pql", "<", "u", "不検出")

// toldUndetected says what results without their limit do.
func toldUndetected(tag string, words map[string]int) string {
	n := 0
	var met []string
	for _, w := range sortedKeys(words) {
		if notDetected[strings.ToLower(w)] {
			n += words[w]
			met = append(met, fmt.Sprintf("%q", w))
		}
	}
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("tag %s: %s below a limit that the export does not tell (%s) and %s set aside: a mean over the others is too high. Write the limit into the export, as in <0.05",
		tag, counted(n, "result is", "results are"), strings.Join(met, ", "), pick(n, "is", "are"))
}
