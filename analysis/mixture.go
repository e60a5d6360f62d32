package analysis

import (
	"fmt"
	"math"

	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// mixtureSettings say when an analyser on the water of several trains cannot
// have read that water. Common practice, no source.
type mixtureSettings struct {
	// AboveMgL is how far above the highest of the waters that mix it must read.
	AboveMgL float64
	// WithinMin is how many minutes around a moment the highest is looked for: the
	// waters take their time to the common outfall.
	WithinMin int
	// JoinMin joins readings no further apart into one stretch, and LongestMin is
	// the longest such stretch that still looks like a standard or a service.
	JoinMin, LongestMin int
}

func defaultMixtureSettings() mixtureSettings {
	return mixtureSettings{AboveMgL: 0.2, WithinMin: 30, JoinMin: 10, LongestMin: 90}
}

// mixtureServices finds when the residual analyser at an outfall common to
// several trains read a standard or was being serviced: a mixture reads no
// higher than the highest of what is mixed. It needs a residual analyser after
// the dechlorination of every train.
func (r *Result) mixtureServices() {
	if r.oneTrain() {
		return
	}
	for _, t := range r.Plant.Tags {
		q, _ := r.Plant.Point(t.At)
		if t.Measures != quantity.ChlorineTotal || t.Sampled() || !q.Outfall || r.Plant.TrainOf(t.At) != "" {
			continue
		}
		highest := r.highestMixed()
		if highest == nil {
			continue
		}
		n := r.markMixture(t.Name, r.Minutes(t), highest)
		if n > 0 {
			r.Notes = append(r.Notes, fmt.Sprintf("%s read above everything that flows together there for short stretches, %s: taken as standards or service and not used; if they are not, look at the analysers after each train's dechlorination.", t.Name, times(n)))
		}
	}
}

// highestMixed is, minute by minute, the highest residual of any train after its
// dechlorination within the settings' minutes; NaN where one is not known. Nil
// where a train has no such analyser.
func (r *Result) highestMixed() []float64 {
	set := defaultMixtureSettings()
	var out []float64
	for _, train := range r.Plant.Trains() {
		var col []float64
		for _, q := range r.Plant.Points {
			if q.Dechlorinated && r.Plant.TrainOf(q.Name) == train && col == nil {
				_, col = r.signal(quantity.ChlorineTotal, q.Name)
			}
		}
		if col == nil {
			return nil
		}
		wide := make([]float64, len(col))
		for i := range col {
			wide[i] = math.NaN()
			for k := max(0, i-set.WithinMin); k <= min(len(col)-1, i+set.WithinMin); k++ {
				if v := col[k]; v == v && !(v <= wide[i]) {
					wide[i] = v
				}
			}
			if out != nil {
				wide[i] = math.Max(wide[i], out[i]) // NaN stays
			}
		}
		out = wide
	}
	return out
}

// markMixture flags the readings of the stretches in which col lies above
// highest, and says how many there are. The readings stay; nothing uses them.
func (r *Result) markMixture(tag string, col, highest []float64) int {
	set := defaultMixtureSettings()
	n := 0
	for i := 0; i < len(col); i++ {
		if !(col[i] > highest[i]+set.AboveMgL) {
			continue
		}
		last := i
		for k := i + 1; k < len(col) && k-last <= set.JoinMin; k++ {
			if col[k] > highest[k]+set.AboveMgL {
				last = k
			}
		}
		if last-i < set.LongestMin {
			from, to := max(0, i-3), min(last+6, r.Grid.N)
			s := r.Series[tag]
			lo, hi := s.Between(r.Grid.Milli(from), r.Grid.Milli(to))
			for j := lo; j < hi; j++ {
				s.F[j] |= series.Invalid
			}
			n++
		}
		i = last
	}
	if n > 0 {
		delete(r.Frame.minutes, tag)
	}
	return n
}
