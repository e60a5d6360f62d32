package upsets

import (
	"math"
	"sort"

	"weirbook/analysis/quantity"
	"weirbook/analysis/upset"
	"weirbook/examples/simulate"
)

// Onset is when a column really began to move: the first of ten minutes in which
// its reading differs from what the same month reads without the event by more
// than a tenth of the most it ever will, or by more than twice the column's
// usual change in an hour.
type Onset struct {
	Column int
	Tag    string
	At     int64   // at the instrument, Unix milliseconds
	Outlet int64   // at the basin outlet by the true contact time
	Most   float64 // largest difference
}

// Onsets compares a month with the same month without its event, column by
// column, in the order of Outlet. Columns that moved by less than floor of
// their scatter are left out.
func Onsets(with, without upset.Input, m *simulate.Month, e simulate.Event) []Onset {
	var out []Onset
	lo := max(m.Index(e.Start)-60, 0)
	hi := min(m.Index(e.End)+60, with.Grid.N)
	for k := range with.Columns {
		a, b := with.Columns[k].V, without.Columns[k].V
		d := make([]float64, hi-lo)
		most := 0.0
		for i := range d {
			d[i] = median5(a, b, lo+i)
			if math.Abs(d[i]) > math.Abs(most) {
				most = d[i]
			}
		}
		usual := steps(b)
		if math.Abs(most) < 6*usual || most == 0 || !matters(with.Columns[k], e) {
			continue
		}
		run := 0
		for i := range d {
			if math.Abs(d[i]) >= math.Min(0.1*math.Abs(most), 2*usual) {
				run++
			} else {
				run = 0
			}
			if run == 10 {
				at := lo + i - 9
				o := Onset{Column: k, Tag: with.Columns[k].Tag, At: with.Grid.Milli(at), Most: most}
				o.Outlet = o.At
				if l := with.Columns[k].Lead; l > 0 {
					for j := at; j < with.Grid.N; j++ {
						if float64(j)-l*m.Truth.ContactMin[j] >= float64(at) {
							o.Outlet = with.Grid.Milli(j)
							break
						}
					}
				}
				out = append(out, o)
				break
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Outlet < out[j].Outlet })
	return out
}

func matters(c upset.Column, e simulate.Event) bool {
	if e.Kind == simulate.BisulfiteLost {
		return true
	}
	return c.Place != upset.AtOutfall && c.Kind != quantity.PH && c.Kind != quantity.Temp
}

// median5 is the median of five minutes' differences about i.
func median5(a, b []float64, i int) float64 {
	var x []float64
	for k := max(i-2, 0); k < min(i+3, len(a)); k++ {
		if d := a[k] - b[k]; !math.IsNaN(d) {
			x = append(x, d)
		}
	}
	if len(x) == 0 {
		return 0
	}
	sort.Float64s(x)
	return x[len(x)/2]
}

// steps is the usual size of the change of a column over an hour.
func steps(v []float64) float64 {
	var d []float64
	for i := 60; i < len(v); i += 7 {
		if x := math.Abs(v[i] - v[i-60]); !math.IsNaN(x) {
			d = append(d, x)
		}
	}
	if len(d) == 0 {
		return math.NaN()
	}
	sort.Float64s(d)
	return d[len(d)/2]
}

// FirstOf says which tags count as the first mover of a kind of event: those
// that can see its cause.
func FirstOf(k simulate.Kind) []string {
	switch k {
	case simulate.FeedLost:
		return []string{simulate.TagHypoFeed}
	case simulate.Ammonia:
		return []string{simulate.TagAmmonia}
	case simulate.Storm:
		return []string{simulate.TagInfluentFlow}
	case simulate.BisulfiteLost:
		return []string{simulate.TagSulfiteFeed}
	}
	// No tag sees demand, strength or chlorine that does not arrive: the mass
	// balance does.
	return []string{"dose less residual"}
}
