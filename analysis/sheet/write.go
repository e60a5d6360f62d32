// Package sheet writes and reads the small sheets that people keep and open in a
// spreadsheet: a plant's tags, findings, samples, moves. It is the one place that
// settles line ends, the byte order mark and what a spreadsheet would take for a
// formula. The bulk exports are not read here; package export does that.
package sheet

import (
	"bytes"
	"encoding/csv"
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"

	"github.com/gocarina/gocsv"
)

// Writer writes rows after RFC 4180: commas, CRLF, every heading and cell by
// Neutral. It is a gocsv.CSVWriter.
type Writer struct {
	cw   *csv.Writer
	head func(string) string
	row  []string
	n    int
}

// Write writes one row; the first is the heading.
func (w *Writer) Write(row []string) error {
	w.row = w.row[:0]
	for _, s := range row {
		if w.n == 0 && w.head != nil {
			s = w.head(s)
		}
		w.row = append(w.row, Neutral(s))
	}
	w.n++
	return w.cw.Write(w.row)
}

// Flush passes on what is written.
func (w *Writer) Flush() { w.cw.Flush() }

// Error is the first error of writing.
func (w *Writer) Error() error { return w.cw.Error() }

// Text is the sheet that write writes, in UTF-8. Where it holds more than ASCII it
// begins with a byte order mark: a spreadsheet on Windows shows "°C" as "Â°C"
// without one.
func Text(write func(*Writer) error) ([]byte, error) {
	return textOf(nil, write)
}

func textOf(head func(string) string, write func(*Writer) error) ([]byte, error) {
	var b bytes.Buffer
	w := &Writer{cw: csv.NewWriter(&b), head: head}
	w.cw.UseCRLF = true
	if err := write(w); err != nil {
		return nil, err
	}
	w.Flush()
	if err := w.Error(); err != nil {
		return nil, err
	}
	for _, c := range b.Bytes() {
		if c >= 0x80 {
			return append([]byte("\ufeff"), b.Bytes()...), nil
		}
	}
	return b.Bytes(), nil
}

// Rows is the sheet of a slice of structs, whose fields are tagged with their
// heading: `csv:"start"`. head, if not nil, makes the heading written of the one
// tagged.
func Rows(rows any, head func(string) string) ([]byte, error) {
	return textOf(head, func(w *Writer) error { return gocsv.MarshalCSV(rows, w) })
}

// Heading is a column of a sheet and what it holds.
type Heading struct {
	Name  string
	About string // the tag `about:"…"` of the field
}

// Headings lists the columns of a struct that Rows writes.
func Headings[T any]() []Heading {
	var out []Heading
	t := reflect.TypeFor[T]()
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("csv"), ",")
		out = append(out, Heading{name, f.Tag.Get("about")})
	}
	return out
}

// Neutral puts an apostrophe before a text that a spreadsheet would take for a
// formula: one that begins with =, +, -, @, a tab or a line break, with or without
// blanks or marks before it. A text that is only a number is left alone.
func Neutral(s string) string {
	if _, err := strconv.ParseFloat(strings.TrimSpace(s), 64); err == nil || !formula(s) {
		return s
	}
	return "'" + s
}

// Plain takes away the apostrophe that Neutral puts.
func Plain(s string) string {
	if rest, ok := strings.CutPrefix(s, "'"); ok && formula(rest) {
		return rest
	}
	return s
}

func formula(s string) bool {
	lead := strings.TrimLeft(s, " \u00a0\u200b\ufeff\x00")
	if lead == "" {
		return false
	}
	// The wide forms of the signs are taken alike where East Asian text is entered.
	return strings.ContainsRune("=+-@\t\r\n|＝＋－＠", []rune(lead)[0])
}

// Number is a figure in a cell: up to twelve significant digits, a point and no
// exponent; nothing where it is not known.
type Number float64

// MarshalCSV is the cell.
func (v Number) MarshalCSV() (string, error) { return Figure(float64(v), 12), nil }

// Figure writes a number with so many significant digits, no exponent, and
// nothing for a number that is not known.
func Figure(v float64, digits int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	if err != nil {
		return ""
	}
	if r == 0 {
		return "0" // not "-0"
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// Moment is a time in a cell: RFC 3339 with its offset; nothing for the zero time.
type Moment time.Time

// At is a moment of the clock of a zone, of Unix milliseconds.
func At(ms int64, zone *time.Location) Moment { return Moment(time.UnixMilli(ms).In(zone)) }

// UTC is the same moment on the clock of UTC: a column of one offset, which all
// programs read.
func (m Moment) UTC() Moment { return Moment(time.Time(m).UTC()) }

// MarshalCSV is the cell.
func (m Moment) MarshalCSV() (string, error) {
	if t := time.Time(m); !t.IsZero() {
		return t.Format(time.RFC3339), nil
	}
	return "", nil
}
