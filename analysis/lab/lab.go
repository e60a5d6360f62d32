// Package lab holds the words and codes that laboratories write in place of a
// result, or beside one, and the cells in which they stood.
//
// What a word means is common practice of the trade, no source: laboratories and
// regulators keep lists of their own, and a plant states its own in plant.toml
// under [[code]], which counts before this list.
package lab

import "strings"

// Cell is one cell of a sampled tag that held more than a plain number: a sign,
// a letter, a word, or a code beside it.
type Cell struct {
	T         int64   // Unix milliseconds
	Text      string  // as it stands in the result's place; may be empty
	Qualifier string  // as it stands in a column of its own; may be empty
	Kind      string  // of a sample that controls the laboratory's work: Field Blank, Duplicate; else empty
	Number    bool    // the reader took a number from it
	Value     float64 // that number, or one that stands before Beside, in the tag's working unit
	Beside    string  // what stands behind a number that the reader did not take for that reason
	BadUnit   string  // its unit, where it cannot be read or converted: no number is taken
	Twice     bool    // it stands in the file before, and is counted once
	File      string
	Line      int
}

// Written is the cell as it stands in the sheet, a qualifier of its own column
// in front.
func (c Cell) Written() string {
	return strings.TrimSpace(strings.TrimSpace(c.Qualifier) + " " + strings.TrimSpace(c.Text))
}

// Meaning is what a word says of a result. The empty meaning: not known.
type Meaning string

// Meanings, which are also the words of plant.toml, [[code]] key means. The
// first six are results; Estimated and Used leave the number as it is; the others are
// reasons why there is no result.
const (
	NotDetected    Meaning = "not detected"    // below a limit that the word does not tell
	BelowDetection Meaning = "below detection" // below the detection limit
	BelowReporting Meaning = "below reporting" // below the reporting limit
	TooMany        Meaning = "too many to count"
	Absent         Meaning = "absent"  // of a test for presence: below 1 in 100 mL
	Present        Meaning = "present" // of such a test: 1 in 100 mL or more
	Estimated      Meaning = "estimated"
	Used           Meaning = "used" // the number beside the word counts

	NotSampled  Meaning = "not sampled"
	Lost        Meaning = "sample lost"
	LabError    Meaning = "laboratory error"
	Rejected    Meaning = "rejected"
	NoDischarge Meaning = "no discharge"
	OffSeason   Meaning = "off season"
	Bypass      Meaning = "bypass"
	Excluded    Meaning = "excluded"
	NoResult    Meaning = "no result" // no reason told
)

// Meanings lists them as plant.toml writes them.
func Meanings() []string {
	var out []string
	for _, m := range []Meaning{NotDetected, BelowDetection, BelowReporting, TooMany, Absent, Present, Estimated, Used,
		NotSampled, Lost, LabError, Rejected, NoDischarge, OffSeason, Bypass, Excluded, NoResult} {
		out = append(out, string(m))
	}
	return out
}

// Below says that the meaning is a result below some limit.
func (m Meaning) Below() bool { return m == NotDetected || m == BelowDetection || m == BelowReporting }

// Result says that the word stands for a result, if one without a number.
func (m Meaning) Result() bool { return m.Below() || m == TooMany || m == Absent || m == Present }

// vocabulary: each meaning's words, folded as by Fold.
var vocabulary = map[Meaning]string{
	NotDetected:    "nd|non detect|nondetect|non detected|not detected|none detected|undetected|u|uj|<|nn|n n|nicht nachweisbar|nicht nachgewiesen|no detectado|non détecté|不検出",
	BelowDetection: "bdl|bmdl|bld|below detection|below detection limit|below method detection limit|<mdl|<dl|<lod|below mdl|<det|less than detection|<nwg|unter nachweisgrenze",
	BelowReporting: "brl|bql|bpql|<rl|<loq|<pql|<ml|<mrl|below rl|below reporting limit|below quantitation limit|below quantification limit|less than rl|<bg|unter bestimmungsgrenze",
	TooMany:        "tntc|too numerous to count|too many to count|cg|confluent|confluent growth|tntc/cg",
	Absent:         "absent|a|abs|negative|neg|not present|absence",
	Present:        "present|p|pres|positive|pos|presence",
	Estimated:      "j|e|est|estimated|estimate|ca|approx|approximately|~",
	Used:           "b|h|q|*", // a blank that held some, a holding time, a question of quality, a footnote
	NotSampled: "ns|n/s|no sample|not sampled|no sample taken|sample not taken|not taken|missed|missed sample|not collected|not analyzed|not analysed|not tested|na|nt|no flow sample|" +
		"holiday|weekend|forgot|insufficient sample|insufficient volume|ins sample|ins vol|qns|quantity not sufficient|not required",
	Lost:        "broken|bottle broken|broken bottle|sample broken|lost|sample lost|lost in transit|lost in shipping|lost in lab|spilled|spilt|leaked|frozen|sample frozen|missing|hold time|hold time exceeded|expired|overheld",
	LabError:    "lab error|laboratory error|lab accident|la|analytical error|equipment failure|instrument failure|incubator failure|lab closed|error|failed|fail|bad|fault",
	Rejected:    "r|rejected|reject|qc fail|qc failed|qc failure|fails qc|failed qc|invalid|void|voided|contaminated|blank contaminated|spreader",
	NoDischarge: "no discharge|nodischarge|no flow|not discharging|dry",
	OffSeason:   "off season|out of season|not in season|offseason",
	Bypass:      "bypass|bypassed",
	Excluded:    "excluded|exclude|omit|omitted",
	NoResult:    "|none|null|nil|nan|n/a|#n/a|x|pending|see note|see report|tbd|nodi|no data",
}

var meanings = func() map[string]Meaning {
	out := map[string]Meaning{}
	for m, words := range vocabulary {
		for _, w := range strings.Split(words, "|") {
			out[w] = m
		}
	}
	return out
}()

// Fold writes a word as the list has it: small letters, single spaces, without
// full stops, hyphens, underscores and brackets around it.
func Fold(s string) string {
	s = strings.ToLower(strings.TrimSpace(s))
	if b, n := s, len(s); n > 2 && strings.IndexByte("([{", b[0]) >= 0 && strings.IndexByte(")]}", b[n-1]) >= 0 {
		s = s[1 : n-1]
	}
	s = strings.NewReplacer(".", "", "-", " ", "_", " ", "–", " ").Replace(s)
	s = strings.Join(strings.Fields(s), " ")
	return strings.ReplaceAll(s, "< ", "<")
}

// Of gives the meaning of a word; "" and false where it is not known. A code of
// "no data" (NODI 9) is a reason whose letters only the regulator's list explains.
func Of(word string) (Meaning, bool) {
	f := Fold(word)
	if m, ok := meanings[f]; ok {
		return m, true
	}
	if rest, ok := strings.CutPrefix(f, "nodi"); ok && len(rest) <= 4 {
		return NoResult, true
	}
	return "", false
}

// Split takes a word before or behind a number apart: "TNTC (>200)", "4 E",
// "est. 7". ok says that the word is known and that something else stands there.
func Split(text string) (m Meaning, rest string, ok bool) {
	text = strings.TrimSpace(text)
	// Behind: from the last digit on.
	if i := strings.LastIndexAny(text, "0123456789"); i >= 0 && i+1 < len(text) {
		if m, ok := Of(text[i+1:]); ok && Fold(text[i+1:]) != "" && strings.Trim(text[i+1:], ".)]} ") != "" {
			return m, strings.TrimSpace(text[:i+1]), true
		}
	}
	i := strings.IndexAny(text, "<>≤≥=(0123456789")
	if i <= 0 {
		return "", "", false
	}
	m, ok = Of(strings.TrimRight(text[:i], " :="))
	if !ok || Fold(text[:i]) == "" {
		return "", "", false
	}
	return m, strings.Trim(text[i:], " ()[]{}="), true
}
