package export

import (
	"fmt"
	"strings"

	"weirbook/analysis/series"
)

// layout of a table.
type layout uint8

const (
	long layout = iota // a row per reading
	wide               // a column per tag; one file per tag is wide with one column
)

// role of a column.
type role uint8

const (
	roleSkip role = iota
	roleTime
	roleDate
	roleClock
	roleYear
	roleMonth
	roleDay
	roleHour
	roleMinute
	roleHalf // AM or PM
	roleTag
	rolePlace // sampling place of a laboratory sheet, joined to the tag
	roleValue
	roleQuality
	roleUnit
	roleSign // < and > of a result, in a column of their own
)

// rowOrder is an order of a long file's columns.
type rowOrder uint8

const (
	anyOrder rowOrder = iota
	timeTagValue
	tagTimeValue
)

// column is one column of a table.
type column struct {
	role role
	name string // tag of a wide file's value column
	unit string // as declared in the heading
	desc string
	tag  int  // number of the tag, wide
	own  int  // which of format.own is its time
	pair bool // a quality or unit column follows that belongs to it
	head string

	quality int // wide: one more than the column of its quality; 0: none

	// Of a column of signs:
	of    string // what its heading says it belongs to
	less  bool   // it asks for less than alone
	signs int    // the column of its value
}

// format is everything that was decided about a file before its rows are read.
type format struct {
	encoding       string
	sep, term, dec byte
	sepBytes       []byte
	decSure        bool   // dec is settled
	weigh          bool   // all numbers are to be looked at for it
	decExample     string // of the first rows, a number that fits both ways
	comment        byte   // 0: none
	skip           int    // lines before the first row
	headAt         int    // lines before the heading
	layout         layout
	cols           []column
	ops            []role // fast reading of a long row: the roles of its columns
	fast           bool
	rowOrder       rowOrder // long: the columns stand in an order that longRows reads
	step           int      // wide: a time, then nothing but values (1), or values with a quality behind each (2); else 0
	need           int      // fields a row must have
	tm             timeReader
	codes          qualityCodes
	codesSure      bool
	qualityWords   map[string]series.Flag // as plant.toml says
	hasQuality     bool
	signed         bool     // a column holds signs
	orderSure      bool     // the date order is settled, or does not matter
	orderTold      bool     // plant.toml states it
	newest         bool     // the newest reading stands first
	headWord       string   // the abbreviation that a heading gives the clock as
	said           saidZone // what a line above the table says about the clock
	noQuality      bool     // plant.toml says that no column is a quality
	heads          *headWords
	refused        error // why the file cannot be read without being told more
	scattered      bool  // wide: qualities stand elsewhere than right behind their values

	times                                  timeCols
	tagCol, placeCol, valueCol, qualityCol int
	unitCol                                int

	own    []ownTime // times of the values, where the row has not one for all
	hourly bool      // they are hours of a day, of one tag

	// The heading's lines, to tell them from those of another table (nexttable.go).
	headLines [][]string
	headed    bool            // the times have a heading of times
	timeHead  string          // what stands above the times
	single    string          // the tag of a table that holds one and does not head it
	lone      string          // the same, where its name stands alone above it
	asked     byte            // the decimal mark that a question was put about
	byFile    bool            // the tag is named after the file
	above     string          // the line above its heading, if it may be a name (linesabove.go)
	titles    []string        // all such lines above
	fileNote  string          // the message that says so
	noTable   map[string]bool // lines that look like a heading and begin no table
	follow    bool            // a heading of other columns begins another table
	closed    bool            // every row is set aside

	zone     string
	notes    Notes
	textTime bool
}

func newFormat() *format {
	return &format{times: noTimes(), tagCol: -1, placeCol: -1, valueCol: -1, qualityCol: -1, unitCol: -1, dec: '.', term: '\n'}
}

// settle derives the column numbers from the roles.
func (f *format) settle() {
	f.sepBytes = []byte{f.sep}
	for i := range f.cols {
		switch f.cols[i].role {
		case roleTag:
			f.tagCol = i
		case rolePlace:
			f.placeCol = i
		case roleValue:
			f.valueCol = i
		case roleQuality:
			f.qualityCol = i
			f.hasQuality = true
		case roleUnit:
			f.unitCol = i
		}
	}
	f.need = 0
	for i, c := range f.cols {
		switch c.role {
		case roleSkip:
		case roleUnit, roleQuality, roleSign:
			if f.layout == wide {
				f.need = i + 1
			}
		default:
			f.need = i + 1
		}
	}
	f.ops = nil
	for _, c := range f.cols {
		f.ops = append(f.ops, c.role)
	}
	plain := f.own == nil // one time a row
	f.rowOrder = anyOrder
	if n := len(f.ops); plain && f.layout == long && (n == 3 || n == 4 && f.ops[3] == roleQuality) && f.ops[2] == roleValue {
		switch {
		case f.ops[0] == roleTime && f.ops[1] == roleTag:
			f.rowOrder = timeTagValue
		case f.ops[0] == roleTag && f.ops[1] == roleTime:
			f.rowOrder = tagTimeValue
		}
	}
	f.step = 0
	if plain {
		f.step = f.stepOf()
	}
	f.fast = plain && f.times.time >= 0 && f.times.half < 0 && !f.scattered
	if f.layout == long {
		f.fast = f.fast && f.tagCol >= 0 && f.placeCol < 0 && f.valueCol >= 0
	} else {
		for i, c := range f.cols {
			if c.role == roleValue && i < f.times.time {
				f.fast = false
			}
		}
	}
	if f.count(roleSign) > 0 {
		f.fast = false
		f.signed = true
		f.placeSigns()
	}
	for i := range f.cols {
		if f.cols[i].role == roleValue && f.layout == wide {
			for k := i + 1; k < len(f.cols) && f.cols[k].role != roleValue; k++ {
				if f.cols[k].role == roleQuality || f.cols[k].role == roleUnit {
					f.cols[i].pair = true
				}
			}
		}
	}
}

// stepOf says how the values of a wide file follow its time: see format.step.
func (f *format) stepOf() int {
	if f.layout != wide || f.times.time != 0 || f.times.half >= 0 || f.scattered {
		return 0
	}
	ops := f.ops[1:]
	for step := 1; step <= 2; step++ {
		ok := len(ops) > 0 && len(ops)%step == 0
		for k, o := range ops {
			ok = ok && o == []role{roleValue, roleQuality}[k%step]
		}
		if ok {
			return step
		}
	}
	return 0
}

var sepNames = map[byte]string{',': "comma", ';': "semicolon", '\t': "tab", '|': "bar", 0x1f: "one column"}

// describe says in plain words what the file was taken for.
func (f *format) describe(packed string) string {
	var s []string
	switch {
	case f.layout == long:
		s = append(s, "a row per reading")
	case f.hourly:
		s = append(s, "one tag, a row per day and a column per hour")
	default:
		n := 0
		for _, c := range f.cols {
			if c.role == roleValue {
				n++
			}
		}
		if n == 1 {
			s = append(s, "one tag, a row per time")
		} else {
			s = append(s, fmt.Sprintf("a column per tag, %d tags", n))
		}
	}
	s = append(s, sepNames[f.sep]+"-separated")
	if f.dec == ',' {
		s = append(s, "decimal comma")
	}
	enc := f.encoding
	if packed != "" {
		enc += " in " + packed
	}
	s = append(s, enc)
	t := "times as " + timeKindNames[f.tm.kind]
	if f.times.serialDate {
		t = "times as " + timeKindNames[serialTime]
	}
	if f.tm.kind == textTime && f.tm.order != orderUnknown && f.tm.order != yearFirst {
		t += ", " + orderNames[f.tm.order]
	}
	switch {
	case f.times.date >= 0 && f.times.clk >= 0:
		t += " in a date and a time column" + clockFormNames[f.times.form]
	case f.times.date >= 0 && f.times.hour >= 0:
		t += " in a date and an hour column"
		if f.times.minute >= 0 {
			t = strings.TrimSuffix(t, "an hour column") + "columns of hours and minutes"
		}
	case f.times.ymd != nil:
		t += " in year, month and day columns" + clockFormNames[f.times.form]
	}
	if f.times.half >= 0 {
		t += ", AM or PM in one of its own"
	}
	s = append(s, t)
	if f.newest {
		s = append(s, "newest first")
	}
	if f.hasQuality {
		s = append(s, "quality as "+qualityCodeNames[f.codes])
	}
	if f.placeCol >= 0 {
		s = append(s, "tag is place and parameter joined")
	}
	if f.skip == 1 {
		s = append(s, "1 line before the first row")
	} else {
		s = append(s, fmt.Sprintf("%d lines before the first row", f.skip))
	}
	return strings.Join(s, "; ")
}

// cleanName makes a name of a cell: decoded, on one line, blanks trimmed.
func cleanName(b []byte) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(decodeText(trim(b)), "\u00a0", " ")), " ")
}

func (f *format) note(sev Severity, line int, format string, args ...any) {
	f.notes.Add(sev, line, format, args...)
}
