package health

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// sluggish finds where a probe lost its response: over eight hours its quarter-hour
// to quarter-hour moves are a small share of what they usually are, though the
// signal is not still.
func sluggish(c *signal.Column, mask []bool, s *Settings) []Trouble {
	b := signal.Binned(c, mask)
	const q = 3 // bins in a quarter of an hour
	n := len(b) / q
	m := make([]float64, n)
	for i := range m {
		m[i] = robust.Median(b[i*q : (i+1)*q])
	}
	d := signal.Unknown(n)
	for i := 1; i < n; i++ {
		d[i] = math.Abs(m[i] - m[i-1])
	}
	long := s.ResponseHours * 4
	r := robust.TrailingMedian(d, long, long/2)
	w := robust.Numbers(r)
	if len(w) < 4*long {
		return nil
	}
	usual := robust.QuantileSorted(w, 0.5)
	limit := s.ResponseShare * usual
	if robust.QuantileSorted(w, 0.25) < limit {
		return nil // so often that it tells nothing
	}
	var out []Trouble
	for i := 0; i < n; i++ {
		if !(r[i] < limit) {
			continue
		}
		j := i
		last := i
		for ; j < n && j-last <= long/4; j++ {
			if r[j] < 1.25*limit {
				last = j
			}
		}
		from := max(0, i-long*3/4)
		to := last - long/4 + 1
		out = append(out, Trouble{Span: signal.Between(from*q*signal.BinMin, max(to, from+1)*q*signal.BinMin), Kind: ResponseLost, Alarm: i * q * signal.BinMin, Size: quietest(r, i, last), Usual: usual})
		i = last
	}
	return out
}
