package discharge

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"
	"time"

	"weirbook/analysis/lab"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// LabResults gives everything that the sheets of a sampled tag hold from one time
// to another (Unix milliseconds), as the month reads it: numbers, words that are
// results, and reasons why there is none. Values are in the tag's working unit.
func LabResults(p *plant.Plant, t TagData, from, to int64) []Result {
	info, _ := quantity.Of(t.Tag.Measures)
	b := &bench{in: Input{Plant: p}}
	out := b.resultsOf(&column{kind: t.Tag.Measures, at: t.Tag.At, unit: info.Working, treat: treatment{fixed: -1, level: -1}}, t, from, to)
	sort.SliceStable(out, func(i, j int) bool { return out[i].T < out[j].T })
	return out
}

// resultsOf gives everything that a sampled tag's sheets hold in [first, last): the
// numbers, the results that are words, and the reasons why there is none.
func (b *bench) resultsOf(c *column, t TagData, first, last int64) []Result {
	cells := map[int64][]lab.Cell{} // by the second
	for _, x := range t.Lab {
		if x.T >= first && x.T < last {
			cells[x.T-x.T%1000] = append(cells[x.T-x.T%1000], x)
		}
	}
	var out []Result
	s := t.Series
	lo, hi := s.Between(first, last)
	for i := lo; i < hi; i++ {
		r := Result{Tag: t.Tag.Name, T: s.T[i], Value: Value{s.V[i], SignOf(s.F[i])}}
		// Results of one time stand a millisecond apart each; their cells at the time itself.
		at := r.T - r.T%1000
		for k, x := range cells[at] {
			if x.Number && !x.Twice && x.Value == r.Value.V || !x.Number && !finite(r.Value.V) {
				r.Written = x.Written()
				b.beside(c, x, &r)
				cells[at] = slices.Delete(slices.Clone(cells[at]), k, k+1)
				break
			}
		}
		if v, ok := numberIn(r.Written); ok && finite(r.Value.V) && math.Abs(v-r.Value.V) > 1e-9*math.Abs(v) {
			// Converted: beside this unit the sheet's own number would mislead.
			r.Remark = joinNotes(fmt.Sprintf("the sheet has %s in a unit of its own", r.Written), r.Remark)
			r.Written = ""
		}
		if !s.Usable(i) && r.Note == "" {
			r.Note = strings.Join((s.F[i] & series.Unusable).Names(), ", ")
			if r.Note == "" {
				r.Note = "no number"
			}
		}
		if r.Value.V == 0 && r.Value.Sign == Exact && r.Note == "" && c.unit.Dimension == quantity.Concentration {
			r.Remark = joinNotes(r.Remark, "counted as 0; a method tells only that a result lies below its limit")
		}
		if c.treat.level > 0 && r.Value.V < c.treat.level && r.Note == "" && r.Value.Sign != Greater {
			if r.Written == "" {
				r.Written = r.signed()
			}
			r.Value = Value{c.treat.level, Less}
			r.Remark = joinNotes(r.Remark, "below the permit's compliance level "+shortest(c.treat.level))
		}
		if l, ok := b.in.Plant.LabAt(t.Tag.Measures, t.Tag.At, time.UnixMilli(r.T)); ok && r.Value.V < l.MinimumLevel && r.Value.Sign == Exact && r.Note == "" {
			r.Remark = joinNotes(r.Remark, fmt.Sprintf("below the method's minimum level %s: the permit says how it counts (compliance_level of the limit)", shortest(l.MinimumLevel)))
		}
		out = append(out, r)
	}
	for _, x := range t.Lab { // what is left, in the order of the sheets
		at := x.T - x.T%1000
		if k := slices.Index(cells[at], x); k >= 0 {
			out = append(out, b.word(c, t.Tag, x))
			cells[at] = slices.Delete(slices.Clone(cells[at]), k, k+1)
		}
	}
	return out
}

// numberIn is the first number of a text.
func numberIn(s string) (float64, bool) {
	i := strings.IndexAny(s, "0123456789")
	if i < 0 {
		return 0, false
	}
	end := i
	for end < len(s) && (s[end] >= '0' && s[end] <= '9' || s[end] == '.') {
		end++
	}
	if i > 0 && s[i-1] == '.' {
		i--
	}
	v, err := strconv.ParseFloat(s[i:end], 64)
	return v, err == nil && (end == len(s) || s[end] != ',')
}

// meaning is what the plant says of a word, else what laboratories mean by it.
func (b *bench) meaning(word string) (lab.Meaning, string, bool) {
	if c, ok := b.in.Plant.CodeOf(word); ok {
		return c.Means, c.Letter, true
	}
	m, ok := lab.Of(word)
	return m, "", ok
}

// beside takes the word beside a number into account.
func (b *bench) beside(c *column, x lab.Cell, r *Result) {
	word := x.Qualifier
	if word == "" {
		word = x.Text
	}
	m, letter, ok := b.meaning(word)
	if !ok {
		if m, _, ok = lab.Split(x.Text); !ok {
			if x.Qualifier != "" && strings.Trim(x.Qualifier, "<>=≤≥ ") != "" {
				r.Remark = fmt.Sprintf("used; what %q beside it means is not known", x.Qualifier)
			}
			return
		}
	}
	r.Letter, r.Means = letter, m
	switch {
	case m == lab.Estimated:
		r.Remark = "estimated by the laboratory"
	case m == lab.Used:
		r.Remark = fmt.Sprintf("used, with %q beside it", word)
	case m.Below() && strings.Contains(x.Text, " <"):
		r.Remark = "taken below the limit that its row states"
	case m.Result(), m == lab.NoResult:
	case finite(r.Value.V) && !fromPlant(b.in.Plant, word) && m != lab.Rejected:
		r.Remark = fmt.Sprintf("used; %q (%s) stands beside the number", word, m)
	default:
		r.Note = reason(m, r.Written)
	}
}

func fromPlant(p *plant.Plant, word string) bool {
	_, ok := p.CodeOf(word)
	return ok
}

// word makes a result of a cell without a number.
func (b *bench) word(c *column, tag plant.Tag, x lab.Cell) Result {
	r := Result{Tag: tag.Name, T: x.T, Written: x.Written(), Value: Value{V: math.NaN()}}
	m, letter, ok := b.meaning(r.Written)
	for _, w := range []string{x.Text, x.Qualifier} {
		if !ok && w != "" {
			m, letter, ok = b.meaning(w)
		}
	}
	if c, known := b.in.Plant.CodeOf(strings.Trim(x.Beside, "()[] ")); !ok && x.Beside != "" && known {
		m, letter, ok = c.Means, c.Letter, true
		if m == lab.Used || m == lab.Estimated {
			r.Value.V, r.Letter, r.Means = x.Value, letter, m
			r.Remark = fmt.Sprintf("used, plant.toml says what %q beside it means", x.Beside)
			return r
		}
	}
	if x.BadUnit != "" {
		r.Note = unfitUnit + x.BadUnit + ", is not known or does not fit"
		return r
	}
	if x.Kind != "" {
		r.Note = "control sample (" + x.Kind + ")"
		return r
	}
	if x.Number { // one of two numbers of the same time
		r.Note = anotherKept
		if x.Twice {
			r.Note = "stands twice for that time in one file, counted once"
		}
		return r
	}
	r.Letter, r.Means = letter, m
	if !ok {
		r.Note, r.beside = NotUnderstood, strings.Trim(x.Beside, "()[] ")
		return r
	}
	if c.unit.Dimension != quantity.Count {
		switch {
		case m == lab.Absent && len(x.Text) > 3:
			m = lab.NotDetected
		case m == lab.Absent, m == lab.Present, m == lab.TooMany:
			r.Note, r.Means = NotUnderstood, ""
			return r
		}
	}
	at, has := b.in.Plant.LabAt(tag.Measures, tag.At, time.UnixMilli(x.T))
	switch {
	case m.Below():
		r.Value.Sign = Less
		if !has {
			break
		}
		name := "reporting limit"
		if r.Value.V = at.ReportingLimit; m == lab.BelowDetection && finite(at.DetectionLimit) || !finite(r.Value.V) {
			r.Value.V, name = at.DetectionLimit, "detection limit"
		}
		if finite(r.Value.V) {
			r.Remark = fmt.Sprintf("taken below the %s %s %s, plant.toml:%d", name, shortest(r.Value.V), tag.Working.Symbol, at.Line)
			if c.treat.level > r.Value.V {
				r.Value.V = c.treat.level
			}
		}
	case m == lab.TooMany && b.in.Plant.Reporting.TooMany == "exclude":
		r.Value.Sign = Greater
		r.Remark = "too many to count; left out of means by [reporting] too_many"
	case m == lab.TooMany:
		r.Value.Sign = Greater
		r.Remark = "too many to count"
		if has && finite(at.UpperLimit) {
			r.Value.V = at.UpperLimit
			r.Remark = fmt.Sprintf("taken above the method's upper limit %s, plant.toml:%d", shortest(at.UpperLimit), at.Line)
		}
	case m == lab.Absent:
		r.Value, r.Remark = Value{1, Less}, "absent in 100 mL: taken as less than 1"
	case m == lab.Present:
		r.Value, r.Remark = Value{1, Greater}, "present in 100 mL: taken as 1 or more"
	default:
		r.Note = reason(m, r.Written)
	}
	if r.Value.Sign == Less && !finite(r.Value.V) {
		r.Remark = "below a limit that neither the sheet nor [[lab]] in plant.toml states"
	}
	return r
}

// reason is the note of a result that is none.
func reason(m lab.Meaning, written string) string {
	switch lab.Fold(written) {
	case "", string(m):
		return string(m)
	}
	return fmt.Sprintf("%s (%s)", m, written)
}

// NotUnderstood is the note of a word that neither the plant nor this program knows.
const NotUnderstood = "not understood"

// Question says that a result was left out over something that a person can settle: a
// word or a unit that is not known, another result of its time in another file.
func (r Result) Question() bool {
	return r.Note == NotUnderstood || r.Note == anotherKept || strings.HasPrefix(r.Note, unfitUnit)
}

const (
	anotherKept = "another result of that time was kept"
	unfitUnit   = "its unit, "
)

// noDischarge is the note of a result of a day without discharge.
const noDischarge = "no discharge that day"

// wordsOfResults says what the month's sheets hold for a line besides numbers: the
// words that are results, the reasons for none, and what was not understood.
func (j *job) wordsOfResults() {
	type group struct {
		head string
		days []time.Time
	}
	var groups []*group
	at := map[string]*group{}
	for _, r := range j.col.results {
		if r.day < j.lo || r.day >= j.hi || !j.inSeason(r.Date) || r.Note == noDischarge || r.Note == "" && r.Remark == "" {
			continue
		}
		head := fmt.Sprintf("%s: %s", r.signed(), r.Remark)
		switch {
		case r.Note == NotUnderstood:
			head = fmt.Sprintf("Not understood, and not used: %q; say under [[code]] in plant.toml what %s means", r.Written, map[bool]string{true: fmt.Sprintf("%q", r.beside), false: "it"}[r.beside != ""])
		case r.Note != "":
			head = "Left out: " + r.Note
			if r.Written != "" && !strings.Contains(strings.ToLower(r.Note), strings.ToLower(r.Written)) {
				head = fmt.Sprintf("Left out: %s, %s", r.Written, r.Note)
			}
		}
		if r.Letter != "" {
			head += fmt.Sprintf(" (the regulator's letter %s)", r.Letter)
		}
		if r.Note == "" && finite(r.Value.V) && r.Means == lab.Estimated {
			head = "Estimated by the laboratory, and used"
		}
		if at[head] == nil {
			at[head] = &group{head: head}
			groups = append(groups, at[head])
		}
		if g := at[head]; len(g.days) == 0 || !g.days[len(g.days)-1].Equal(r.Date) {
			g.days = append(g.days, r.Date)
		}
	}
	var several []time.Time
	for i, r := range j.col.results[:max(len(j.col.results)-1, 0)] {
		next := j.col.results[i+1]
		if r.day >= j.lo && r.day < j.hi && r.Note == "" && next.Note == "" && next.T-next.T%1000 == r.T-r.T%1000 && (len(several) == 0 || !several[len(several)-1].Equal(r.Date)) {
			several = append(several, r.Date)
		}
	}
	if len(several) > 0 {
		j.l.Remarks = append(j.l.Remarks, fmt.Sprintf("Several results of one time, each of which counts: %s.", dateList(several)))
	}
	for _, t := range j.col.tags {
		for _, x := range t.Stray {
			j.l.Remarks = append(j.l.Remarks, fmt.Sprintf("A result of %s is dated %s, far from all others of the tag: a wrong year?", t.Tag.Name, x.Format("2 January 2006")))
		}
		for _, x := range t.Unread {
			j.l.Remarks = append(j.l.Remarks, fmt.Sprintf("%d row%s of %s could not be read, and may hold a result of this month: %s; set-aside.csv has %s.",
				x.N, plural(x.N), t.Tag.Name, x.Reason, map[bool]string{true: "it", false: "them"}[x.N == 1]))
		}
	}
	for _, g := range groups {
		j.l.Remarks = append(j.l.Remarks, fmt.Sprintf("%s: %s.", g.head, dateList(g.days)))
	}
}
