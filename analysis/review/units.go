package review

import (
	"fmt"
	"strings"

	"weirbook/analysis/plant"
)

// metric gives, for a working unit, what metric readers use, and the factor.
var metric = map[string]struct {
	unit   string
	factor float64
}{
	"MGD":   {"m³/d", 1e6 * litresPerGallon / 1000},
	"MG":    {"m³", 1e6 * litresPerGallon / 1000},
	"gal/h": {"L/h", litresPerGallon},
	"lb":    {"kg", kilogramsPerPound},
	"lb/d":  {"kg/d", kilogramsPerPound},
	"lb/MG": {"kg/1000 m³", kilogramsPerPound / litresPerGallon},
}

// Exact by definition of the pound and the gallon.
const (
	kilogramsPerPound = 0.45359237
	litresPerGallon   = 3.785411784
)

// In gives a value of a working unit in the units of the reader.
func In(s plant.System, v float64, unit string) (float64, string) {
	if s != plant.Metric {
		return v, unit
	}
	if m, ok := metric[unit]; ok {
		return v * m.factor, m.unit
	}
	if c, ok := strings.CutSuffix(unit, "/MG"); ok { // money
		return v / litresPerGallon, c + "/1000 m³"
	}
	if c, ok := strings.CutSuffix(unit, " per MGD"); ok {
		return v / metric["MGD"].factor, c + " per m³/d"
	}
	if c, ok := strings.CutSuffix(unit, "/yr"); ok {
		w, u := In(s, v, c)
		return w, u + "/yr"
	}
	return v, unit
}

// amount writes a value with its unit for a sentence.
func (m *maker) amount(v float64, unit string, digits int) string {
	w, u := In(m.rec.Plant.Units, v, unit)
	if digits == 0 || w >= 1000 {
		return grouped(int(w+0.5)) + " " + u
	}
	return fmt.Sprintf("%.*g %s", digits, w, u)
}

// number and unit are the two halves of an amount, for a figure.
func (m *maker) number(v float64, unit string) string {
	w, _ := In(m.rec.Plant.Units, v, unit)
	if w >= 1000 {
		return grouped(int(w + 0.5))
	}
	return fmt.Sprintf("%.3g", w)
}

func (m *maker) unit(unit string) string {
	_, u := In(m.rec.Plant.Units, 1, unit)
	return u
}
