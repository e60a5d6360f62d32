package reports

import (
	"strings"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/sheet"
	"weirbook/reports/table"
)

// seriesCSV writes a table of hours or days: the start of each in RFC 3339 with
// its offset, then a column for each quantity with the unit in its name, and
// its coverage beside it. What is not determined is an empty field; what is at least or
// at most so much, an instrument being at the end of its scale, bears > or <.
func seriesCSV(t *analysis.Table, key string, p *plant.Plant) ([]byte, error) {
	head := []string{key, "time_utc"}
	units := make([]quantity.Unit, len(t.Columns))
	for i, c := range t.Columns {
		units[i] = inSystem(c.Unit, p.Units)
		head = append(head, columnKey(c.Name, units[i]))
		if c.Cover != nil {
			head = append(head, c.Name+"_coverage")
		}
	}
	for _, c := range t.Words {
		head = append(head, c.Name)
	}
	return sheet.Text(func(w *sheet.Writer) error {
		if err := w.Write(head); err != nil {
			return err
		}
		for r, win := range t.Windows {
			start := time.UnixMilli(win.Start)
			rec := []string{start.In(p.Zone).Format(time.RFC3339), start.UTC().Format(time.RFC3339)}
			for i, c := range t.Columns {
				v, err := quantity.Convert(c.Values[r], c.Unit, units[i])
				if err != nil {
					return err
				}
				text := sheet.Figure(v, 7)
				if text != "" { // a bound is no number
					text = string(c.Sign(r)) + text
				}
				rec = append(rec, text)
				if c.Cover != nil {
					rec = append(rec, sheet.Figure(c.Cover[r], 4))
				}
			}
			for _, c := range t.Words {
				word := c.Values[r]
				if strings.HasSuffix(c.Name, ".why") { // our own words, no tag's name
					word = table.Keyboard(word)
				}
				rec = append(rec, word)
			}
			if err := w.Write(rec); err != nil {
				return err
			}
		}
		return nil
	})
}

// columnKey puts the unit into a column's name: contact_basin.ct_min becomes
// contact_basin.ct_min_mg_min_per_l. A name that would say one word twice says it
// once: ph, and contact_time_lowest_min for the least of a time in minutes.
func columnKey(name string, u quantity.Unit) string {
	stem, least := strings.CutSuffix(name, "_"+u.Slug)
	switch {
	case u.Slug == "" || strings.HasSuffix(name, "."+u.Slug):
		return name
	case least && u.Slug == "min":
		return stem + "_lowest_min"
	}
	return name + "_" + u.Slug
}

// inSystem is the unit a figure kept in u is shown in.
func inSystem(u quantity.Unit, s plant.System) quantity.Unit {
	if s == plant.Metric {
		return quantity.InMetric(u)
	}
	return u
}
