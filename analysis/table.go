package analysis

import (
	"math"

	"weirbook/analysis/align"
	"weirbook/analysis/quantity"
)

// Column is one quantity over the windows of a table.
type Column struct {
	Name   string // "contact_basin.ct_min": point or basin, then quantity; the unit is added when written
	Title  string
	Unit   quantity.Unit
	Values []float64 // NaN: not determined
	Cover  []float64 // share of each window that is covered, 0…1; nil where coverage has no meaning
}

// Words is a column of words, such as what an hour's CT comes to.
type Words struct {
	Name, Title string
	Values      []string
}

// Table is a set of columns over the same windows.
type Table struct {
	Windows []align.Window
	Columns []Column
	Words   []Words
}

// Column finds a column by its name.
func (t *Table) Column(name string) (Column, bool) {
	for _, c := range t.Columns {
		if c.Name == name {
			return c, true
		}
	}
	return Column{}, false
}

func (t *Table) add(name, title, unit string, values, cover []float64) {
	t.Columns = append(t.Columns, Column{Name: name, Title: title, Unit: quantity.MustUnit(unit), Values: values, Cover: cover})
}

// addStats adds the means of stats, determined where minCover is covered.
func (t *Table) addStats(name, title string, u quantity.Unit, st []align.Stat, minCover float64) {
	v, c := make([]float64, len(st)), make([]float64, len(st))
	for i, s := range st {
		v[i], c[i] = s.At(minCover), s.Cover
	}
	t.Columns = append(t.Columns, Column{Name: name, Title: title, Unit: u, Values: v, Cover: c})
}

// each gives one figure of every stat where minCover is covered, NaN elsewhere.
func each(st []align.Stat, minCover float64, pick func(align.Stat) float64) []float64 {
	out := make([]float64, len(st))
	for i, s := range st {
		out[i] = math.NaN()
		if s.Cover+1e-9 >= minCover {
			out[i] = pick(s)
		}
	}
	return out
}
