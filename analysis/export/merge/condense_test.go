package merge

import (
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/rows"
	"weirbook/analysis/series"
)

// meanOver integrates readings over [a, b) by their definition, a millisecond
// grid of a hundred: the straight line between usable readings at most a minute
// apart, or the level held.
func meanOver(in []reading, a, b int64, how cell.Condensing) float64 {
	sum, n := 0.0, 0.0
	const step = 100
	for t := a; t < b; t += step {
		at := float64(t) + step/2
		i := -1
		for k := range in {
			if float64(in[k].t) <= at {
				i = k
			}
		}
		if i < 0 || !in[i].usable() {
			continue
		}
		if how == cell.KeepLevel {
			sum += in[i].v
			n++
			continue
		}
		if i+1 == len(in) || !in[i+1].usable() || in[i+1].t-in[i].t > lex.Minute {
			continue
		}
		w := (at - float64(in[i].t)) / float64(in[i+1].t-in[i].t)
		sum += in[i].v + w*(in[i+1].v-in[i].v)
		n++
	}
	return sum / n
}

func TestCondensedMean(t *testing.T) {
	for seed := int64(0); seed < 60; seed++ {
		r := rand.New(rand.NewSource(seed))
		how := []cell.Condensing{cell.KeepLine, cell.KeepLevel}[seed%2]
		var in []reading
		at := int64(1_767_225_600_000)
		for len(in) < 60 {
			at += int64(1+r.Intn(250)) * 100
			if r.Intn(12) == 0 {
				at += int64(r.Intn(200)) * 1000
			}
			x := reading{t: at, v: float64(r.Intn(1000)) / 8}
			if r.Intn(9) == 0 {
				x.f = series.Bad
			}
			in = append(in, x)
		}
		var out Run
		c := condenser{how: how, out: &out}
		for _, x := range in {
			c.feed(x)
		}
		c.finish()
		means := 0
		for i := range out.T {
			if i > 0 {
				require.Greater(t, out.T[i], out.T[i-1])
			}
			if out.flag(i)&series.Condensed == 0 || out.flag(i)&series.Bad != 0 {
				continue
			}
			m := lex.FloorDiv(out.T[i], lex.Minute) * lex.Minute
			use := 0
			for _, x := range in {
				if x.t >= m && x.t < m+lex.Minute && x.usable() {
					use++
				}
			}
			if use < 2 {
				continue // what holds from the minute before
			}
			want := meanOver(in, m, m+lex.Minute, how)
			require.False(t, math.IsNaN(out.v[i]))
			if math.IsNaN(want) {
				continue
			}
			means++
			require.InDelta(t, want, out.v[i], 1e-6*math.Max(1, math.Abs(want)), "seed %d minute %d", seed, m)
		}
		require.Greater(t, means, 3, "seed %d", seed)
	}
}

// A constant signal stays exactly what it was.
func TestCondensedConstant(t *testing.T) {
	for _, how := range []cell.Condensing{cell.KeepLine, cell.KeepLevel} {
		var out Run
		c := condenser{how: how, out: &out}
		for i := int64(0); i < 1000; i++ {
			c.feed(reading{t: i * 1700, v: 0.1})
		}
		c.finish()
		for _, v := range out.v {
			require.Equal(t, 0.1, v)
		}
	}
}

// What an on-change tag holds after a busy minute is its last level, not the
// minute's mean.
func TestOnChangeHoldsAfterBusyMinute(t *testing.T) {
	var out Run
	c := condenser{how: cell.KeepLevel, out: &out}
	c.feed(reading{t: 0, v: 5})
	c.feed(reading{t: 10*lex.Minute + 20_000, v: 9})
	c.feed(reading{t: 10*lex.Minute + 40_000, v: 10})
	c.feed(reading{t: 60 * lex.Minute, v: 3})
	c.finish()
	require.Equal(t, []int64{0, 10 * lex.Minute, 11 * lex.Minute, 60 * lex.Minute}, out.T)
	require.Equal(t, []float64{5, 8, 10, 3}, out.v)
}

// bulk gives what feed gives, and so does column where every reading is plain.
func TestBulkIsFeed(t *testing.T) {
	columns := 0
	for seed := int64(0); seed < 400; seed++ {
		r := rand.New(rand.NewSource(seed))
		how := cell.Condensing(seed % 5)
		var a, b Run
		ca, cb := condenser{how: how, out: &a}, condenser{how: how, out: &b}
		at := int64(0)
		for k := 0; k < 6; k++ {
			sparse := r.Intn(2) == 0
			var recs []rows.Rec
			for i := 0; i < r.Intn(20); i++ {
				if sparse {
					at = (lex.FloorDiv(at, lex.Minute)+1+int64(r.Intn(3)))*lex.Minute + int64(r.Intn(60))*1000
				} else {
					at += int64(1+r.Intn(40)) * 1000
				}
				x := rows.Rec{T: at, V: float64(r.Intn(50))}
				if r.Intn(10) == 0 {
					x.F = series.Bad
				}
				recs = append(recs, x)
			}
			for _, x := range recs {
				ca.feed(reading{x.T, x.V, x.F})
			}
			plain := sparse && r.Intn(2) == 0
			var ts []int64
			var vs []float64
			for _, x := range recs {
				plain = plain && x.F == 0
				ts, vs = append(ts, x.T), append(vs, x.V)
			}
			switch {
			case plain:
				cb.column(ts, vs)
				columns++
			case sparse:
				cb.bulk(recs)
			default:
				for _, x := range recs {
					cb.feed(reading{x.T, x.V, x.F})
				}
			}
		}
		ca.finish()
		cb.finish()
		a.padFlags(len(a.T))
		b.padFlags(len(b.T))
		require.Equal(t, a, b, "seed %d", seed)
		require.Equal(t, ca.condensed, cb.condensed)
	}
	require.Greater(t, columns, 100)
}
