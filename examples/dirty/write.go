package main

import (
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"time"
	"unicode/utf16"
)

// A reading as it was written: when and what, and whether the file says itself
// that it is not to be used.
type reading struct {
	t   time.Time
	v   float64
	bad bool
}

// tags of every file, of an invented plant: a flow that passes a thousand, a
// small residual, a millivolt of whole numbers, a temperature below zero.
var tags = []struct {
	name, unit string
	places     int
	value      func(i int, r *rand.Rand) float64
}{
	{"FT-12", "gpm", 1, func(i int, r *rand.Rand) float64 { return 700 + float64(i%96)*9 + float64(r.IntN(400))/10 }},
	{"CL-7", "mg/L", 2, func(i int, r *rand.Rand) float64 { return 0.05 + float64(r.IntN(300))/100 }},
	{"OR-9", "mV", 0, func(i int, r *rand.Rand) float64 { return float64(420 + r.IntN(300)) }},
	{"TT-3", "degC", 1, func(i int, r *rand.Rand) float64 { return -4 + float64(r.IntN(160))/10 }},
}

// A written export, and what it says.
type written struct {
	name  string
	bytes []byte
	truth map[string][]reading
	last  time.Time // of the last row, which tail "cut short" cuts
}

var chicago = func() *time.Location {
	z, err := time.LoadLocation("America/Chicago")
	if err != nil {
		panic(err)
	}
	return z
}()

// write makes the export of a crossing.
func write(c crossing, seed uint64) written {
	w := &writer{c: c, rnd: rand.New(rand.NewPCG(seed, 12)), truth: map[string][]reading{}}
	w.delimiter = map[string]string{"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|"}[c["delimiter"]]
	times := w.times()
	rows := w.rows(times)
	return written{name: "export.csv", bytes: w.encode(w.table(rows)), truth: w.truth, last: rows[len(rows)-1].t}
}

type writer struct {
	c         crossing
	rnd       *rand.Rand
	delimiter string
	truth     map[string][]reading
}

// times of the rows: quarters of an hour over five days that hold the clock
// change asked for, if any.
func (w *writer) times() []time.Time {
	start := time.Date(2026, 6, 9, 21, 30, 0, 0, chicago)
	n := 4 * 24 * 5
	switch {
	case w.c["clock"] == "spring":
		start = time.Date(2026, 3, 6, 21, 30, 0, 0, chicago)
	case w.c["clock"] == "autumn":
		start = time.Date(2026, 10, 30, 21, 30, 0, 0, chicago)
	case w.c["dates"] == "early d/m/y":
		start, n = time.Date(2026, 6, 2, 21, 30, 0, 0, chicago), 4*24*4
	}
	if w.c["start"] == "one row" {
		n = 1
	}
	var all []time.Time
	for i := range n {
		if w.c["start"] == "gaps" && i > 3 && w.rnd.IntN(20) == 0 {
			continue
		}
		all = append(all, start.Add(time.Duration(i)*15*time.Minute))
	}
	return all
}

// A row is a time and a cell of each tag; cells that hold no value have v NaN.
type row struct {
	t     time.Time
	cells []string
	bad   []bool
}

func (w *writer) rows(times []time.Time) []row {
	var rows []row
	for i, t := range times {
		r := row{t: t, cells: make([]string, len(tags)), bad: make([]bool, len(tags))}
		for k, tag := range tags {
			v := tag.value(i, w.rnd)
			v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'f', tag.places, 64), 64)
			outage := w.c["start"] == "outage" && i < 300
			if outage || w.c["missing"] != "none" && i > 2 && w.rnd.IntN(13) == 0 {
				r.cells[k] = w.missing()
				continue
			}
			r.bad[k] = (w.c["quality"] == "words" || w.c["quality"] == "192") && w.rnd.IntN(11) == 0
			r.cells[k] = w.number(v, tag.places, tag.unit)
			w.truth[tag.name] = append(w.truth[tag.name], reading{t, v, r.bad[k]})
		}
		rows = append(rows, r)
	}
	switch w.c["order"] {
	case "newest first":
		for i, j := 0, len(rows)-1; i < j; i, j = i+1, j-1 {
			rows[i], rows[j] = rows[j], rows[i]
		}
	case "shuffled":
		w.rnd.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
	case "a block twice":
		if len(rows) > 60 {
			rows = append(rows[:60:60], rows[40:]...)
		}
	}
	return rows
}

func (w *writer) missing() string {
	switch w.c["missing"] {
	case "none", "blank":
		return ""
	case "dashes":
		return "---"
	case "words":
		return "No Data"
	}
	return w.c["missing"]
}

// number writes a value the way the crossing says, never with fewer digits.
func (w *writer) number(v float64, places int, unit string) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	point, mark := ".", ","
	if w.c["decimal"] == "comma" {
		point, mark = ",", "."
	}
	group := map[string]string{"thousands": mark, "thousands apostrophe": "'", "thousands thin space": "\u2009", "thousands no-break space": "\u00a0"}[w.c["number"]]
	whole, frac, _ := strings.Cut(s, ".")
	if group != "" && len(whole) > 3 {
		whole = whole[:len(whole)-3] + group + whole[len(whole)-3:]
	}
	join := func(whole, frac string) string {
		if frac == "" {
			return whole
		}
		return whole + point + frac
	}
	switch w.c["number"] {
	case "exponent":
		m, e, _ := strings.Cut(strconv.FormatFloat(v, 'E', 5, 64), "E")
		return strings.Replace(m, ".", point, 1) + "E" + e
	case "unit in cell":
		return join(whole, frac) + " " + unit
	case "full width":
		return strings.Map(func(r rune) rune {
			if r >= '0' && r <= '9' {
				return r - '0' + '０'
			}
			return r
		}, join(whole, frac))
	case "minus sign":
		return strings.Replace(join(whole, frac), "-", "\u2212", 1)
	case "padded":
		return "   " + join(whole, frac)
	case "trailing zeros":
		return join(whole, frac+"00")
	case "plus sign":
		if v > 0 {
			return "+" + join(whole, frac)
		}
	}
	return join(whole, frac)
}

// stamp writes a time: one cell, or two.
func (w *writer) stamp(t time.Time) []string {
	day := t
	clock := t.Format("15:04")
	if t.Hour() == 0 && t.Minute() == 0 && strings.HasPrefix(w.c["clock"], "midnight") {
		day = t.Add(-12 * time.Hour)
		if w.c["clock"] == "midnight 24:00" {
			clock = "24:00"
		}
	}
	date := func(layout string) string { return day.Format(layout) }
	switch w.c["dates"] {
	case "iso T":
		return []string{date("2006-01-02") + "T" + clock + ":00"}
	case "m/d/y am/pm":
		return []string{date("1/2/2006") + " " + t.Format("3:04:05 PM")}
	case "d/m/y", "early d/m/y":
		return []string{date("02/01/2006") + " " + clock}
	case "d.m.y":
		return []string{date("02.01.2006") + " " + clock + ":00"}
	case "d-mon-y":
		return []string{date("02-Jan-06") + " " + clock}
	case "compact":
		return []string{date("20060102") + strings.Replace(clock, ":", "", 1)}
	case "serial":
		_, off := t.Zone()
		return []string{strconv.FormatFloat(25569+float64(t.Unix()+int64(off))/86400, 'f', 8, 64)}
	case "epoch s":
		return []string{strconv.FormatInt(t.Unix(), 10)}
	case "epoch ms":
		return []string{strconv.FormatInt(t.UnixMilli(), 10)}
	case "two columns":
		return []string{date("2006-01-02"), clock}
	case "fraction":
		return []string{date("2006-01-02") + " " + clock + ":00.000"}
	case "offset":
		return []string{t.Format("2006-01-02T15:04:05-07:00")}
	case "two-digit year":
		return []string{date("06-01-02") + " " + clock}
	case "ms column":
		return []string{date("2006-01-02") + " " + clock + ":00", "0"}
	}
	return []string{date("2006-01-02") + " " + clock}
}

func (w *writer) stampHead() []string {
	switch w.c["dates"] {
	case "two columns":
		return []string{"Date", "Time"}
	case "ms column":
		return []string{"Time", "ms"}
	}
	return []string{"Time"}
}

// encode gives the text its line ends and its bytes.
func (w *writer) encode(lines []string) []byte {
	end := "\n"
	switch w.c["line ends"] {
	case "crlf":
		end = "\r\n"
	case "cr":
		end = "\r"
	}
	text := strings.Join(lines, end)
	if w.c["line ends"] != "no last" {
		text += end
	}
	switch w.c["encoding"] {
	case "bom":
		return []byte("\ufeff" + text)
	case "utf-16", "utf-16be":
		var order binary.AppendByteOrder = binary.LittleEndian
		if w.c["encoding"] == "utf-16be" {
			order = binary.BigEndian
		}
		var b []byte
		for _, u := range utf16.Encode([]rune("\ufeff" + text)) {
			b = order.AppendUint16(b, u)
		}
		return b
	case "windows-1252":
		var b []byte
		for _, r := range text {
			if r > 0xff {
				panic(fmt.Sprintf("no byte for %q", r))
			}
			b = append(b, byte(r))
		}
		return b
	}
	return []byte(text)
}
