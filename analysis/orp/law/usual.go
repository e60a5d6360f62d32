package law

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// Daily is the part of a stream that comes back every day, by hour; between the
// middles of hours it is read with straight lines, so that it has no steps.
type Daily [24]float64

func (d *Daily) At(hour float64) float64 {
	x := hour - 0.5 + 24
	i := int(x)
	f := x - float64(i)
	return d[i%24]*(1-f) + d[(i+1)%24]*f
}

// UsualDay gives the median of y by hour of the local day, less the median of
// all, smoothed over three hours. Bins of the mask are left out. With fewer than
// four days an hour has no usual.
func UsualDay(y, hour []float64, mask []bool) Daily {
	var by [24][]float64
	for i, v := range y {
		if signal.Known(v) && (mask == nil || !mask[i]) {
			h := int(hour[i])
			by[h] = append(by[h], v)
		}
	}
	all := maskedMedian(y, mask)
	var raw, out Daily
	for h := range by {
		if len(by[h]) >= 4*12 {
			raw[h] = robust.Median(by[h]) - all
		}
	}
	for h := range out {
		out[h] = (raw[(h+23)%24] + 2*raw[h] + raw[(h+1)%24]) / 4
	}
	return out
}

func maskedMedian(y []float64, mask []bool) float64 {
	w := make([]float64, 0, len(y))
	for i, v := range y {
		if signal.Known(v) && (mask == nil || !mask[i]) {
			w = append(w, v)
		}
	}
	return robust.Median(w)
}

// LessUsual takes the daily pattern and the middle of y off.
func LessUsual(y, hour []float64, mask []bool) []float64 {
	u := UsualDay(y, hour, mask)
	w := make([]float64, 0, len(y))
	out := make([]float64, len(y))
	for i, v := range y {
		out[i] = v - u.At(hour[i])
		if signal.Known(out[i]) && (mask == nil || !mask[i]) {
			w = append(w, out[i])
		}
	}
	mid := robust.Centre(w)
	for i := range out {
		out[i] -= mid
	}
	return out
}

// Ageing gives the slow level of y that counts as ordinary Ageing: a five-day
// running median outside the mask, its pace and size limited so that it cannot
// follow a fault, and half of it taken.
func Ageing(y []float64, mask []bool, s *Settings) []float64 {
	const days = 5
	perDay := 24 * 60 / signal.BinMin
	v := make([]float64, len(y))
	for i := range v {
		v[i] = y[i]
		if mask != nil && mask[i] {
			v[i] = math.NaN()
		}
	}
	// one value an hour is enough
	step := 60 / signal.BinMin
	var hourly []float64
	for i := 0; i < len(v); i += step {
		hourly = append(hourly, robust.Median(v[i:min(i+step, len(v))]))
	}
	med := robust.CentredMedian(hourly, days*24, 24)
	out := make([]float64, len(y))
	level := 0.0
	pace := s.AgeingPerDay / float64(perDay)
	for i := range out {
		if m := med[i/step]; signal.Known(m) {
			want := signal.Clamp(m, -s.AgeingMax, s.AgeingMax)
			level += signal.Clamp(want-level, -pace, pace)
		}
		out[i] = level
	}
	// start from where the record begins, not from zero: run back as well
	level = out[len(out)-1]
	for i := len(out) - 1; i >= 0; i-- {
		if m := med[i/step]; signal.Known(m) {
			want := signal.Clamp(m, -s.AgeingMax, s.AgeingMax)
			level += signal.Clamp(want-level, -pace, pace)
		}
		out[i] = (out[i] + level) / 2
	}
	return out
}
