package layout

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/export/sample"
	"weirbook/analysis/export/stamp"
)

// TermOf is what ends the lines of a file that begins so.
func TermOf(head []byte) byte {
	if bytes.IndexByte(head, '\n') < 0 && bytes.IndexByte(head, '\r') >= 0 {
		return '\r'
	}
	return '\n'
}

// Sniff decides how a file is written, from its decoded first bytes. whole says
// that head is all of it.
func Sniff(head []byte, whole bool, src *rule.SourceRule) (*Layout, error) {
	f := newLayout()
	if whole { // zeros behind the last row are what a logger leaves that lost its power
		head = bytes.TrimRight(head, "\x00")
	}
	if len(bytes.TrimSpace(head)) == 0 {
		return nil, errors.New("the file is empty")
	}
	f.Term = TermOf(head)
	if sample.IsTar(head) {
		return nil, errors.New("this is a tar archive, not a text export; unpack it first")
	}
	if n := bytes.Count(head[:min(len(head), 4096)], []byte{0}); n > 16 {
		return nil, errors.New("this is a binary file, not a text export")
	}
	declared := byte(0)
	if first, _, _ := bytes.Cut(head, []byte{f.Term}); len(first) >= 5 && strings.EqualFold(string(first[:4]), "sep=") {
		declared = first[4]
	}
	seps := []byte{'\t', ';', ',', '|'}
	if declared != 0 {
		seps = []byte{declared}
	}
	// The table that stands before a second heading; where that holds no values, the ones
	// below it; else all as one.
	for _, table := range []int{0, 1, 2, 3, sample.AllTables} {
		best := sample.Candidate{Score: -1}
		for _, sep := range seps {
			if c := sample.TrySeparator(head, whole, table, sep, f.Term, src); c.Score > best.Score {
				best = c
			}
		}
		if best.Score <= 0 {
			continue
		}
		g := newLayout()
		g.Term, g.Sep = f.Term, best.Sep
		best.RowsAbove()
		best.Fit(src)
		g.Notes, g.CaptionTag = append(g.Notes, best.Notes...), best.CaptionTag
		if len(best.Above) > 0 {
			g.Note(ledger.Note, 1, "the %s above the heading hold a table without values (%s); they are not read", lex.Counted(len(best.Above), "line", "lines"), record.Shown(best.Above[0].Text))
		}
		switch err := g.build(best, src); {
		case errors.Is(err, sample.ErrNoTable):
			f.Times = best.Times
		case err != nil:
			return nil, err
		default:
			g.settle()
			return g, nil
		}
	}
	if f.Times.At() >= 0 {
		return nil, fmt.Errorf("no table of readings found: the times can be read, and no column beside them holds a number in the first rows (%w). Export values, or describe the file under [[source]] in plant.toml", sample.ErrNoTable)
	}
	return nil, noTable{sample.NoTable(head, whole, f.Term, seps)}
}

// noTable is a text without a table of readings, as far as it was looked at.
type noTable struct{ error }

func (noTable) Is(err error) bool { return err == sample.ErrNoTable }

// build settles heading, layout and the columns' roles.
func (f *Layout) build(c sample.Candidate, src *rule.SourceRule) error {
	if src == nil {
		src = &rule.SourceRule{}
	}
	f.Dec = c.Dec
	f.DecSure = c.DecStated || c.DecSure && c.Marks.Met()
	f.Weigh, f.decExample = !f.DecSure && c.Marks.Met(), c.Marks.Example
	f.Comment = commentMark(&c)
	heads := f.nameColumns(&c)
	f.timeRoles(&c)
	f.statedRoles(src)
	f.unreadClock(&c)
	if src.Zone == nil {
		f.zoneColumn(&c)
	}
	f.kindRole(&c)
	f.detectRole(&c)
	f.signRoles(&c)
	if err := f.tagRoles(&c, src); err != nil {
		return err
	}
	if f.Shape == Wide {
		f.findPairTimes(&c, src) // times are no values that a quality may be of
		if f.refused != nil {
			return f.refused
		}
		f.pairQualities()
		f.namesAbove(&c, heads)
		f.uniqueNames()
	}
	if f.Count(RoleValue) == 0 {
		return sample.ErrNoTable
	}
	f.hourColumns(&c)
	if src.TimeColumn == "" {
		f.noteTimes(&c)
	}
	f.noteUnused(&c, src.TimeColumn == "")
	f.sampleQuality(&c)
	f.tailDecimals(&c)
	f.noteSigns()
	if src.QualityCodes != "" {
		f.Codes, f.CodesSure = cell.ParseQualityCodes(src.QualityCodes), true
	}
	return nil
}

// commentMark is what comment lines between the rows begin with.
func commentMark(c *sample.Candidate) byte {
	for i := c.Start; i < len(c.Lines); i++ {
		if t := c.Lines[i].Text; record.IsComment(t) {
			return t[0]
		}
	}
	return '#'
}

// nameColumns takes the columns' names, units and descriptions from the heading, whose
// lines it gives.
func (f *Layout) nameColumns(c *sample.Candidate) (heads []int) {
	f.Skip = c.Lines[c.Start].First
	heads = c.HeadRows()
	f.noteEmpty(c, heads)
	f.HeadAt = f.Skip
	if len(heads) > 0 {
		f.HeadAt = c.Lines[heads[0]].First
	}
	f.Cols = make([]Column, c.Width)
	names, units, descs := nameRows(c, heads)
	for k := range f.Cols {
		f.Cols[k] = Column{Role: RoleSkip, Head: names[k], Unit: units[k], Desc: descs[k]}
	}
	f.keepHeads(c, heads)
	return heads
}

// timeRoles marks the columns of the rows' times, and takes a clock that their
// headings state.
func (f *Layout) timeRoles(c *sample.Candidate) {
	t := c.Times
	f.Time.Kind = t.Kind
	f.TextTime = t.Kind == stamp.TextTime
	f.Times = t
	for _, x := range []struct {
		k int
		r Role
	}{{t.Time, RoleTime}, {t.Date, roleDate}, {t.Clk, roleClock}, {t.Hour, roleHour}, {t.Minute, roleMinute}, {t.Half, roleHalf}, {t.Milli, roleMilli}, {t.Off, roleOffset}} {
		if x.k >= 0 {
			f.Cols[x.k].Role = x.r
		}
	}
	for i, k := range t.Ymd {
		f.Cols[k].Role = []Role{roleYear, roleMonth, roleDay}[i]
	}
	for k := range f.Cols {
		if r := f.Cols[k].Role; r == RoleTime || r == roleClock || r == roleDate {
			if sec, word, ok := sample.HeadingOffset(f.Cols[k].Head); ok && f.Time.Kind <= stamp.SerialTime {
				f.Time.Fixed, f.Time.Offset, f.HeadWord = true, sec, word
			}
		}
	}
}

// statedRoles gives the roles that plant.toml states.
func (f *Layout) statedRoles(src *rule.SourceRule) {
	for k := range f.Cols {
		switch h := f.Cols[k].Head; {
		case !f.free(k) || h == "":
		case len(src.TagColumns) == 2 && strings.EqualFold(h, src.TagColumns[0]):
			f.Cols[k].Role = rolePlace
		case strings.EqualFold(h, src.TagColumn), len(src.TagColumns) == 2 && strings.EqualFold(h, src.TagColumns[1]):
			f.Cols[k].Role = RoleTag
		case strings.EqualFold(h, src.ValueColumn):
			f.Cols[k].Role = RoleValue
		case strings.EqualFold(h, src.QualityColumn):
			f.Cols[k].Role = RoleQuality
		}
	}
	f.QualityWords = src.QualityWords()
	f.noQuality = strings.EqualFold(src.QualityColumn, rule.NoQuality)
	f.checkHeads(src)
}

// tagRoles tells a row per reading from a column per tag, and gives the roles of
// either.
func (f *Layout) tagRoles(c *sample.Candidate, src *rule.SourceRule) error {
	f.Shape = Wide
	switch {
	case src.Layout == "long":
		f.Shape = Long
		f.longRoles(c)
	case src.Layout == "wide":
		f.wideRoles(c)
	case f.longRoles(c):
		f.Shape = Long
	default:
		for k := range f.Cols {
			if r := f.Cols[k].Role; r == RoleTag || r == rolePlace || r == RoleValue || r == RoleQuality || r == RoleUnit {
				f.Cols[k].Role = RoleSkip
			}
		}
		f.limitRoles(c)
		f.wideRoles(c)
	}
	return f.refused
}

// checkHeads says which headings of a source rule no column has.
func (f *Layout) checkHeads(src *rule.SourceRule) {
	for _, h := range append([]string{src.TimeColumn, src.TagColumn, src.ValueColumn, src.QualityColumn}, src.TagColumns...) {
		found := h == "" || h == src.QualityColumn && f.noQuality
		for _, c := range f.Cols {
			found = found || strings.EqualFold(c.Head, h)
		}
		if !found {
			f.Note(ledger.Warning, f.Skip, "no column is headed %q, as [[source]] in plant.toml says; the headings are %s", h, strings.Join(f.headings(), ", "))
		}
	}
}

// nameRows sorts the heading's lines into names, units and descriptions.
func nameRows(c *sample.Candidate, rows []int) (names, units, descs []string) {
	names, units, descs = make([]string, c.Width), make([]string, c.Width), make([]string, c.Width)
	field := func(i, k int) string {
		if fs := c.Fields[i]; k < len(fs) {
			return strings.TrimSpace(strings.TrimLeft(record.CleanName(fs[k]), "#"))
		}
		return ""
	}
	tcol := max(c.Times.Time, c.Times.Date, 0)
	nameRow, isUnits := nameRow(rows, c.Width, tcol, field)
	for _, i := range rows {
		for k := range names {
			h := field(i, k)
			switch {
			case i == nameRow:
				names[k] = h
			case isUnits[i]:
				units[k] = h
			case h != "" && k != tcol:
				if descs[k] != "" {
					descs[k] += " "
				}
				descs[k] += h
			case k == tcol && sample.IsTimeHead(h) && names[k] == "":
				names[k] = h
			}
		}
	}
	joinMerged(names, descs, tcol)
	return names, units, descs
}

// nameRow finds the heading's line of names, and those of units: the names stand in the
// line that names the time, and of several such in the top one; else in the first that is
// no line of units.
func nameRow(rows []int, width, tcol int, field func(i, k int) string) (nameRow int, isUnits map[int]bool) {
	nameRow, isUnits = -1, map[int]bool{}
	for _, i := range rows {
		u, n := 0, 0
		for k := range width {
			if h := field(i, k); h != "" && k != tcol {
				n++
				if sample.IsUnitCell([]byte(h)) {
					u++
				}
			}
		}
		isUnits[i] = n > 0 && u*10 >= n*6 && (len(rows) > 1) || sample.IsUnitHead(field(i, tcol)) && len(rows) > 1
	}
	for _, i := range rows {
		b := cell.Bare(field(i, tcol))
		if !isUnits[i] && (sample.IsTimeHead(field(i, tcol)) || sample.TagHeads[b]) && nameRow < 0 {
			nameRow = i
		}
	}
	for _, i := range rows {
		if nameRow < 0 && !isUnits[i] && !sample.DescHeads[cell.Bare(field(i, tcol))] {
			nameRow = i
		}
	}
	if nameRow < 0 && len(rows) > 0 {
		nameRow = rows[0]
		isUnits[nameRow] = false
	}
	return nameRow, isUnits
}

// joinMerged names the columns under a merged heading by it and by what stands below:
// TSS over two columns, Inf and Eff under it, are TSS Inf and TSS Eff. Else the first of
// them would bear the name for both.
func joinMerged(names, descs []string, tcol int) {
	for k := tcol + 1; k < len(names); k++ {
		if names[k] == "" || descs[k] == "" {
			continue
		}
		end := k + 1
		for end < len(names) && names[end] == "" && descs[end] != "" {
			end++
		}
		if end == k+1 {
			continue
		}
		over := names[k]
		for i := k; i < end; i++ {
			names[i], descs[i] = over+" "+descs[i], ""
		}
		k = end - 1
	}
}

func (f *Layout) headings() (out []string) {
	for _, c := range f.Cols {
		if c.Head != "" {
			out = append(out, c.Head)
		}
	}
	return out
}

func (f *Layout) Count(r Role) (n int) {
	for _, c := range f.Cols {
		if c.Role == r {
			n++
		}
	}
	return n
}

// noteEmpty tells of a heading that has no rows, above that of the table.
func (f *Layout) noteEmpty(c *sample.Candidate, heads []int) {
	if len(heads) == 0 {
		return
	}
	i := heads[0] - 1
	for i >= 0 && len(lex.Trim(c.Lines[i].Text)) == 0 {
		i--
	}
	if i < 0 {
		return
	}
	if fs := c.Fields[i]; record.TrimmedWidth(fs) >= 2 && sample.HeadLine(fs) && c.OtherTable(fs, heads) {
		f.Note(ledger.Warning, c.Lines[i].First+1, "no row stands below the heading (%s); the rows further on are read under the heading below it. Export that table again if it should hold rows",
			strings.Join(row(fs), ", "))
	}
}
