package discharge

import (
	"time"

	"weirbook/analysis/lab"
)

// Result is one laboratory or field result.
type Result struct {
	Tag   string
	T     int64 // Unix milliseconds
	Date  time.Time
	Value Value // working unit
	Grab  bool
	Note  string // why it was left out; empty: used
	// Written is what stands in the sheet, where that is more than a number; Remark
	// says how it was taken, Letter is the regulator's for it (plant.toml, [[code]]).
	Written, Remark, Letter string
	Means                   lab.Meaning
	beside                  string // what stands behind a number that was not taken for that reason
	day                     int
}

// signed writes a result as the laboratory did: its own words where it wrote more
// than a number.
func (r Result) signed() string {
	if r.Written != "" {
		return r.Written
	}
	return string(r.Value.Sign) + shortest(r.Value.V)
}

// Day is one calendar day of one parameter.
type Day struct {
	Date  time.Time // midnight UTC: only the date counts
	Hours float64   // 23 or 25 at a clock change
	// Value is the daily discharge, working unit; V NaN when there is none.
	Value    Value
	Used     float64 // the number it counts for under the permit's rule
	N        int     // results; 0 for a signal
	Min, Max float64 // of the results, or of the signal
	Cover    float64 // share of the day that the signal covers; NaN for samples
	FlowMGD  float64 // mean flow of the day; NaN: not determined
	// Carried is the concentration that goes with the day's flow into its mass:
	// the flow-weighted mean of a signal, else Value.
	Carried     float64
	Load        float64 // lb/d of Carried under the permit's rule; NaN
	NoDischarge bool
	Text        string // what the sheets hold of a day without a number: TNTC, NS
	Excused     string // why no sample was due, as the laboratory's sheet says
	flowCover   float64
	flowOff     bool // the flow meter stood at the end of its scale
}

// fill makes a day's value of its results. A day of which nothing was detected
// stays below the largest of its limits; one with both counts its non-detects
// by the permit's rule and is a number.
func (d *Day) fill(vs []Value, ch Choice) {
	d.N = len(vs)
	if len(vs) == 1 {
		d.Value = vs[0]
	} else {
		c := ch
		c.AllBelow = "less-than-largest"
		if c.Rule == MLE || c.Rule == KaplanMeierRule {
			c.Rule = Limit
		}
		f := c.Mean(vs)
		if c.Counts { // of organisms the geometric mean stands for the day
			f = c.GeometricMean(vs)
		}
		d.Value = f.Value
		if d.Value.Sign == Less && finite(d.Value.V) && ofSign(vs, Less) < len(vs) {
			d.Value.Sign = Exact
			if ofSign(vs, Greater) > 0 {
				d.Value.Sign = Greater
			}
		}
	}
	d.Carried = d.Value.V
	for _, v := range vs {
		if finite(v.V) && !(d.Min <= v.V) {
			d.Min = v.V
		}
		if finite(v.V) && !(d.Max >= v.V) {
			d.Max = v.V
		}
	}
}
