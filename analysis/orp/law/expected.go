package law

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// BandSigmas is the half-width of the expected band in standard deviations: about
// 99 % of sound readings lie inside.
const BandSigmas = 2.6

// Expected gives what the probe should read and its band, mV by bin; NaN where the
// residual is unknown. hour is the local hour of the day of each bin, mv the readings.
func (l *Law) Expected(mv, hour []float64, hold []bool) (expected, lo, hi []float64) {
	expected, lo, hi = signal.Unknown(len(mv)), signal.Unknown(len(mv)), signal.Unknown(len(mv))
	raw := l.Relative()
	usual := l.usual(mv, raw, hour, hold)
	for i := range expected {
		e := l.Coef[0] + raw[i] + usual[i]
		if math.IsNaN(e) {
			continue
		}
		expected[i] = e
		half := BandSigmas * math.Hypot(l.ScatterMV, l.Doubt[i])
		lo[i], hi[i] = e-half, e+half
	}
	return expected, lo, hi
}

// usual is what the evidence stream takes off besides the law: the usual day
// and ordinary ageing.
func (l *Law) usual(mv, raw, hour []float64, hold []bool) []float64 {
	r := signal.Unknown(len(mv))
	for i := range r {
		r[i] = mv[i] - l.Coef[0] - raw[i]
	}
	u := UsualDay(r, hour, hold)
	base := make([]float64, 0, len(r))
	for i, v := range r {
		if signal.Known(v) && !hold[i] {
			base = append(base, v-u.At(hour[i]))
		}
	}
	mid := robust.Centre(base)
	if math.IsNaN(mid) {
		mid = 0
	}
	out := make([]float64, len(r))
	for i := range out {
		out[i] = u.At(hour[i]) + mid + 0.7*l.Age[i]
	}
	return out
}

// DoubtAt is how many mV the law itself may be out at bin i: slope uncertainty
// away from the middle, more beyond what was fitted, and while the residual moves
// (probes follow a fall more slowly than a rise).
func (l *Law) DoubtAt(i int, b float64) float64 {
	x := l.X[i]
	if math.IsNaN(x) {
		return 0
	}
	sd := l.SD[1]
	if math.IsNaN(sd) {
		sd = 20
	}
	v := sd * (x - l.XMid)
	v *= v
	if x < l.XLo {
		t := 0.5 * b * (l.XLo - x)
		v += t * t
	} else if x > l.XHi {
		t := 0.5 * b * (x - l.XHi)
		v += t * t
	}
	moved := 0.0
	for j := max(0, i-12); j < i; j += 3 {
		if signal.Known(l.X[j]) {
			moved = math.Max(moved, math.Abs(x-l.X[j]))
		}
	}
	t := 0.35 * b * math.Max(0, moved-0.03)
	return math.Sqrt(v + t*t)
}
