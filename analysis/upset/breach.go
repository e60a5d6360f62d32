package upset

import (
	"math"

	"weirbook/analysis/series"
)

// Breach is one stretch in which one requirement was not met.
type Breach struct {
	series.Stretch
	What              What
	Title             string
	Unit              string
	Source            string
	Minutes           int     // minutes outside the limit
	Unknown           int     // minutes in between without a number
	Worst, WorstLimit float64 // the value furthest outside, and its limit
	WorstAt           int64   // Unix milliseconds
	Mean              float64 // mean of the minutes outside
	MeanLimit         float64 // and of their limits
	MG                float64 // water that left in the minutes outside; NaN: flow not known
	Trust             Trust
	Samples           []Sample // for E. coli
	Hourly            bool     // judged by the hour
}

// judge finds the breaches of one judged column. A breach opens at the first of
// EnterMin minutes outside the limit, and closes at the first of LeaveMin
// minutes that are better than the limit by LeaveShare, or where nothing is
// known for longer than MergeGap.
func judge(in *Input, j *Judged, s *Settings) []Breach {
	var out []Breach
	sign := 1.0
	if j.What.Below() {
		sign = -1
	}
	excess := func(i int) float64 { return sign * (at(j.V, i) - j.limit(i)) } // above zero: outside
	gap := int(s.MergeGap.Minutes())
	open, first, last := false, -1, -1 // first and last minute outside
	run, inside, blank := 0, 0, 0
	closeAt := func(end int) {
		out = append(out, describe(in, j, first, end, sign))
		open, first, run, inside, blank = false, -1, 0, 0, 0
	}
	for i := 0; i < in.Grid.N; i++ {
		e := excess(i)
		switch {
		case isNaN(e):
			blank++
			if !open {
				run, first = 0, -1
			} else if blank > gap {
				closeAt(last + 1)
			}
			continue
		case e > 0:
			if first < 0 {
				first = i
			}
			last = i
			run++
			inside = 0
			if run >= s.EnterMin {
				open = true
			}
		case !open:
			run, first = 0, -1
		case e < -s.LeaveShare*math.Abs(j.limit(i)):
			inside++
		}
		blank = 0
		if open && inside >= s.LeaveMin {
			closeAt(last + 1)
		}
	}
	if open {
		closeAt(last + 1)
	}
	return out
}

// describe measures a breach over the minutes [lo, hi).
func describe(in *Input, j *Judged, lo, hi int, sign float64) Breach {
	b := Breach{
		Stretch: series.Stretch{Start: in.Grid.Milli(lo), End: in.Grid.Milli(hi)},
		What:    j.What, Title: j.Title, Unit: j.Unit, Source: j.Source, Hourly: j.Hourly,
		Worst: math.NaN(), WorstLimit: math.NaN(), MG: math.NaN(),
	}
	var sum, limits, mg float64
	var worst float64 = math.Inf(-1)
	flowKnown := false
	for i := lo; i < hi; i++ {
		v, l := j.V[i], j.limit(i)
		e := sign * (v - l)
		if isNaN(e) {
			b.Unknown++
			continue
		}
		if e <= 0 {
			continue
		}
		b.Minutes++
		sum += v
		limits += l
		if q := at(j.Flow, i); !isNaN(q) {
			mg += q / 1440
			flowKnown = true
		}
		if l != 0 {
			e /= math.Abs(l)
		}
		if e > worst {
			worst, b.Worst, b.WorstLimit, b.WorstAt = e, v, l, in.Grid.Milli(i)
		}
	}
	b.Mean, b.MeanLimit = sum/float64(b.Minutes), limits/float64(b.Minutes)
	if flowKnown {
		b.MG = mg
	}
	b.Trust = trustIn(in.Doubts, j.RestsOn, b.Stretch)
	return b
}

// judgeSamples turns E. coli results over their limit into breaches of the time
// that they stand for.
func judgeSamples(in *Input, s *Settings) []Breach {
	var out []Breach
	for _, x := range in.Samples {
		over := x.Value > x.Limit || (x.Value == x.Limit && x.Qualifier == ">")
		if isNaN(x.Limit) || !over || x.Qualifier == "<" {
			continue
		}
		out = append(out, Breach{
			Stretch: series.Stretch{Start: x.At - s.SampleHold.Milliseconds(), End: x.At},
			What:    EColiHigh, Title: "E. coli, final effluent", Unit: x.Unit,
			Minutes: 0, Worst: x.Value, WorstLimit: x.Limit, WorstAt: x.At,
			Mean: x.Value, MeanLimit: x.Limit, MG: math.NaN(), Samples: []Sample{x},
			Trust: Trust{Says: "a laboratory result; the record cannot say how representative one sample is"},
		})
	}
	return out
}
