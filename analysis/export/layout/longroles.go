package layout

import (
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/sample"
)

// longColumns are the columns of a table with a row per reading, as far as they are
// found; -1: not yet.
type longColumns struct {
	f                 *Layout
	c                 *sample.Candidate
	tag, place, value int
	byCells           bool // no heading tells the tag's column, its cells do
}

// longRoles finds tag and value columns; false when the table is not a row per
// reading.
func (f *Layout) longRoles(c *sample.Candidate) bool {
	l := longColumns{f, c, f.lastOf(RoleTag), f.lastOf(rolePlace), f.lastOf(RoleValue), false}
	stated := l.tag >= 0
	if l.tag < 0 {
		l.tagByHeading()
	}
	if l.tag >= 0 && l.place < 0 {
		l.placeByHeading()
	}
	if l.value < 0 {
		l.valueByHeading()
	}
	if l.tag < 0 && !l.tagByCells() || l.value < 0 && !l.valueByCells() {
		return false
	}
	if l.byCells && len(f.headings()) > 0 {
		f.Note(ledger.Note, f.Skip, "no heading says which column names the tags; %q does, it seems. If not, write layout = \"wide\" for the file under [[source]] in plant.toml", f.label(l.tag))
	}
	if l.place < 0 && !stated {
		l.placeByRows()
	}
	f.Cols[l.tag].Role, f.Cols[l.value].Role = RoleTag, RoleValue
	if l.place >= 0 {
		f.Cols[l.place].Role = rolePlace
	}
	l.unitAndQuality()
	for k := range f.Cols { // before others are told by what they hold
		q := &c.Kinds[k]
		if f.free(k) && sample.LimitRank(plainHeading(f.Cols[k].Head)) > 0 && q.Number > 0 && q.Number == q.Full() {
			f.Cols[k].Role = roleLimit
		}
	}
	l.descriptions()
	f.TagCol, f.ValueCol = l.tag, l.value
	f.fillDowns(c)
	return true
}

// descriptions finds the column that says in words what each tag is: headed so, and with
// one text a tag throughout the sample.
func (l *longColumns) descriptions() {
	for k := range l.f.Cols {
		b := plainHeading(l.f.Cols[k].Head)
		named := sample.TagHeads[b] && b != "id"
		if !l.f.free(k) || !named && !sample.TextHeads[b] || !l.names(k) {
			continue
		}
		texts, again, same := map[string]string{}, 0, true
		for _, fs := range l.c.Fields[l.c.Start:] {
			if len(fs) <= max(k, l.tag, l.place) {
				continue
			}
			tag := string(lex.Trim(fs[l.tag]))
			if l.place >= 0 {
				tag += "\x00" + string(lex.Trim(fs[l.place]))
			}
			text, met := texts[tag]
			if met {
				again++
			}
			same = same && (!met || text == string(lex.Trim(fs[k])))
			texts[tag] = string(lex.Trim(fs[k]))
		}
		if same && (again > 0 || !named) {
			l.f.Cols[k].Role = roleDesc
			return
		}
	}
}

// limitColumns are the columns of limits, the reporting limit before the detection
// limit.
func (f *Layout) limitColumns() []int {
	var out []int
	for _, rank := range []int{1, 2} {
		for k := range f.Cols {
			if f.Cols[k].Role == roleLimit && (f.Cols[k].limitRank == rank || f.Cols[k].limitRank == 0 && sample.LimitRank(plainHeading(f.Cols[k].Head)) == rank) {
				out = append(out, k)
			}
		}
	}
	return out
}

// free says whether no role is given to column k yet.
func (f *Layout) free(k int) bool { return f.Cols[k].Role == RoleSkip }

// lastOf is the last column of a role; -1 if there is none.
func (f *Layout) lastOf(r Role) int {
	for k := len(f.Cols) - 1; k >= 0; k-- {
		if f.Cols[k].Role == r {
			return k
		}
	}
	return -1
}

// names says whether column k holds names.
func (l *longColumns) names(k int) bool {
	q := &l.c.Kinds[k]
	full := q.Full()
	return full > 0 && q.Text+q.State >= full*8/10 && q.Number < full/2+1 && q.State != full
}

// tagByHeading takes the first column headed as tags are, else the first one headed
// as a place that holds names.
func (l *longColumns) tagByHeading() {
	for k := range l.f.Cols { // what was measured, where a column of places stands beside it
		if l.f.free(k) && sample.ParameterHeads[plainHeading(l.f.Cols[k].Head)] && l.names(k) && l.placeBeside(k) {
			l.tag = k
			return
		}
	}
	for k := range l.f.Cols {
		q := &l.c.Kinds[k]
		full := q.Full()
		b := cell.Bare(l.f.Cols[k].Head)
		numbersRows := b == "id" && q.Number == full && q.Rising > full/2 && len(q.Distinct) > full/2
		if l.f.free(k) && sample.TagHeads[b] && !numbersRows && full > 0 && q.Time*2 < full+1 {
			l.tag = k
			return
		}
	}
	for k := range l.f.Cols {
		if l.f.free(k) && sample.PlaceHeads[cell.Bare(l.f.Cols[k].Head)] && l.names(k) {
			l.tag = k
			return
		}
	}
}

// placeByHeading finds the place beside a parameter: the parameter is the tag, and
// the place goes before it.
func (l *longColumns) placeByHeading() {
	for k := range l.f.Cols {
		if b := plainHeading(l.f.Cols[k].Head); k != l.tag && l.f.free(k) && (sample.PlaceHeads[b] && b != "source" || l.pointOf(k)) && l.names(k) && !l.numbersSamples(k) {
			l.place = k
		}
	}
}

// plainHeading is a heading as the lists have it, whatever joins its words.
func plainHeading(head string) string {
	return strings.Join(strings.FieldsFunc(cell.Bare(head), func(r rune) bool { return r == '_' || r == ' ' || r == '.' || r == '-' }), " ")
}

// numbersSamples says whether column k, headed as sample ids may be, gives every sample a
// name of its own: it is no place then.
func (l *longColumns) numbersSamples(k int) bool {
	q := &l.c.Kinds[k]
	return strings.HasSuffix(plainHeading(l.f.Cols[k].Head), " id") && q.Full() >= 4 && len(q.Distinct)*10 >= q.Full()*6
}

// placeBeside says whether some other column than k names places.
func (l *longColumns) placeBeside(k int) bool {
	for i := range l.f.Cols {
		b := plainHeading(l.f.Cols[i].Head)
		if i != k && l.f.free(i) && (sample.PlaceHeads[b] || b == "point") && l.names(i) {
			return true
		}
	}
	return false
}

// pointOf says whether column k, headed "point", stands beside the column of what
// was measured: it is a place then, and no tag.
func (l *longColumns) pointOf(k int) bool {
	return plainHeading(l.f.Cols[k].Head) == "point" && l.tag >= 0 && sample.ParameterHeads[plainHeading(l.f.Cols[l.tag].Head)]
}

// placeByRows finds a second column of names without which several rows of one time
// are of the same tag, and with which none is: the two together name a tag.
func (l *longColumns) placeByRows() {
	f := l.f
	for k := range f.Cols {
		q := &l.c.Kinds[k]
		if k == l.tag || k == l.value || !f.free(k) || !l.names(k) || q.Quality == q.Full() || q.Unit == q.Full() || len(q.Distinct) < 2 || len(q.Distinct) > 40 ||
			sample.PersonColumn(f.Cols[k].Head, q) || f.qualityHead(k) || sample.RemarkHeads[cell.Bare(f.Cols[k].Head)] || sample.DescHeads[cell.Bare(f.Cols[k].Head)] {
			continue
		}
		alone, both, rows := map[string]bool{}, map[string]bool{}, 0
		for i := l.c.Start; i < len(l.c.Fields); i++ {
			fs := l.c.Fields[i]
			if k >= len(fs) || l.tag >= len(fs) {
				continue
			}
			at := ""
			for c := range f.Cols {
				if r := f.Cols[c].Role; (r == RoleTime || r == roleDate || r == roleClock) && c < len(fs) {
					at += string(fs[c]) + "\x00"
				}
			}
			rows++
			at += string(fs[l.tag])
			alone[at], both[at+"\x00"+string(fs[k])] = true, true
		}
		if rows >= 4 && len(both) == rows && 5*len(alone) <= 4*rows {
			l.place = k
			f.Note(ledger.Note, f.Skip, "the words of %q and %q together name the tags, as in %q: a row's time and one of them alone come several times. If not, write tag_column for the file under [[source]] in plant.toml",
				f.label(k), f.label(l.tag), "outfall TSS")
			return
		}
	}
}

// resultTexts head results as the laboratory reports them, <0.1 where a column of
// numbers beside them says 0.1.
var resultTexts = lex.Set("result text", "text result", "reported result", "reported", "reported value", "result as reported", "final result text", "result string")

func (l *longColumns) valueByHeading() {
	for k := range l.f.Cols {
		q := &l.c.Kinds[k]
		if l.f.free(k) && k != l.tag && resultTexts[plainHeading(l.f.Cols[k].Head)] && q.Number > 0 {
			l.value = k
			return
		}
	}
	for k := range l.f.Cols {
		if l.f.free(k) && k != l.tag && sample.ValueHeads[cell.Bare(l.f.Cols[k].Head)] {
			l.value = k
			break
		}
	}
	l.value = l.f.scaledBeside(l.c, l.value, l.tag)
}

// tagByCells takes the only column of names that are no quality. The table is one of a
// row per reading only if one column of numbers stands beside it.
func (l *longColumns) tagByCells() bool {
	f := l.f
	var cands []int
	nums := 0
	for k := range f.Cols {
		q := &l.c.Kinds[k]
		full := q.Full()
		if !f.free(k) || k == l.value {
			continue
		}
		if l.names(k) && q.Quality < full && q.Unit < full && !sample.PersonColumn(f.Cols[k].Head, q) && !f.qualityHead(k) && !sample.RemarkHeads[cell.Bare(f.Cols[k].Head)] {
			cands = append(cands, k)
		}
		if q.Number*2 > full && !sample.NumberColumn(f.Cols[k].Head, q) && full > 0 {
			nums++
		}
	}
	if len(cands) == 0 || l.value < 0 && nums != 1 && !(nums == 2 && f.anyQuality()) {
		return false
	}
	l.tag, l.byCells = l.c.MostLikeTags(cands), true
	return true
}

// valueByCells takes the column of numbers; false where the table has a column per
// tag, or does not tell.
func (l *longColumns) valueByCells() bool {
	f := l.f
	var numbers []int
	for k := range f.Cols {
		q := &l.c.Kinds[k]
		if f.free(k) && k != l.tag && q.Full() > 0 && q.Number*2 > q.Full() && !sample.NumberColumn(f.Cols[k].Head, q) && !f.qualityHead(k) {
			numbers = append(numbers, k)
		}
	}
	if l.value = f.valueAmong(l.c, l.tag, numbers, l.byCells); l.value < 0 {
		return false
	}
	if l.byCells && !f.wordsNameTags(l.c, l.tag, l.value) {
		f.Note(ledger.Note, f.Skip, "column %q is taken for a tag of its own beside %q, not for the names of tags. If its words are tags, write tag_column = %q for the file under [[source]] in plant.toml", f.Cols[l.tag].Head, f.Cols[l.value].Head, f.Cols[l.tag].Head)
		return false
	}
	return true
}

// unitAndQuality finds the columns of units and of quality: the first of each, by
// heading or, without one, by cells.
func (l *longColumns) unitAndQuality() {
	f := l.f
	for k := range f.Cols {
		q := &l.c.Kinds[k]
		full := q.Full()
		if !f.free(k) {
			continue
		}
		bare := f.Cols[k].Head == "" && full > 0 && q.Text > 0
		switch {
		case sample.IsUnitHead(f.Cols[k].Head) || bare && q.Unit*10 >= full*8:
			if f.Count(RoleUnit) == 0 {
				f.Cols[k].Role = RoleUnit
			}
		case f.qualityHead(k) && (sample.NoCodes(q) || f.ownState(k, q)):
			f.askCodes(k, q, "not read")
		case f.qualityHead(k) || !f.noQuality && bare && q.Quality == full:
			if f.Count(RoleQuality) == 0 {
				f.Cols[k].Role = RoleQuality
			}
		}
	}
	if len(f.headings()) == 0 && f.Count(RoleQuality) == 0 && !f.noQuality {
		l.qualityBehind()
	}
}

// qualityBehind takes OPC numbers behind the value, where there is no heading at all.
func (l *longColumns) qualityBehind() {
	for k := l.value + 1; k < len(l.f.Cols); k++ {
		if q := &l.c.Kinds[k]; l.f.free(k) && q.Full() > 0 && q.Quality == q.Full() && !sample.NumberColumn("x", q) && len(q.Distinct) < 12 {
			l.f.Cols[k].Role = RoleQuality
			return
		}
	}
}

func (f *Layout) anyQuality() bool {
	for k := range f.Cols {
		if f.qualityHead(k) {
			return true
		}
	}
	return false
}
