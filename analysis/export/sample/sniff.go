// Package sample reads a file's first records and tells what its columns look like:
// the separator, the width of a row, where the heading stands, which columns hold
// the times, and how many cells of each are numbers, words, units or qualities.
package sample

import (
	"bytes"
	"errors"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/export/stamp"
)

const (
	SniffBytes = 256 << 10
	SniffRows  = 250
)

// line is one record of the sample.
type line struct {
	Text  []byte
	First int // index of its first physical line
	lines int // physical lines it takes
}

var ErrNoTable = errors.New("no column of times beside one of values")

// Candidate is the sample read with one separator.
type Candidate struct {
	Sep                byte
	Score              float64
	Lines              []line
	Fields             [][][]byte
	Width              int // fields of a row
	Start              int // index of the first row in lines
	Dec                byte
	DecSure, DecStated bool
	Marks              cell.MarkCounts
	Kinds              []ColKind // by column
	Times              TimeCols
	timed              bool // rows hold times that are no plain numbers
	Notes              ledger.Notes
	Above              []line // of tables that are left out
	CaptionTag         string // the tag that stands alone above the only column of values
}

// ColKind counts what a column's cells look like.
type ColKind struct {
	N, Blank, Time, DateOnly, midnight, Clock, Number, State, Quality, Unit, Text int
	Distinct                                                                      map[string]int
	min, max                                                                      float64
	Rising                                                                        int // steps of exactly one
	last                                                                          float64
}

// splitSample cuts the sample into records.
func splitSample(head []byte, whole bool, sep, term byte) []line {
	var out []line
	n := 0
	for i := 0; i < len(head) && len(out) < SniffRows; {
		e, ok := record.RecordEnd(head, i, sep, term, whole)
		if !ok {
			if len(out) == 0 || whole {
				e = len(head)
			} else {
				break
			}
		}
		text := head[i:e]
		k := bytes.Count(text, []byte{term})
		out = append(out, line{bytes.TrimRight(text, "\r\n"), n, max(k, 1)})
		n += max(k, 1)
		i = e
	}
	return out
}

// AllTables for TrySeparator takes the sample as one table.
const AllTables = -1

// TrySeparator reads the sample with one separator, of its tables one below the other
// the nth from 0, or AllTables.
func TrySeparator(head []byte, whole bool, table int, sep, term byte, src *rule.SourceRule) Candidate {
	c := Candidate{Sep: sep, Score: -1, Lines: splitSample(head, whole, sep, term)}
	for i := range c.Lines {
		fs, _ := record.SplitRow(c.Lines[i].Text, sep, nil, nil)
		if record.IsComment(c.Lines[i].Text) && !(len(fs) > 1 && c.Lines[i].Text[0] == '#' && i == 0) {
			fs = nil
		}
		c.Fields = append(c.Fields, fs)
	}
	if table != AllTables && !c.onlyTable(table) {
		return c
	}
	c.findWidth()
	if c.Width < 2 {
		return c
	}
	c.look(src)
	if c.Times.found {
		c.score()
	}
	return c
}

// findWidth finds how many fields a row has: as most of the sample's later lines, of
// those that hold a time if any do.
func (c *Candidate) findWidth() {
	counts, timed := map[int]int{}, map[int]int{}
	for i, fs := range c.Fields {
		if record.TrimmedWidth(fs) >= 2 && i >= len(c.Lines)/4 {
			counts[len(fs)]++
			if timely(fs) {
				timed[len(fs)]++
			}
		}
	}
	if len(counts) == 0 { // only the first lines hold more than a time
		for _, fs := range c.Fields {
			if record.TrimmedWidth(fs) >= 2 {
				counts[len(fs)]++
				if timely(fs) {
					timed[len(fs)]++
				}
			}
		}
	}
	all := counts
	if c.timed = len(timed) > 0; c.timed {
		counts = timed
	}
	for w, n := range counts {
		if n > counts[c.Width] || n == counts[c.Width] && (all[w] > all[c.Width] || all[w] == all[c.Width] && w > c.Width) {
			c.Width = w
		}
	}
}

// score finds the first row, the first line of that width whose time can be read, and
// weighs how much of what follows is rows and how many of their cells are of a kind.
func (c *Candidate) score() {
	c.Start = -1
	good, typed, cells := 0, 0, 0
	for i, fs := range c.Fields {
		if len(fs) < 2 || len(fs) > c.Width+1 || !c.Times.reads(fs) || c.Start < 0 && len(fs) != c.Width {
			continue
		}
		if c.Start < 0 {
			c.Start = i
		}
		good++
		for _, cell := range fs {
			cells++
			if t := lex.Trim(cell); len(t) == 0 || cellIsTyped(t, c.Dec) {
				typed++
			}
		}
	}
	if c.Start < 0 {
		return
	}
	after := 0
	for i := c.Start; i < len(c.Fields); i++ {
		if len(c.Fields[i]) > 0 && len(lex.Trim(c.Lines[i].Text)) > 0 {
			after++
		}
	}
	if float64(good) >= 0.1*float64(after) {
		c.Score = float64(good)/float64(after) + float64(typed)/float64(max(cells, 1)) + 0.001*float64(min(c.Width, 50))
	}
}

// look counts what the cells of rows look like, by column, and finds the times.
// A row that is longer than the table counts with its first fields.
func (c *Candidate) look(src *rule.SourceRule) {
	c.Marks = guessDecimal(*c)
	if c.Dec, c.DecSure = c.Marks.Decide(c.Sep); src != nil && (src.Decimal == "," || src.Decimal == ".") {
		c.Dec, c.DecStated = src.Decimal[0], true
	}
	c.Kinds = make([]ColKind, c.Width)
	row := func(fs [][]byte) bool { return timely(fs) || !c.timed && !HeadLine(fs) }
	exact := false
	for _, fs := range c.Fields {
		exact = exact || len(fs) == c.Width && row(fs)
	}
	for _, fs := range c.Fields {
		if (len(fs) == c.Width || !exact && len(fs) > 1) && row(fs) {
			for k, cell := range fs[:min(len(fs), c.Width)] {
				c.Kinds[k].add(cell, c.Dec)
			}
		}
	}
	for k := range c.Kinds {
		c.Kinds[k].finish()
	}
	c.findTimes(src)
}

func cellIsTyped(t []byte, dec byte) bool {
	v := cell.ReadValue(t, dec)
	if v.Kind == cell.CellNumber {
		return true
	}
	_, ok := AnyTime(t)
	return ok
}

// AnyTime reads a time in whichever order of day and month fits.
func AnyTime(t []byte) (stamp.CivilTime, bool) {
	if !bytes.ContainsAny(t, "0123456789") {
		return stamp.CivilTime{}, false // most cells of words, at once
	}
	for _, o := range []stamp.DateOrder{stamp.OrderUnknown, stamp.DayFirst, stamp.YearFirst} {
		tm := stamp.TimeReader{Clock: stamp.ZoneOf(nil), Order: o}
		if c, st := tm.Civil(t); st == stamp.TimeOK {
			return c, true
		}
	}
	return stamp.CivilTime{}, false
}

// timely says whether a row holds a time that is no plain number.
func timely(fs [][]byte) bool {
	for _, field := range fs {
		t := lex.Trim(field)
		if len(t) < 6 || len(t) > 40 {
			continue
		}
		if _, ok := AnyTime(t); ok && !cell.Numeric(t) {
			return true
		}
	}
	return false
}

// Full is how many cells hold something.
func (k *ColKind) Full() int { return k.N - k.Blank }

func (k *ColKind) add(field []byte, dec byte) {
	t := lex.Trim(field)
	k.N++
	if len(t) == 0 {
		k.Blank++
		return
	}
	if k.Distinct == nil {
		k.Distinct = make(map[string]int, 256)
	}
	if n, ok := k.Distinct[string(t)]; ok {
		k.Distinct[string(t)] = n + 1
	} else if len(k.Distinct) < 300 {
		k.Distinct[string(t)] = 1
	}
	v, n := lex.ParseNumber(t, dec)
	if n == len(t) && n > 0 {
		k.addNumber(v)
		if digits, d := lex.Digits(t); d != len(t) || d < 8 || digits < 19000101 {
			return
		}
	}
	if c, ok := AnyTime(t); ok {
		k.Time++
		if lex.FloorMod(c.Ms, 86400_000) == 0 {
			k.midnight++
			if bytes.IndexByte(t, ':') < 0 {
				k.DateOnly++
			}
		}
		return
	}
	if n == len(t) {
		return
	}
	if isClock(t) {
		k.Clock++
	}
	switch v := cell.ReadValue(t, dec); {
	case v.Kind == cell.CellNumber && v.State:
		k.State++
	case v.Kind == cell.CellNumber:
		k.addNumber(v.V)
	case v.Kind == cell.CellText:
		k.Text++
	}
}

func (k *ColKind) addNumber(v float64) {
	if k.Number == 0 {
		k.min, k.max = v, v
	} else {
		if v == k.last+1 {
			k.Rising++
		}
		k.min, k.max = min(k.min, v), max(k.max, v)
	}
	k.last = v
	k.Number++
}

// finish counts cells that can be a quality or a unit: of columns with few
// different texts, as those are.
func (k *ColKind) finish() {
	if len(k.Distinct) > 40 {
		return
	}
	for s, n := range k.Distinct {
		if IsQualityCell([]byte(s)) {
			k.Quality += n
		}
		if IsUnitCell([]byte(s)) {
			k.Unit += n
		}
	}
}

func isClock(t []byte) bool {
	var c stamp.CivilTime
	i := bytes.IndexByte(t, ':')
	if i < 1 || i > 2 {
		return false
	}
	_, _, _, _, n, ok := stamp.TimeOfDay(t, &c, 0, nil)
	return ok && n == len(t)
}

// IsQualityCell is a word of quality or an OPC number.
func IsQualityCell(t []byte) bool {
	if _, ok := cell.QualityNumber(t); ok {
		return true
	}
	q := cell.QualityReader{}
	q.Parse(t)
	return len(q.Unknown) == 0 && len(t) < 60
}

// guessDecimal weighs the decimal mark over the sample.
func guessDecimal(c Candidate) (m cell.MarkCounts) {
	for _, fs := range c.Fields {
		for k, cell := range fs {
			t := lex.Narrow(lex.Trim(cell))
			if len(t) > 24 || len(t) == 0 || t[0]-'0' > 9 && bytes.IndexByte([]byte("+-<>,.("), t[0]) < 0 ||
				bytes.ContainsAny(t, ":/") || bytes.Count(t, []byte{'-'}) > 1 {
				continue // a time
			}
			m.Add(k, t)
		}
	}
	return m
}
