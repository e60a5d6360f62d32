package table

import (
	"io"
	"strings"
	"time"
	"unicode"

	"weirbook/analysis/sheet"
)

// WriteCSV writes headings and rows by package sheet. Notes and caption are left
// out. Numbers have a point and at most twelve significant digits, never commas or
// exponents; what is missing is an empty field.
func (t *Table) WriteCSV(w io.Writer) error {
	if err := t.Check(); err != nil {
		return err
	}
	text, err := sheet.Text(func(s *sheet.Writer) error {
		rec := make([]string, len(t.Columns))
		for j, c := range t.Columns {
			rec[j] = c.key()
		}
		if err := s.Write(rec); err != nil {
			return err
		}
		for _, r := range t.Rows {
			for j, c := range r {
				rec[j] = c.field()
			}
			if err := s.Write(rec); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	_, err = w.Write(text)
	return err
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
			return Keyboard(c.Text)
		}
		return c.Text
	}
	return ""
}

var keyboard = strings.NewReplacer("·", " ", "−", "-", "–", "-", "×", "x", "÷", "/", "°", "deg ", "µ", "u", "μ", "u", "²", "2", "³", "3",
	"≤", "<=", "≥", ">=", "±", "+/-", "→", "->", "…", "...", "’", "'", "‘", "'", "“", "\"", "”", "\"", "\u00a0", " ", "\u202f", " ", "\u2009", " ")

// Keyboard spells the signs that our own texts use with those of a keyboard:
// "mg·min/L" as "mg min/L", "−5 °C" as "-5 deg C". Letters stay as they are.
func Keyboard(s string) string { return keyboard.Replace(s) }

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

// Plain writes a number for programs: up to twelve significant digits, a point, no
// exponent.
func Plain(v float64) string { return sheet.Figure(v, 12) }

// Neutral is sheet.Neutral, for texts that go into other sheets than CSV.
func Neutral(s string) string { return sheet.Neutral(s) }
