package upset

import (
	"math"

	"weirbook/analysis/align"
)

// Criteria are the published aquatic life criteria for total residual chlorine,
// mg/L: 19 and 11 µg/L in fresh water, 13 and 7.5 µg/L in salt water (EPA,
// National Recommended Aquatic Life Criteria table; one-hour and four-day
// averages, not to be passed more than once in three years on average).
type Criteria struct {
	Acute   float64 // one-hour average, mg/L
	Chronic float64 // four-day average, mg/L
	Water   string
}

// CriteriaFor gives the criteria for fresh or salt water.
func CriteriaFor(salt bool) Criteria {
	if salt {
		return Criteria{Acute: 0.013, Chronic: 0.0075, Water: "salt water"}
	}
	return Criteria{Acute: 0.019, Chronic: 0.011, Water: "fresh water"}
}

// Receiving is what passed into the receiving water during an episode.
type Receiving struct {
	Measured bool
	Cover    float64 // share of the minutes with a final residual
	Detect   float64 // mg/L: below it a reading is not told from none
	Hours    float64 // with a final residual at or above Detect
	MaxMgL   float64
	MaxAt    int64
	// Pounds passed: those of minutes at or above Detect, and those with every
	// reading taken as it stands. The truth lies between, if the analyser was right.
	Pounds, PoundsAll float64
	MG                float64 // water that passed
	Hour              Average // highest one-hour average that touches the episode
	FourDay           Average // highest four-day average that touches it
	Criteria          Criteria
	Trust             Trust
}

// Average is the highest of the running averages of one length.
type Average struct {
	MgL   float64 // NaN: not determined
	End   int64   // of that average's window; Unix milliseconds
	Times float64 // MgL over the criterion
}

// receive measures the outfall over [w.Start, w.End).
func receive(in *Input, w align.Window, s *Settings) Receiving {
	o := &in.Outfall
	x := Receiving{Detect: o.DetectMgL, Criteria: CriteriaFor(o.Salt), MaxMgL: math.NaN(), Pounds: math.NaN(), PoundsAll: math.NaN(), MG: math.NaN(), Hours: math.NaN(),
		Hour: Average{MgL: math.NaN(), Times: math.NaN()}, FourDay: Average{MgL: math.NaN(), Times: math.NaN()}}
	if isNaN(x.Detect) || x.Detect <= 0 {
		x.Detect = s.DetectMgL
	}
	lo, hi := max(in.Grid.Index(w.Start), 0), min(in.Grid.Index(w.End-1)+1, in.Grid.N)
	if o.Final == nil || hi <= lo {
		return x
	}
	seen, loads := 0, 0
	var hours, lb, all, mg float64
	for i := lo; i < hi; i++ {
		c := o.Final[i]
		if q := at(o.Flow, i); !isNaN(q) {
			mg += q / 1440
			x.MG = mg
		}
		if isNaN(c) {
			continue
		}
		seen++
		if isNaN(x.MaxMgL) || c > x.MaxMgL {
			x.MaxMgL, x.MaxAt = c, in.Grid.Milli(i)
		}
		if c >= x.Detect {
			hours += 1.0 / 60
		}
		if q := at(o.Flow, i); !isNaN(q) {
			loads++
			l := in.factor() * q * math.Max(c, 0) / 1440
			all += l
			if c >= x.Detect {
				lb += l
			}
		}
	}
	x.Cover = float64(seen) / float64(hi-lo)
	x.Measured = seen > 0
	if !x.Measured {
		return x
	}
	x.Hours = hours
	if loads > 0 {
		x.Pounds, x.PoundsAll = lb, all
	}
	x.Hour = highest(in, 60, lo, hi, s)
	x.Hour.Times = x.Hour.MgL / x.Criteria.Acute
	x.FourDay = highest(in, 4*1440, lo, hi, s)
	x.FourDay.Times = x.FourDay.MgL / x.Criteria.Chronic
	x.Trust = trustIn(in.Doubts, o.RestsOn, stretchOf(w))
	return x
}

// highest gives the highest running average of n minutes among those windows
// that lie in the record and touch [lo, hi). Windows with less than MinCover of
// their minutes known are not determined. Every reading counts as it stands.
func highest(in *Input, n, lo, hi int, s *Settings) Average {
	out := Average{MgL: math.NaN(), Times: math.NaN()}
	v := in.Outfall.Final
	a, b := max(lo-n+1, 0), min(hi+n-1, len(v))
	sum, seen := 0.0, 0
	for i := a; i < b; i++ {
		if !isNaN(v[i]) {
			sum += math.Max(v[i], 0)
			seen++
		}
		if k := i - n; k >= a && !isNaN(v[k]) {
			sum -= math.Max(v[k], 0)
			seen--
		}
		if i-a+1 < n || float64(seen) < s.MinCover*float64(n) {
			continue
		}
		if m := sum / float64(seen); isNaN(out.MgL) || m > out.MgL+1e-12 {
			out.MgL, out.End = math.Max(m, 0), in.Grid.Milli(i+1)
		}
	}
	return out
}
