package export

import (
	"bytes"
	"errors"
)

const (
	sniffBytes = 256 << 10
	sniffRows  = 250
)

// line is one record of the sample.
type line struct {
	text  []byte
	first int // index of its first physical line
	lines int // physical lines it takes
}

var errNoTable = errors.New("no column of times beside one of values")

// candidate is the sample read with one separator.
type candidate struct {
	sep              byte
	score            float64
	lines            []line
	fields           [][][]byte
	width            int // fields of a row
	start            int // index of the first row in lines
	dec              byte
	decSure, decTold bool
	marks            markCounts
	kinds            []colKind // by column
	times            timeCols
	timed            bool // rows hold times that are no plain numbers
	notes            Notes
	lone             string // the tag that stands alone above the only column of values
}

// colKind counts what a column's cells look like.
type colKind struct {
	n, blank, time, dateOnly, midnight, clock, number, state, quality, unit, text int
	distinct                                                                      map[string]int
	min, max                                                                      float64
	rising                                                                        int // steps of exactly one
	last                                                                          float64
}

// splitSample cuts the sample into records.
func splitSample(head []byte, whole bool, sep, term byte) []line {
	var out []line
	n := 0
	for i := 0; i < len(head) && len(out) < sniffRows; {
		e, ok := recordEnd(head, i, sep, term, whole)
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

// trySeparator reads the sample with one separator; first leaves out what stands
// behind a second heading.
func trySeparator(head []byte, whole, first bool, sep, term byte, src *SourceRule) candidate {
	c := candidate{sep: sep, score: -1, lines: splitSample(head, whole, sep, term)}
	counts, timed := map[int]int{}, map[int]int{}
	for i := range c.lines {
		fs, _ := splitRow(c.lines[i].text, sep, nil, nil)
		if isComment(c.lines[i].text) && !(len(fs) > 1 && c.lines[i].text[0] == '#' && i == 0) {
			fs = nil
		}
		c.fields = append(c.fields, fs)
	}
	if first {
		c.onlyFirst()
	}
	for i, fs := range c.fields {
		if n := trimmedWidth(fs); n >= 2 && i >= len(c.lines)/4 {
			counts[len(fs)]++
			if timely(fs) {
				timed[len(fs)]++
			}
		}
	}
	all := counts
	if len(timed) > 0 { // rows that hold a time say how wide a row is
		counts = timed
	}
	for w, n := range counts {
		if n > counts[c.width] || n == counts[c.width] && (all[w] > all[c.width] || all[w] == all[c.width] && w > c.width) {
			c.width = w
		}
	}
	if c.width < 2 {
		return c
	}
	c.timed = len(timed) > 0
	c.look(src)
	if !c.times.found {
		return c
	}
	// The first row is the first line of that width whose time can be read.
	c.start = -1
	good, typed, cells := 0, 0, 0
	for i, fs := range c.fields {
		if len(fs) < 2 || len(fs) > c.width+1 || !c.times.reads(fs) {
			continue
		}
		if c.start < 0 {
			if len(fs) != c.width {
				continue
			}
			c.start = i
		}
		good++
		for _, cell := range fs {
			cells++
			if t := trim(cell); len(t) == 0 || cellIsTyped(t, c.dec) {
				typed++
			}
		}
	}
	if c.start < 0 {
		return c
	}
	after := 0
	for i := c.start; i < len(c.fields); i++ {
		if len(c.fields[i]) > 0 && len(trim(c.lines[i].text)) > 0 {
			after++
		}
	}
	c.score = float64(good)/float64(after) + float64(typed)/float64(max(cells, 1)) + 0.001*float64(min(c.width, 50))
	if float64(good) < 0.1*float64(after) {
		c.score = -1
	}
	return c
}

// look counts what the cells of rows look like, by column, and finds the times.
// A row that is longer than the table counts with its first fields.
func (c *candidate) look(src *SourceRule) {
	c.marks = guessDecimal(*c)
	if c.dec, c.decSure = c.marks.decide(c.sep); src != nil && (src.Decimal == "," || src.Decimal == ".") {
		c.dec, c.decTold = src.Decimal[0], true
	}
	c.kinds = make([]colKind, c.width)
	exact := false
	for _, fs := range c.fields {
		exact = exact || len(fs) == c.width && (!c.timed || timely(fs))
	}
	for _, fs := range c.fields {
		if (len(fs) == c.width || !exact && len(fs) > 1) && (!c.timed || timely(fs)) {
			for k, cell := range fs[:min(len(fs), c.width)] {
				c.kinds[k].add(cell, c.dec)
			}
		}
	}
	for k := range c.kinds {
		c.kinds[k].finish()
	}
	c.findTimes(src)
}

func trimmedWidth(fs [][]byte) int {
	n := len(fs)
	for n > 0 && len(trim(fs[n-1])) == 0 {
		n--
	}
	return n
}

func isComment(b []byte) bool {
	return len(b) > 0 && (b[0] == '#' || b[0] == '!' || bytes.HasPrefix(b, []byte("//")))
}

func cellIsTyped(t []byte, dec byte) bool {
	v := readValue(t, dec)
	if v.kind == cellNumber {
		return true
	}
	_, ok := anyTime(t)
	return ok
}

// anyTime reads a time in whichever order of day and month fits.
func anyTime(t []byte) (civilTime, bool) {
	if !bytes.ContainsAny(t, "0123456789") {
		return civilTime{}, false // most cells of words, at once
	}
	for _, o := range []dateOrder{orderUnknown, dayFirst, yearFirst} {
		tm := timeReader{clock: zoneOf(nil), order: o}
		if c, st := tm.civil(t); st == timeOK {
			return c, true
		}
	}
	return civilTime{}, false
}

// timely says whether a row holds a time that is no plain number.
func timely(fs [][]byte) bool {
	for _, cell := range fs {
		t := trim(cell)
		if len(t) < 6 || len(t) > 40 {
			continue
		}
		if _, ok := anyTime(t); ok && !numeric(t) {
			return true
		}
	}
	return false
}

func (k *colKind) add(cell []byte, dec byte) {
	t := trim(cell)
	k.n++
	if len(t) == 0 {
		k.blank++
		return
	}
	if k.distinct == nil {
		k.distinct = make(map[string]int, 256)
	}
	if n, ok := k.distinct[string(t)]; ok {
		k.distinct[string(t)] = n + 1
	} else if len(k.distinct) < 300 {
		k.distinct[string(t)] = 1
	}
	v, n := parseNumber(t, dec)
	if n == len(t) && n > 0 {
		k.addNumber(v)
		if digits, d := digits(t); d != len(t) || d < 8 || digits < 19000101 {
			return
		}
	}
	if c, ok := anyTime(t); ok {
		k.time++
		if floorMod(c.ms, 86400_000) == 0 {
			k.midnight++
			if bytes.IndexByte(t, ':') < 0 {
				k.dateOnly++
			}
		}
		return
	}
	if n == len(t) {
		return
	}
	if isClock(t) {
		k.clock++
	}
	switch v := readValue(t, dec); {
	case v.kind == cellNumber && v.state:
		k.state++
	case v.kind == cellNumber:
		k.addNumber(v.v)
	case v.kind == cellText:
		k.text++
	}
}

func (k *colKind) addNumber(v float64) {
	if k.number == 0 {
		k.min, k.max = v, v
	} else {
		if v == k.last+1 {
			k.rising++
		}
		k.min, k.max = min(k.min, v), max(k.max, v)
	}
	k.last = v
	k.number++
}

// finish counts cells that can be a quality or a unit: of columns with few
// different texts, as those are.
func (k *colKind) finish() {
	if len(k.distinct) > 40 {
		return
	}
	for s, n := range k.distinct {
		if isQualityCell([]byte(s)) {
			k.quality += n
		}
		if isUnitCell([]byte(s)) {
			k.unit += n
		}
	}
}

func isClock(t []byte) bool {
	var c civilTime
	i := bytes.IndexByte(t, ':')
	if i < 1 || i > 2 {
		return false
	}
	_, _, _, _, n, ok := timeOfDay(t, &c, 0, nil)
	return ok && n == len(t)
}

// isQualityCell is a word of quality or an OPC number.
func isQualityCell(t []byte) bool {
	if _, ok := qualityNumber(t); ok {
		return true
	}
	q := qualityReader{}
	q.parse(t)
	return len(q.unknown) == 0 && len(t) < 60
}

// guessDecimal weighs the decimal mark over the sample.
func guessDecimal(c candidate) (m markCounts) {
	for _, fs := range c.fields {
		for k, cell := range fs {
			t := trim(cell)
			if len(t) > 24 || len(t) == 0 || t[0]-'0' > 9 && bytes.IndexByte([]byte("+-<>,.("), t[0]) < 0 ||
				bytes.ContainsAny(t, ":/") || bytes.Count(t, []byte{'-'}) > 1 {
				continue // a time
			}
			m.add(k, t)
		}
	}
	return m
}
