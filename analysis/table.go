package analysis

import (
	"math"

	"weirbook/analysis/align"
	"weirbook/analysis/discharge"
	"weirbook/analysis/quantity"
)

// Column is one quantity over the windows of a table.
type Column struct {
	Kind   *ColumnKind
	Of     string // "contact_basin", "hypo": basin, feed, or a tag's point and what it measures
	Tag    string // whose readings these are; empty for basins and feeds
	Name   string // Of with the end that the kind gives it: "contact_basin.ct_min"; the unit is added when written
	Title  string
	Unit   quantity.Unit
	Values []float64        // NaN: not determined
	Cover  []float64        // share of each window that is covered, 0…1; nil where coverage has no meaning
	Signs  []discharge.Sign // of bounds: at least (>) or at most (<) so much; nil where none is one
}

// Sign is that of the value of window i.
func (c Column) Sign(i int) discharge.Sign {
	if c.Signs == nil {
		return discharge.Exact
	}
	return c.Signs[i]
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

// Find finds what a column of a kind holds of a basin, feed or tag's place.
func (t *Table) Find(k *ColumnKind, of string) (Column, bool) { return t.Column(of + k.Key) }

// add adds a column of a kind; its title is what is given with the kind's own end.
func (t *Table) add(k *ColumnKind, of, title string, values, cover []float64) *Column {
	c := Column{Kind: k, Of: of, Name: of + k.Key, Title: title + k.Title, Values: values, Cover: cover}
	if k.Unit != "" {
		c.Unit = quantity.MustUnit(k.Unit)
	}
	t.Columns = append(t.Columns, c)
	return &t.Columns[len(t.Columns)-1]
}

// addStats adds the means of stats, determined where minCover is covered.
func (t *Table) addStats(k *ColumnKind, of, title string, st []align.Stat, minCover float64) *Column {
	v, c := make([]float64, len(st)), make([]float64, len(st))
	for i, s := range st {
		v[i], c[i] = s.At(minCover), s.Cover
	}
	return t.add(k, of, title, v, c)
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
