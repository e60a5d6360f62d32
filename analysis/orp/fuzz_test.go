package orp

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/series"
)

// spoilt makes a small input out of nothing that a plant would send: walks, constants,
// gaps, jumps, infinities, absent columns, flags, grabs out of order and out of range.
func spoilt(seed uint64, minutes int, shape []byte) Input {
	rng := rand.New(rand.NewPCG(seed, 3))
	at := 0
	next := func() byte {
		if len(shape) == 0 {
			return byte(rng.Uint32())
		}
		at++
		return shape[at%len(shape)]
	}
	g := align.Grid{Start: 1_780_000_000 / 60 * 60, N: minutes}
	column := func(tag string, level float64) Column {
		k := next()
		if k%8 == 0 {
			return Column{Tag: tag}
		}
		c := Column{Tag: tag, V: make([]float64, minutes), OnChange: k%16 == 1}
		if k%5 == 0 {
			c.Low, c.High = 0, level*1.5
		}
		if k%7 == 0 {
			c.F = make([]series.Flag, minutes)
		}
		x := level
		for i := range c.V {
			switch b := rng.Uint32() % 997; {
			case b == 0:
				x = level * (0.2 + 2*rng.Float64())
			case b == 1 && k%3 == 0:
				x = 0
			case b == 2 && k%3 == 1:
				x = math.Inf(1)
			case b == 3 && k%3 == 2:
				x = -level
			case math.IsInf(x, 1):
				x = level
			}
			if k%4 != 1 { // else held
				x += level * 0.01 * rng.NormFloat64()
			}
			c.V[i] = x
			if k%11 == 2 && i/200%3 == 0 {
				c.V[i] = math.NaN()
			}
			if c.F != nil && rng.Uint32()%50 == 0 {
				c.F[i] = series.Bad
			}
		}
		return c
	}
	in := Input{Grid: g, BasinGal: float64(next()) * 1000,
		Free: column("f", 1.5), Total: column("t", 2), PH: column("p", 7), Temp: column("T", 18), Flow: column("q", 2),
		InfluentFlow: column("i", 2), Feed: column("d", 100), Ammonia: column("n", 0.3), Bisulfite: column("b", 4), Final: column("e", 0.05)}
	for k := range int(next() % 4) {
		in.Probes = append(in.Probes, Probe{Column: column("o"+string(rune('1'+k)), 650), Place: Place(k % 3), VolumeFraction: float64(next()) / 200})
	}
	for range int(next()) {
		in.Grabs = append(in.Grabs, Grab{At: g.Milli(0) + rng.Int64N(int64(minutes)*90_000) - 1_000_000, MgL: 3*rng.Float64() - 0.2, Free: next()%2 == 0})
	}
	if next()%9 == 0 {
		in.Delay = make([]float64, minutes)
		for i := range in.Delay {
			in.Delay[i] = 5000 * rng.NormFloat64()
		}
	}
	if next()%9 == 0 {
		a := g.Milli(0) + rng.Int64N(int64(minutes)*60_000)
		in.Reference = []series.Stretch{{Start: a, End: a + rng.Int64N(86_400_000)}}
	}
	return in
}

// sound checks what holds for every result, whatever went in.
func sound(t *testing.T, in Input) {
	res, err := Judge(in, DefaultSettings())
	require.NoError(t, err)
	require.Len(t, res.Models, len(in.Probes))
	require.Len(t, res.Alarms, len(res.Findings))
	lo, hi := in.Grid.Milli(0), in.Grid.Milli(in.Grid.N)
	for i, f := range res.Findings {
		require.Less(t, f.Start, f.End, "%s on %s", f.Kind, f.Subject)
		require.GreaterOrEqual(t, f.Start, lo)
		require.LessOrEqual(t, f.End, hi)
		require.True(t, f.Confidence > 0 && f.Confidence <= 1, "confidence %g", f.Confidence)
		require.True(t, res.Alarms[i] >= lo && res.Alarms[i] <= hi)
	}
	for _, m := range res.Models {
		require.Len(t, m.Expected, in.Grid.N)
		for i := range m.Expected {
			require.False(t, m.Lo[i] > m.Hi[i], "%s: band upside down at minute %d", m.Tag, i)
		}
	}
}

func FuzzJudge(f *testing.F) {
	f.Add(uint64(1), uint16(1), []byte{1})
	f.Add(uint64(2), uint16(1440), []byte{2, 3, 5})
	f.Add(uint64(3), uint16(3000), []byte{17, 6, 9, 4, 33})
	f.Add(uint64(4), uint16(4000), []byte{7, 35, 28})
	f.Fuzz(func(t *testing.T, seed uint64, minutes uint16, shape []byte) {
		sound(t, spoilt(seed, 1+int(minutes)%6000, shape))
	})
}

// Findings lie inside of the record and bands are the right way up for months that
// nobody would send.
func TestSpoiltMonths(t *testing.T) {
	for seed := range uint64(12) {
		sound(t, spoilt(seed, 3000+int(seed)*700, nil))
	}
}
