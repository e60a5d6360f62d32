package simulate

import (
	"math"
	"math/rand/v2"
)

// stream gives the random numbers of one named part of the plant. The name is
// hashed (FNV-1a, 64 bit) into the second word of the PCG state.
func stream(seed uint64, name string) *rand.Rand {
	h := uint64(14695981039346656037)
	for i := 0; i < len(name); i++ {
		h ^= uint64(name[i])
		h *= 1099511628211
	}
	return rand.New(rand.NewPCG(seed, h))
}

// wander is a random walk pulled back to zero (Ornstein-Uhlenbeck): standard
// deviation sd, correlation falling by 1/e in tau steps.
type wander struct{ now, keep, kick float64 }

func newWander(r *rand.Rand, sd, tau float64) *wander {
	keep := math.Exp(-1 / tau)
	return &wander{now: sd * r.NormFloat64(), keep: keep, kick: sd * math.Sqrt(1-keep*keep)}
}

func (w *wander) step(r *rand.Rand) float64 {
	w.now = w.now*w.keep + w.kick*r.NormFloat64()
	return w.now
}

// pink adds wanders whose time scales lie a factor of five apart, which is
// close to 1/f noise between the shortest and the longest of them.
type pink []*wander

func newPink(r *rand.Rand, sd float64, taus ...float64) pink {
	var p pink
	for _, tau := range taus {
		p = append(p, newWander(r, sd/math.Sqrt(float64(len(taus))), tau))
	}
	return p
}

func (p pink) step(r *rand.Rand) float64 {
	sum := 0.0
	for _, w := range p {
		sum += w.step(r)
	}
	return sum
}

// burst is a disturbance that comes at random (exponential gaps), lasts a
// while, and has a size drawn anew each time.
type burst struct {
	perMinute      float64
	shortest, span float64 // minutes
	left           int
	size           float64
}

func newBurst(perWeek, shortest, longest float64) *burst {
	return &burst{perMinute: perWeek / (7 * 1440), shortest: shortest, span: longest - shortest}
}

// step advances a minute and gives the burst's size, 0 outside of one.
func (b *burst) step(r *rand.Rand) float64 {
	u := r.Float64()
	if b.left > 0 {
		b.left--
		return b.size
	}
	if u < b.perMinute {
		b.left = int(b.shortest + b.span*r.Float64())
		b.size = math.Exp(0.5 * r.NormFloat64())
	}
	return 0
}

// lag is a first-order filter with the time constant in minutes.
type lag struct {
	y     float64
	begun bool
}

func (l *lag) step(x, tau float64) float64 {
	if !l.begun {
		l.y, l.begun = x, true
		return x
	}
	l.y += (x - l.y) * (1 - math.Exp(-1/math.Max(tau, 1e-6)))
	return l.y
}

// round gives x to the nearest multiple of 1/perUnit.
func round(x, perUnit float64) float64 { return math.Round(x*perUnit) / perUnit }

func clamp(x, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, x)) }
