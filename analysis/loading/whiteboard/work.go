// Package whiteboard does single sums the way an operator writes them on the
// board: the formula, the numbers put in, the answer, each unit converted in
// sight. Any one quantity may be the unknown.
package whiteboard

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"weirbook/analysis/quantity"
)

// Work is one sum, worked.
type Work struct {
	Title   string   `json:"title"`
	Working []string `json:"working"` // line by line, in the order to write them
	Results []Result `json:"results"` // what was asked first
	Notes   []string `json:"notes,omitempty"`
}

// Result is one answer, unrounded.
type Result struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// Amount is a quantity as it was given; nil stands for the unknown.
type Amount struct {
	Value float64
	Unit  quantity.Unit
}

// ParseAmount reads "5MGD", "2 mg/L", "52,083 gal".
func ParseAmount(s string) (*Amount, error) {
	v, u, err := quantity.ParseQuantity(s)
	if err != nil {
		return nil, err
	}
	return &Amount{v, u}, nil
}

func (w *Work) line(format string, args ...any) {
	w.Working = append(w.Working, fmt.Sprintf(format, args...))
}

func (w *Work) note(format string, args ...any) {
	w.Notes = append(w.Notes, fmt.Sprintf(format, args...))
}

func (w *Work) result(name string, v float64, unit string) {
	w.Results = append(w.Results, Result{name, v, unit})
}

// in converts a to a unit and writes the conversion when there is one. A value
// that is negative or not finite is refused: none of the sums has one.
func (w *Work) in(name string, a *Amount, unit string) (float64, error) {
	to := quantity.MustUnit(unit)
	v, err := quantity.Convert(a.Value, a.Unit, to)
	if err != nil {
		return v, fmt.Errorf("%s: %w", name, err)
	}
	if !(v >= 0) || math.IsInf(v, 0) {
		return v, fmt.Errorf("%s: %s %s: a value of zero or more is needed", name, Num(a.Value), a.Unit.Symbol)
	}
	if a.Unit.Symbol != to.Symbol {
		w.line("%s: %s %s = %s %s", name, mid(a.Value), a.Unit.Symbol, mid(v), to.Symbol)
	}
	return v, nil
}

// metric says that an amount was given in a metric unit.
func (a *Amount) metric() bool {
	if a == nil {
		return false
	}
	switch a.Unit.Symbol {
	case "m³/h", "m³/d", "m³/s", "ML/d", "L/s", "L/h", "L/min", "mL/min", "m³", "L", "ML", "kg", "kg/d", "kg/h", "g/h":
		return true
	}
	return false
}

// Num writes an answer as one would on a board: four figures, whole above a
// thousand, with commas.
func Num(v float64) string { return figures(v, 4) }

// mid writes a number within the working, with one figure more, so that the
// lines can be recomputed from what they show.
func mid(v float64) string { return figures(v, 5) }

func figures(v float64, n int) string {
	a := math.Abs(v)
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return "not determined"
	case a >= 1e15 || a > 0 && a < 1e-4:
		return strconv.FormatFloat(v, 'g', n, 64)
	}
	f, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', n, 64), 64)
	if err != nil {
		return "not determined"
	}
	if math.Abs(f) >= 1000 {
		f = v // never round a whole number away: 52,083 keeps its last figures
		places := 0
		if n > 4 && a < 10_000 {
			places = 1
		}
		s := strconv.FormatFloat(f, 'f', places, 64)
		whole, rest, dot := strings.Cut(s, ".")
		if dot && rest != "0" {
			return commas(whole) + "." + rest
		}
		return commas(whole)
	}
	return strconv.FormatFloat(f, 'f', -1, 64)
}

func commas(s string) string {
	sign := ""
	if strings.HasPrefix(s, "-") {
		sign, s = "-", s[1:]
	}
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return sign + s
}

// unknown names the one quantity that is missing. names and given go in pairs.
func unknown(names []string, given []bool) (string, error) {
	var missing, present []string
	for i, n := range names {
		if given[i] {
			present = append(present, n)
		} else {
			missing = append(missing, n)
		}
	}
	switch {
	case len(missing) == 1:
		return missing[0], nil
	case len(missing) == 0:
		return "", fmt.Errorf("leave one of %s out: it is the one to work out", strings.Join(names, ", "))
	case len(present) == 0:
		return "", fmt.Errorf("give all but one of %s; the one left out is worked out", strings.Join(names, ", "))
	}
	return "", fmt.Errorf("%s given; give all but one of %s, and the one left out is worked out", strings.Join(present, ", "), strings.Join(names, ", "))
}

// positive refuses a zero that would be divided by.
func positive(name string, v float64) error {
	if !(v > 0) {
		return fmt.Errorf("%s must be above zero to work this out", name)
	}
	return nil
}

// Check refuses a sum that ran out of the numbers a computer holds.
func (w *Work) Check() error {
	for _, r := range w.Results {
		if math.IsNaN(r.Value) || math.IsInf(r.Value, 0) {
			return fmt.Errorf("%s: the quantities given lead to no finite number", r.Name)
		}
	}
	return nil
}
