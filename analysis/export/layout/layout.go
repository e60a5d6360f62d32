// Package layout decides from a sample what every column of a table is. A Layout is
// made once a table; the passes settle what the sample could not (the order of day
// and month, the decimal mark, quality codes).
package layout

import (
	"fmt"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/sample"
	"weirbook/analysis/export/stamp"
	"weirbook/analysis/series"
)

// shape of a table.
type shape uint8

const (
	Long shape = iota // a row per reading
	Wide              // a column per tag; one file per tag is wide with one column
)

// Role of a column.
type Role uint8

const (
	RoleSkip Role = iota
	RoleTime
	roleDate
	roleClock
	roleYear
	roleMonth
	roleDay
	roleHour
	roleMinute
	roleHalf // AM or PM
	roleMilli
	roleOffset // from UTC
	roleZone   // a name of a zone, the same in all rows
	RoleTag
	rolePlace // sampling place of a laboratory sheet, joined to the tag
	RoleValue
	RoleQuality
	RoleUnit
	RoleSign   // < and > of a result, in a column of their own
	roleClosed // never read: what it says is told
	roleDesc   // what the row's tag is, in words
	roleLimit  // a laboratory's reporting or detection limit of the row's result
	RoleKind   // what kind of sample a row is of: the water's, or one of control
)

// rowOrder is an order of a long file's columns.
type rowOrder uint8

const (
	AnyOrder rowOrder = iota
	timeTagValue
	TagTimeValue
)

// Column is one column of a table.
type Column struct {
	Role       Role
	Name       string // tag of a wide file's value column
	Unit       string // as declared in the heading
	Desc       string
	Tag        int  // number of the tag, wide
	Pair       int  // which of format.own is its time
	Companions bool // a quality or unit column follows that belongs to it
	Head       string
	Nth        int // of several columns that one name stands over; 0: it alone, or the first

	Quality int // wide: one more than the column of its quality; 0: none

	// Of a column of signs:
	of      string // what its heading says it belongs to
	Less    bool   // it asks for less than alone
	Signs   int    // the column of its value
	Detects bool   // it says whether something was detected

	// Of a column of limits beside a value of a wide sheet:
	LimitOf   int
	limitRank int
}

// Layout is everything that was decided about a file before its rows are read.
type Layout struct {
	Encoding       string
	Sep, Term, Dec byte
	SepBytes       []byte
	DecSure        bool   // dec is settled
	Weigh          bool   // all numbers are to be looked at for it
	DecAsk         bool   // numbers that fit both marks are set aside
	LastDecimals   int    // that the last column has in all rows of the sample; 0: not one number of them
	decExample     string // of the first rows, a number that fits both ways
	Comment        byte   // 0: none
	Skip           int    // lines before the first row
	HeadAt         int    // lines before the heading
	Shape          shape
	Cols           []Column
	Ops            []Role // fast reading of a long row: the roles of its columns
	Fast           bool
	RowOrder       rowOrder // long: the columns stand in an order that LongRows reads
	Step           int      // wide: a time, then nothing but values (1), or values with a quality behind each (2); else 0
	Need           int      // fields a row must have
	Time           stamp.TimeReader
	Codes          cell.QualityCodes
	CodesSure      bool
	ByTag          bool                         // quality numbers of several kinds: each tag's are looked at
	TagCodes       map[string]cell.QualityCodes // how each tag's are meant, once all are known
	QualityWords   map[string]series.Flag       // as plant.toml says
	HasQuality     bool
	Signed         bool       // a column holds signs
	OrderSure      bool       // the date order is settled, or does not matter
	OrderStated    bool       // plant.toml states it
	Newest         bool       // the newest reading stands first
	HeadWord       string     // the abbreviation that a heading gives the clock as
	StatedZone     statedZone // what a line above the table says about the clock
	noQuality      bool       // plant.toml says that no column is a quality
	heads          *headWords
	refused        error // why the file cannot be read without being told more
	Scattered      bool  // wide: qualities stand elsewhere than right behind their values

	Times                                  sample.TimeCols
	TagCol, PlaceCol, ValueCol, QualityCol int
	UnitCol, DescCol                       int
	KindCol                                int   // of the kinds of samples; -1
	LimitCols                              []int // reporting limit first
	FillDown                               []int // columns whose blank cells take what stands above, see fillDowns

	PairTimes []PairTime // times of the values, where the row has not one for all
	Hourly    bool       // they are hours of a day, of one tag

	// The heading's lines, to tell them from those of another table, one below the other.
	HeadLines  [][]string
	Headed     bool            // the times have a heading of times
	TimeHead   string          // what stands above the times
	Single     string          // the tag of a table that holds one and does not head it
	CaptionTag string          // the same, where its name stands alone above it
	Asked      byte            // the decimal mark that a question was put about
	ByFile     bool            // the tag is named after the file
	Above      string          // the line above its heading, if it may be a name
	Titles     []string        // all such lines above
	FileNote   string          // the message that says so
	NoTable    map[string]bool // lines that look like a heading and begin no table
	Follow     bool            // a heading of other columns begins another table
	Closed     bool            // every row is set aside
	ClosedAs   ledger.Reason   // for that reason

	Zone     string
	Notes    ledger.Notes
	TextTime bool
}

func newLayout() *Layout {
	return &Layout{Times: sample.NoTimes(), TagCol: -1, PlaceCol: -1, ValueCol: -1, QualityCol: -1, UnitCol: -1, DescCol: -1, KindCol: -1, Dec: '.', Term: '\n'}
}

// settle derives the column numbers from the roles.
func (f *Layout) settle() {
	f.SepBytes = []byte{f.Sep}
	for i := range f.Cols {
		switch f.Cols[i].Role {
		case RoleTag:
			f.TagCol = i
		case rolePlace:
			f.PlaceCol = i
		case RoleValue:
			f.ValueCol = i
		case RoleQuality:
			f.QualityCol = i
			f.HasQuality = true
		case RoleUnit:
			f.UnitCol = i
		case roleDesc:
			f.DescCol = i
		case RoleKind:
			f.KindCol = i
		}
	}
	f.Need = f.fieldsNeeded()
	f.Ops = nil
	for _, c := range f.Cols {
		f.Ops = append(f.Ops, c.Role)
	}
	f.quickPaths()
	f.LimitCols = f.limitColumns()
	if f.LimitCols != nil || f.KindCol >= 0 || f.FillDown != nil {
		f.Fast, f.RowOrder, f.Step = false, AnyOrder, 0
	}
	if f.Count(RoleSign) > 0 {
		f.Fast = false
		f.Signed = true
		f.placeSigns()
	}
	if f.Shape == Wide {
		f.markCompanions()
	}
}

// fieldsNeeded is how many fields a row must have.
func (f *Layout) fieldsNeeded() (n int) {
	for i, c := range f.Cols {
		switch c.Role {
		case RoleSkip, roleZone, roleClosed, roleDesc:
		case RoleUnit, RoleQuality, RoleSign, roleLimit, RoleKind:
			if f.Shape == Wide {
				n = i + 1
			}
		default:
			n = i + 1
		}
	}
	return n
}

// quickPaths says which quick ways of reading a row the columns allow.
func (f *Layout) quickPaths() {
	plain := f.PairTimes == nil // one time a row
	f.RowOrder = AnyOrder
	if n := len(f.Ops); plain && f.Shape == Long && (n == 3 || n == 4 && f.Ops[3] == RoleQuality) && f.Ops[2] == RoleValue {
		switch {
		case f.Ops[0] == RoleTime && f.Ops[1] == RoleTag:
			f.RowOrder = timeTagValue
		case f.Ops[0] == RoleTag && f.Ops[1] == RoleTime:
			f.RowOrder = TagTimeValue
		}
	}
	f.Step = 0
	if plain {
		f.Step = f.stepOf()
	}
	f.Fast = plain && f.Times.Time >= 0 && !f.Times.Joined() && !f.Scattered
	if f.Shape == Long {
		f.Fast = f.Fast && f.TagCol >= 0 && f.PlaceCol < 0 && f.ValueCol >= 0
		return
	}
	if first := f.columnsOf(RoleValue); len(first) > 0 && first[0] < f.Times.Time {
		f.Fast = false
	}
}

// markCompanions marks the values that a quality or a unit of theirs follows.
func (f *Layout) markCompanions() {
	value := -1
	for k := range f.Cols {
		switch f.Cols[k].Role {
		case RoleValue:
			value = k
		case RoleQuality, RoleUnit:
			if value >= 0 {
				f.Cols[value].Companions = true
			}
		}
	}
}

// stepOf says how the values of a wide file follow its time: see format.step.
func (f *Layout) stepOf() int {
	if f.Shape != Wide || f.Times.Time != 0 || f.Times.Joined() || f.Scattered {
		return 0
	}
	ops := f.Ops[1:]
	for step := 1; step <= 2; step++ {
		ok := len(ops) > 0 && len(ops)%step == 0
		for k, o := range ops {
			ok = ok && o == []Role{RoleValue, RoleQuality}[k%step]
		}
		if ok {
			return step
		}
	}
	return 0
}

var sepNames = map[byte]string{',': "comma", ';': "semicolon", '\t': "tab", '|': "bar", 0x1f: "one column"}

// Describe says in plain words what the file was taken for.
func (f *Layout) Describe(packed string) string {
	var s []string
	switch {
	case f.Shape == Long:
		s = append(s, "a row per reading")
	case f.Hourly:
		s = append(s, "one tag, a row per day and a column per hour")
	default:
		n := 0
		for _, c := range f.Cols {
			if c.Role == RoleValue {
				n++
			}
		}
		if n == 1 {
			s = append(s, "one tag, a row per time")
		} else {
			s = append(s, fmt.Sprintf("a column per tag, %d tags", n))
		}
	}
	s = append(s, sepNames[f.Sep]+"-separated")
	if f.Dec == ',' {
		s = append(s, "decimal comma")
	}
	enc := f.Encoding
	if packed != "" {
		enc += " in " + packed
	}
	s = append(s, enc)
	s = append(s, f.describeTimes())
	if f.Newest {
		s = append(s, "newest first")
	}
	switch {
	case f.ByTag:
		s = append(s, "quality as numbers of several kinds")
	case f.HasQuality:
		s = append(s, "quality as "+cell.QualityCodeNames[f.Codes])
	}
	if f.PlaceCol >= 0 {
		s = append(s, "tag is place and parameter joined")
	}
	if f.Skip == 1 {
		s = append(s, "1 line before the first row")
	} else {
		s = append(s, fmt.Sprintf("%d lines before the first row", f.Skip))
	}
	return strings.Join(s, "; ")
}

// describeTimes says how the times stand.
func (f *Layout) describeTimes() string {
	t := "times as " + stamp.TimeKindNames[f.Time.Kind]
	if f.Times.SerialDate {
		t = "times as " + stamp.TimeKindNames[stamp.SerialTime]
	}
	if f.Time.Kind == stamp.TextTime && f.Time.Order != stamp.OrderUnknown && f.Time.Order != stamp.YearFirst {
		t += ", " + stamp.OrderNames[f.Time.Order]
	}
	switch {
	case f.Times.Date >= 0 && f.Times.Clk >= 0:
		t += " in a date and a time column" + sample.ClockFormNames[f.Times.Form]
	case f.Times.Date >= 0 && f.Times.Hour >= 0:
		t += " in a date and an hour column"
		if f.Times.Minute >= 0 {
			t = strings.TrimSuffix(t, "an hour column") + "columns of hours and minutes"
		}
	case f.Times.Ymd != nil:
		t += " in year, month and day columns" + sample.ClockFormNames[f.Times.Form]
	}
	if f.Times.Milli >= 0 {
		t += ", milliseconds in one of their own"
	}
	if f.Times.Off >= 0 {
		t += ", the offset from UTC in one of its own"
	}
	if f.Times.Half >= 0 {
		t += ", AM or PM in one of its own"
	}
	return t
}

// Close has every row set aside.
func (f *Layout) Close(why ledger.Reason) {
	f.Closed, f.ClosedAs, f.Follow = true, why, false
	f.RowOrder, f.Step, f.Fast = AnyOrder, 0, false
}

// Ask notes what a key of plant.toml can settle.
func (f *Layout) Ask(q ledger.Question, line int, format string, args ...any) {
	f.Notes.Ask(q, line, format, args...)
}

func (f *Layout) Note(sev ledger.Severity, line int, format string, args ...any) {
	f.Notes.Add(sev, line, format, args...)
}

// RefuseDecimal says that every number fits both ways, and that none is read.
func (f *Layout) RefuseDecimal() {
	e := f.decExample
	if e == "" {
		e = "2.386"
	}
	f.Notes = append(f.Notes, ledger.Message{Severity: ledger.Error, Asks: ledger.Question{Key: "decimal", Values: []string{",", "."}},
		Text: fmt.Sprintf("every number with a point has three digits behind it, so %s may be %s or %s; these numbers are not read. Write decimal = \",\" for the file under [[source]] in plant.toml if the point stands between thousands, and decimal = \".\" if it is the decimal mark",
			e, e, strings.ReplaceAll(e, ".", ""))})
}

// AskDecimal says that every number fits both ways, and which was taken.
func (f *Layout) AskDecimal(m *cell.MarkCounts) {
	e := f.decExample
	if e == "" {
		e = "2,386"
		if m.Comma3 == 0 {
			e = "2.386"
		}
	}
	v, n := lex.ParseNumber([]byte(e), f.Dec)
	if n < len(e) {
		v, _ = lex.GroupedNumber([]byte(e), f.Dec)
	}
	other := map[byte]string{',': ".", '.': ","}[f.Dec]
	f.Ask(ledger.Question{Key: "decimal", Values: []string{other, string(f.Dec)}}, 0, "every number with a mark has three digits behind it, so it fits with a decimal comma as well as with a decimal point; the file is read with a decimal %s: %s is %s. Write decimal = %q for it under [[source]] in plant.toml if that is wrong, and decimal = %q if it is right",
		cell.MarkNames[f.Dec], e, fmt.Sprint(v), other, string(f.Dec))
}

// EncodingKey is the encoding as GuessEncoding names it.
func (f *Layout) EncodingKey() string {
	if f.Encoding == "UTF-8" {
		return "utf-8"
	}
	return f.Encoding
}

// RowText is the text of a long file's row; of a wide one, whose rows hold other
// tags as well, its time as it stands and the number.
func (f *Layout) RowText(row []byte, was string) string {
	row = lex.Trim(row)
	if f.Shape == Long {
		return record.Shown(row)
	}
	fs, _ := record.SplitRow(row, f.Sep, nil, nil)
	at := f.Times.Join(nil, func(i int) []byte {
		if i >= 0 && i < len(fs) {
			return fs[i]
		}
		return nil
	})
	_, number, _ := strings.Cut(was, " ")
	return record.Shown(lex.Trim(at)) + ", " + number
}
