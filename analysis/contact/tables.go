package contact

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"
)

//go:embed tables/giardia_free_chlorine.csv
var giardiaCSV string

//go:embed tables/by_temperature.csv
var byTemperatureCSV string

// giardiaTable is the published table of CT for 3-log Giardia by free chlorine:
// ct[temperature][chlorine][pH].
type giardiaTable struct {
	temps, chlorine, ph []float64
	ct                  [][][]float64
}

// temperatureTable holds CT by temperature for each printed log inactivation;
// NaN where the print has none.
type temperatureTable struct {
	temps, logs []float64
	ct          [][]float64 // [temperature][log]
}

// The tables are part of the program: a slip in them fails at the first use, in
// every test.
var giardia = sync.OnceValue(func() giardiaTable {
	rows := tableRows(giardiaCSV)
	t := giardiaTable{ph: floats(rows[0][2:])}
	for _, r := range rows[1:] {
		v := floats(r)
		if len(t.temps) == 0 || t.temps[len(t.temps)-1] != v[0] {
			t.temps = append(t.temps, v[0])
			t.ct = append(t.ct, nil)
		}
		last := len(t.temps) - 1
		if last == 0 {
			t.chlorine = append(t.chlorine, v[1])
		}
		t.ct[last] = append(t.ct[last], v[2:])
	}
	return t
})

var byTemperature = sync.OnceValue(func() map[string]temperatureTable {
	rows := tableRows(byTemperatureCSV)
	logs := floats(rows[0][2:])
	out := map[string]temperatureTable{}
	for _, r := range rows[1:] {
		t := out[r[0]]
		t.logs = logs
		t.temps = append(t.temps, floats(r[1:2])[0])
		t.ct = append(t.ct, floats(r[2:]))
		out[r[0]] = t
	}
	return out
})

func tableRows(text string) [][]string {
	r := csv.NewReader(strings.NewReader(text))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		panic(fmt.Sprintf("contact: embedded table: %v", err))
	}
	return rows
}

// floats reads numbers; an empty cell is NaN.
func floats(cells []string) []float64 {
	out := make([]float64, len(cells))
	for i, c := range cells {
		if c == "" {
			out[i] = nan
			continue
		}
		v, err := strconv.ParseFloat(c, 64)
		if err != nil {
			panic(fmt.Sprintf("contact: embedded table: %v", err))
		}
		out[i] = v
	}
	return out
}

// at reads the column of one log inactivation at a temperature.
func (t temperatureTable) at(tempC, log float64, r Reading) float64 {
	for k, l := range t.logs {
		if l != log {
			continue
		}
		lo, hi, w := node(t.temps, tempC)
		if r == Conservative || lo == hi {
			return t.ct[lo][k] // the lower temperature asks for more
		}
		return t.ct[lo][k] + w*(t.ct[hi][k]-t.ct[lo][k])
	}
	return nan
}

// node finds where v lies among rising nodes: between lo and hi, a share w of
// the way. Beyond the ends both are the end node.
func node(nodes []float64, v float64) (lo, hi int, w float64) {
	n := len(nodes)
	if v <= nodes[0] {
		return 0, 0, 0
	}
	if v >= nodes[n-1] {
		return n - 1, n - 1, 0
	}
	for hi = 1; nodes[hi] < v; hi++ {
	}
	if nodes[hi] == v {
		return hi, hi, 0
	}
	lo = hi - 1
	return lo, hi, (v - nodes[lo]) / (nodes[hi] - nodes[lo])
}

// roundHalfUp rounds to a whole number, a half upwards, as the published tables
// of fractional logs are rounded.
func roundHalfUp(v float64) float64 { return math.Floor(v + 0.5) }
