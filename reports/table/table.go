// Package table holds one table as a value and writes it as aligned text,
// Markdown or CSV. A cell keeps its type, so that each form can write it
// right: for people rounded and with the unit in the heading, for programs with
// the digits it has and times in RFC 3339.
package table

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// Table is headings, rows and notes.
type Table struct {
	Caption string
	Columns []Column
	Rows    [][]Cell // each as long as Columns
	Notes   []string // under the table
}

// Column is one column's heading.
type Column struct {
	Name  string // for people: "Flow, mean"
	Unit  string // for people: "MGD"; empty: none
	Key   string // CSV heading: "flow_mean_mgd"; empty: Name and Unit made into one
	Align Align
}

// Align is how a column stands. Auto sets columns of numbers to the right and
// all others to the left.
type Align int

const (
	Auto Align = iota
	Left
	Right
)

// Kind is what a cell holds.
type Kind int

const (
	Empty Kind = iota // nothing to say
	Text
	Number
	Time
	Missing // a value that should be there and could not be determined
)

// Cell is one typed cell. Make cells with the functions below; the zero Cell
// is empty.
type Cell struct {
	Kind     Kind
	Text     string    // Text; of a Missing cell, what people read instead
	Value    float64   // Number
	Decimals int       // Number: digits after the point, for people
	Sign     string    // Number: "<" or ">" before it; the CSV form writes it too
	Time     time.Time // Time, in the zone to be shown
	Layout   string    // Time: how people read it
	Strong   bool      // Text, Number: set off, as by bold letters
	Prose    bool      // Text: our own words, see Prose
	Link     string    // where a page links it: "#event-1"; other forms leave it out
}

// Str is a text cell.
func Str(s string) Cell { return Cell{Kind: Text, Text: s} }

// Prose is a text cell of our own words. The CSV form spells their signs with
// those of a keyboard (Keyboard): a spreadsheet that takes a CSV file for another
// encoding than UTF-8 would show "Â·" for a raised dot. Names and rows of exports
// are no prose.
func Prose(s string) Cell { return Cell{Kind: Text, Text: s, Prose: true} }

// Num is a number shown with the given decimals. One that is not a number
// becomes a Missing cell: unknown is never zero.
func Num(v float64, decimals int) Cell {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return NA("n.d.")
	}
	return Cell{Kind: Number, Value: v, Decimals: decimals}
}

// Int is a whole number.
func Int(n int) Cell { return Cell{Kind: Number, Value: float64(n)} }

// Sig is a number shown with n significant digits.
func Sig(v float64, n int) Cell {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return Num(v, 0)
	}
	// Rounding may add a digit (9.996 to three digits is 10.0), so ask the
	// rounded number for its size.
	r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'e', n-1, 64), 64)
	return Num(v, max(0, n-1-int(math.Floor(math.Log10(math.Abs(r))))))
}

// Signed is a number with "<" or ">" before it, as laboratories report it.
func Signed(sign string, v float64, decimals int) Cell {
	c := Num(v, decimals)
	c.Sign = sign
	return c
}

// When is a time. People read it in the layout ("2 Jan 15:04" when empty),
// programs in RFC 3339 with its distance from UTC.
func When(t time.Time, layout string) Cell {
	if layout == "" {
		layout = "2 Jan 15:04"
	}
	return Cell{Kind: Time, Time: t, Layout: layout}
}

// NA is a value that could not be determined; people read why ("n.d.").
// The CSV form leaves the field empty.
func NA(why string) Cell { return Cell{Kind: Missing, Text: why} }

// Bold gives the cell set off from its neighbours.
func (c Cell) Bold() Cell { c.Strong = true; return c }

// To gives the cell as a link within a page.
func (c Cell) To(link string) Cell { c.Link = link; return c }

// String is the cell as people read it.
func (c Cell) String() string {
	switch c.Kind {
	case Number:
		return c.Sign + Group(c.Value, c.Decimals)
	case Time:
		return c.Time.Format(c.Layout)
	}
	return c.Text
}

// Group writes a number with the given decimals and, from 1,000 on, commas
// between thousands.
func Group(v float64, decimals int) string {
	s := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	whole, frac, _ := strings.Cut(s, ".")
	if len(whole) > 3 {
		for i := len(whole) - 3; i > 0; i -= 3 {
			whole = whole[:i] + "," + whole[i:]
		}
	}
	if frac != "" {
		whole += "." + frac
	}
	if v < 0 && strings.Trim(whole, "0.,") != "" {
		whole = "−" + whole
	}
	return whole
}

// Heading is the column's name with its unit.
func (c Column) Heading() string {
	if c.Unit == "" {
		return c.Name
	}
	return c.Name + ", " + c.Unit
}

// Check says whether every row fits the headings.
func (t *Table) Check() error {
	if len(t.Columns) == 0 {
		return fmt.Errorf("table %q has no columns", t.Caption)
	}
	for i, r := range t.Rows {
		if len(r) != len(t.Columns) {
			return fmt.Errorf("table %q: row %d has %d cells for %d columns", t.Caption, i+1, len(r), len(t.Columns))
		}
	}
	return nil
}

// RightAligned says whether a column stands to the right.
func (t *Table) RightAligned(col int) bool {
	switch t.Columns[col].Align {
	case Left:
		return false
	case Right:
		return true
	}
	for _, r := range t.Rows {
		if col < len(r) {
			switch r[col].Kind {
			case Number:
				return true
			case Text, Time:
				return false
			}
		}
	}
	return false
}
