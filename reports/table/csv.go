package table

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// WriteCSV writes headings and rows after RFC 4180: comma, CRLF, UTF-8 with no
// byte order mark. Notes and caption are left out. Numbers have a point and at
// most twelve significant digits, never commas or exponents; what is missing is
// an empty field.
//
// A spreadsheet would run a text that begins like a formula; such a text gets
// an apostrophe in front, which spreadsheets take to mean "text". Numbers stay
// as they are.
func (t *Table) WriteCSV(w io.Writer) error {
	if err := t.Check(); err != nil {
		return err
	}
	cw := csv.NewWriter(w)
	cw.UseCRLF = true
	rec := make([]string, len(t.Columns))
	for j, c := range t.Columns {
		rec[j] = c.key()
	}
	if err := cw.Write(rec); err != nil {
		return err
	}
	for _, r := range t.Rows {
		for j, c := range r {
			rec[j] = c.field()
		}
		if err := cw.Write(rec); err != nil {
			return err
		}
	}
	cw.Flush()
	return cw.Error()
}

// field is the cell as a CSV field.
func (c Cell) field() string {
	switch c.Kind {
	case Number:
		return c.Sign + Plain(c.Value)
	case Time:
		return c.Time.Format(time.RFC3339)
	case Text:
		if c.Prose {
			return Neutral(Keyboard(c.Text))
		}
		return Neutral(c.Text)
	}
	return ""
}

var keyboard = strings.NewReplacer("·", " ", "−", "-", "–", "-", "×", "x", "÷", "/", "°", "deg ", "µ", "u", "μ", "u", "²", "2", "³", "3",
	"≤", "<=", "≥", ">=", "±", "+/-", "→", "->", "…", "...", "’", "'", "‘", "'", "“", "\"", "”", "\"", "\u00a0", " ", "\u202f", " ", "\u2009", " ")

// Keyboard spells the signs that our own texts use with those of a keyboard:
// "mg·min/L" as "mg min/L", "−5 °C" as "-5 deg C". Letters stay as they are.
func Keyboard(s string) string { return keyboard.Replace(s) }

// Plain writes a number for programs: up to twelve significant digits, a
// point, no exponent.
func Plain(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64)
	if err != nil || r == 0 {
		return "0"
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// Neutral puts an apostrophe before a text that a spreadsheet would take for a
// formula: one that begins with =, +, -, @, a tab or a line break. A text that
// is only a number is left alone.
func Neutral(s string) string {
	lead := strings.TrimLeft(s, " ")
	if lead == "" || !strings.ContainsRune("=+-@\t\r\n", rune(lead[0])) {
		return s
	}
	if _, err := strconv.ParseFloat(strings.TrimSpace(s), 64); err == nil {
		return s
	}
	return "'" + s
}

// key is the CSV heading.
func (c Column) key() string {
	if c.Key != "" {
		return c.Key
	}
	name := c.Name
	if c.Unit != "" {
		name += "_" + strings.NewReplacer("/", " per ", "·", " ", "%", "percent", "°", "deg ").Replace(c.Unit)
	}
	var b strings.Builder
	gap := false
	for _, r := range strings.ToLower(name) {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '.' {
			if gap && b.Len() > 0 {
				b.WriteByte('_')
			}
			gap = false
			b.WriteRune(r)
			continue
		}
		gap = true
	}
	return b.String()
}
