package layout

import (
	"fmt"
	"strconv"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/sample"
)

// qualityOf says whether a heading is one of a quality column, and which column's
// it says: "FIT201" of "FIT201.Q", "FIT201 (Status)" and "Quality FIT201", nothing of "Quality".
func qualityOf(h string) (name string, ok bool) {
	if i := strings.LastIndexAny(h, "([{"); i > 0 && strings.ContainsAny(h[len(h)-1:], ")]}") {
		if sample.QualityHeads[strings.ToLower(strings.TrimSpace(h[i+1:len(h)-1]))] {
			return strings.TrimSpace(h[:i]), true
		}
	}
	b := cell.Bare(h)
	for _, w := range []string{"quality", "quality of", "qual", "status of"} {
		if rest, ok := strings.CutPrefix(b, w); ok && rest != "" && strings.IndexByte(" ._", rest[0]) >= 0 && len(sample.TagWords(rest)) > 0 {
			return strings.Trim(rest, " ._"), true
		}
	}
	if !sample.IsQualityHead(h) {
		return "", false
	}
	if sample.QualityHeads[b] {
		return "", true
	}
	if i := strings.LastIndexAny(b, " ._"); i > 0 {
		return strings.TrimRight(b[:i], " ._"), true
	}
	return "", true
}

// processWords are what has a state of its own: "pump status" is no quality.
var processWords = lex.Set("pump", "pumps", "run", "running", "runs", "valve", "motor", "mixer", "blower", "fan", "gate", "alarm", "mode", "auto", "drive", "heater", "power", "pumpe", "ventil", "betrieb", "pompe", "vanne", "bomba", "válvula")

// headWords is what the headings of a table say, worked out once.
type headWords struct {
	plain   []string        // see PlainHead
	quality []bool          // by its own words, a quality
	of      []string        // the name it then bears, plain
	others  map[string]bool // plain headings of the columns that are none
	all     string          // of these, without hyphens
}

func (f *Layout) headWords() *headWords {
	if f.heads != nil {
		return f.heads
	}
	h := &headWords{others: map[string]bool{}}
	var all strings.Builder
	for k := range f.Cols {
		name, q := qualityOf(f.Cols[k].Head)
		plain := sample.PlainHead(f.Cols[k].Head)
		h.plain, h.quality, h.of = append(h.plain, plain), append(h.quality, q), append(h.of, sample.PlainHead(name))
		if !q {
			h.others[plain] = true
			all.WriteString(" " + strings.ReplaceAll(plain, "-", ""))
		}
	}
	for k, plain := range h.plain { // F_Temp beside Temp
		if of, ok := flagOf(plain); ok && !h.quality[k] && h.others[of] {
			h.quality[k], h.of[k] = true, of
		}
	}
	h.all = all.String()
	f.heads = h
	return h
}

// flagPrefixes stand before the name of the column whose flags a column holds.
var flagPrefixes = lex.Set("f", "fl", "flag", "flags", "q", "qc", "qf", "qual", "status")

// flagOf takes such a prefix off a plain heading.
func flagOf(plain string) (name string, ok bool) {
	word, rest, ok := strings.Cut(plain, " ")
	return rest, ok && flagPrefixes[word]
}

// ownState says whether a column headed as the status of something that no other column
// is named after holds numbers which need not be quality codes: it is a signal of its
// own.
func (f *Layout) ownState(k int, q *sample.ColKind) bool {
	name := f.headWords().of[k]
	if name == "" || plainlyQuality(f.Cols[k].Head) || q.Full() == 0 || q.Number < q.Full() {
		return false
	}
	for s := range q.Distinct {
		if code, ok := cell.QualityNumber([]byte(s)); ok && code > 1 && cell.PlausibleCode(code) {
			return false
		}
	}
	for other := range f.headWords().others {
		if other == name || strings.HasPrefix(other, name+" ") || strings.HasPrefix(name, other+" ") {
			return false
		}
	}
	return true
}

// askCodes asks about a column headed as a quality whose numbers are none.
func (f *Layout) askCodes(k int, q *sample.ColKind, taken string) {
	some := lex.SortedKeys(q.Distinct)
	f.Ask(ledger.Question{Key: "quality_column", Values: []string{f.label(k)}}, f.Skip, "column %q is headed as a quality, and its numbers (%s) are no quality codes; it is %s. If it is the quality, write quality_column = %q and quality_codes = \"zero-good\" or \"one-good\" for the file under [[source]] in plant.toml",
		f.label(k), strings.Join(some[:min(len(some), 4)], ", "), taken, f.label(k))
}

// qualityHead says whether column k is headed as a quality of the values here,
// and not as the state of something else: "P204 pump status".
func (f *Layout) qualityHead(k int) bool {
	h := f.headWords()
	if !h.quality[k] || f.noQuality {
		return false
	}
	name := h.of[k]
	if name == "" || h.others[name] {
		return true
	}
	for _, w := range strings.Fields(name) {
		if processWords[w] {
			return false
		}
	}
	for _, w := range sample.TagWords(name) {
		if !strings.Contains(h.all, w) {
			return false
		}
	}
	return true
}

// plainlyQuality says whether a heading can mean nothing else, so that words which
// we do not know are words of quality all the same.
func plainlyQuality(h string) bool {
	b := strings.Trim(strings.ToLower(h), " :*#()[]{}")
	for _, w := range []string{"quality", "qual", "qualität", "品質"} {
		if strings.HasSuffix(b, w) {
			return true
		}
	}
	return false
}

// qualityCells counts the sample's cells that can be a quality.
func (f *Layout) qualityCells(q *sample.ColKind) int {
	n := q.Quality
	for s, k := range q.Distinct {
		if _, ok := f.QualityWords[strings.ToLower(record.CleanName([]byte(s)))]; ok && !sample.IsQualityCell([]byte(s)) {
			n += k
		}
	}
	return n
}

// pairQualities gives the quality columns of a wide file to the values they
// speak of: by the name they bear, else by where they stand. One that bears no
// name and stands behind all of several values, or before them, is the row's.
func (f *Layout) pairQualities() {
	values := f.columnsOf(RoleValue)
	used := map[int]bool{}
	give := func(q, v int) {
		if f.Cols[v].Quality == 0 {
			f.Cols[v].Quality = q + 1
			used[q] = true
		}
	}
	unnamed, row := f.namedQualities(values, give)
	f.unnamedQualities(values, unnamed, row, give)
	for _, k := range f.columnsOf(RoleQuality) {
		if !used[k] {
			f.Cols[k].Role = RoleSkip
		}
	}
	// The quick ways through a row take what stands right behind a value.
	for i, v := range values {
		behind := 0
		for k := v + 1; k < len(f.Cols) && (i+1 == len(values) || k < values[i+1]); k++ {
			if f.Cols[k].Role == RoleQuality {
				behind = k + 1
			}
		}
		f.Scattered = f.Scattered || behind != f.Cols[v].Quality
	}
}

func (f *Layout) columnsOf(r Role) (out []int) {
	for k := range f.Cols {
		if f.Cols[k].Role == r {
			out = append(out, k)
		}
	}
	return out
}

// namedQualities gives qualities to the values whose names they bear. Those that are left
// are given back, and of them those that bear no name.
func (f *Layout) namedQualities(values []int, give func(q, v int)) (unnamed, row []int) {
	heads := f.headWords()
	bears := map[string]int{} // quality columns by the name they bear
	for _, k := range f.columnsOf(RoleQuality) {
		bears[heads.of[k]]++
	}
	for _, k := range f.columnsOf(RoleQuality) {
		name := heads.of[k]
		own := f.valuesNamed(name, values)
		switch {
		case name == "":
			row = append(row, k)
			unnamed = append(unnamed, k)
		case len(own) == 0 || len(own) > 1 && bears[name] > 1:
			unnamed = append(unnamed, k)
		default:
			for _, v := range own {
				give(k, v)
			}
		}
	}
	return unnamed, row
}

// unnamedQualities gives qualities to values by where they stand.
func (f *Layout) unnamedQualities(values, unnamed, row []int, give func(q, v int)) {
	if len(values) == 0 || len(unnamed) == 0 {
		return
	}
	first, last := values[0], values[len(values)-1]
	together := unnamed[0] > last || unnamed[len(unnamed)-1] < first
	switch {
	case len(values) > 1 && len(unnamed) == 1 && len(row) == 1 && (row[0] > last || row[0] < first):
		given := false
		for _, v := range values {
			given = given || f.Cols[v].Quality == 0
			give(row[0], v)
		}
		if given {
			f.Note(ledger.Note, f.Skip, "column %q stands for the whole row: it is taken as the quality of every value in it%s", f.label(row[0]), noneHint)
		}
	case together && len(unnamed) == len(values) && len(values) > 1:
		for i, k := range unnamed {
			give(k, values[i])
		}
	default:
		before := unnamed[0] < first // each stands before its value
		for _, k := range unnamed {
			at := -1
			for _, v := range values {
				if v < k && !before || v > k && before && at < 0 {
					at = v
				}
			}
			if at >= 0 {
				give(k, at)
			}
		}
	}
}

// valuesNamed finds the value columns that bear a name: just that, else with
// more behind it, else a part of it.
func (f *Layout) valuesNamed(name string, values []int) []int {
	if name == "" {
		return nil
	}
	for _, is := range []func(v string) bool{
		func(v string) bool { return v == name },
		func(v string) bool { return strings.HasPrefix(v, name+" ") },
		func(v string) bool { return v != "" && strings.HasPrefix(name, v+" ") },
	} {
		var own []int
		for _, v := range values {
			if is(f.heads.plain[v]) {
				own = append(own, v)
			}
		}
		if len(own) > 0 {
			return own
		}
	}
	return nil
}

// label names column k for a message.
func (f *Layout) label(k int) string {
	if h := f.Cols[k].Head; h != "" {
		return h
	}
	return "column " + strconv.Itoa(k+1)
}

// qualityLabels names the columns taken as quality.
func (f *Layout) qualityLabels() (out []string) {
	for k := range f.Cols {
		if f.Cols[k].Role == RoleQuality {
			out = append(out, f.label(k))
		}
	}
	return out
}

// noneHint says how to have no quality.
const noneHint = `. If it is no quality, write quality_column = "none" for the file under [[source]] in plant.toml`

// CodesQuestion asks how quality numbers are meant that do not tell it.
func (f *Layout) CodesQuestion() string {
	return "the quality in " + columnsNamed(f.qualityLabels()) + " is only 0 and 1, or 0 beside numbers that tell nothing: taken as " + cell.QualityCodeNames[f.Codes] +
		`. If that is wrong, write quality_codes = "opc-da", "opc-ua", "zero-good" or "one-good" for the file under [[source]] in plant.toml; if it is no quality, quality_column = "none"`
}

// BadQuestion asks about a quality that makes a good part of the readings bad.
func (f *Layout) BadQuestion(bad, used int) string {
	return fmt.Sprintf("by the quality in %s, read as %s, %d of %d readings are bad and not used in any mean", columnsNamed(f.qualityLabels()), cell.QualityCodeNames[f.Codes], bad, used) + noneHint
}

// columnsNamed lists headings for a message.
func columnsNamed(heads []string) string {
	return lex.Pick(len(heads), "column ", "columns ") + quotedHeads(heads)
}

func quotedHeads(heads []string) string {
	const most = 12
	more := ""
	if n := len(heads); n > most {
		heads, more = heads[:most], fmt.Sprintf(" and %d more", n-most)
	}
	quoted := make([]string, len(heads))
	for i, h := range heads {
		quoted[i] = strconv.Quote(h)
	}
	return strings.Join(quoted, ", ") + more
}
