package screen

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// wild makes a series with whatever exports do to readings: rows without a
// number, flags, gaps, spikes, still stretches, stretches outside the span and in
// other units, zeros with a sign, uneven times.
func wild(r *rand.Rand) *series.Series {
	pick := func(xs ...float64) float64 { return xs[r.IntN(len(xs))] }
	n := int(pick(0, 1, 2, 3, 63, 64, 65, 511, 512, 513, 1024, 4095, 4096, 4097, 8191, 8192, float64(r.IntN(12000))))
	level := pick(620, 2, 5, 0, -300, 0.04)
	noise := (math.Abs(level) + 0.1) * pick(0, 0.001, 0.01, 0.1)
	resolution := noise * pick(0, 0.1, 1, 3)
	spacing := int64(pick(1000, 60_000, 60_000, 900_000))
	uneven := r.IntN(3) == 0
	s := &series.Series{Tag: "WILD"}
	at := int64(pick(0, -90e6, 1767225600000, 1767225612345))
	for i := range n {
		v := level + noise*r.NormFloat64() + 5*noise*math.Sin(float64(at)/13.7e6)
		if resolution > 0 {
			v = math.Round(v/resolution) * resolution
		}
		s.Append(at, v, 0)
		at += spacing
		if uneven {
			at += r.Int64N(spacing/2) - spacing/4
		}
		if r.IntN(3000) == 0 || i%chunkLen == chunkLen-1 && r.IntN(5) == 0 {
			at += spacing * r.Int64N(50)
		}
		if r.IntN(500) == 0 {
			uneven = !uneven
		}
	}
	for range r.IntN(7) {
		if n == 0 {
			break
		}
		lo := int(pick(0, float64(r.IntN(n)), float64(r.IntN(n))))
		hi := min(n, lo+1+r.IntN(int(pick(1, 2, 70, 1500, 12000))))
		what := r.IntN(12)
		for i := lo; i < hi; i++ {
			some := r.IntN(40) == 0
			switch {
			case what == 0:
				s.V[i] = s.V[lo]
			case what == 1 && some:
				s.V[i] += 100 * (noise + 0.1)
			case what == 2:
				s.V[i] *= 694.4
			case what == 3:
				s.V[i] /= 1000
			case what == 4:
				s.V[i] = math.NaN()
			case what == 5 && some:
				s.V[i] = pick(math.NaN(), math.Inf(1), math.Inf(-1), math.Copysign(0, -1), 1e308, -1e308)
			case what == 6:
				s.F[i] |= series.Bad
			case what == 7 && some:
				s.F[i] |= series.Flag(1) << r.IntN(12)
			case what == 8:
				s.V[i], s.F[i] = s.V[i]+9*math.Abs(level), s.F[i]|series.OutsideSpan
			case what == 9:
				s.V[i] = 0
			case what == 10:
				s.V[i] = s.V[i]*1.8 + 32
			case what == 11:
				s.F[i] |= series.Late
			}
		}
	}
	return s
}

// What the checks find by skipping is what they find by looking at every
// reading, in the series' own columns and in copies of them.
func TestSkippingFindsTheSame(t *testing.T) {
	rounds := 300
	if testing.Short() {
		rounds = 60
	}
	var b scratch // one for all, as a worker has it
	copied := 0
	for seed := range uint64(rounds) {
		r := rand.New(rand.NewPCG(seed, 7))
		s := wild(r)
		before := series.Series{T: slices.Clone(s.T), V: slices.Clone(s.V), F: slices.Clone(s.F)}
		spacing := int64(0)
		if s.Len() > 1 {
			spacing = s.T[1] - s.T[0]
		}
		limit := spacing * int64(1+r.IntN(8)) / 2
		b.load(s, spacing, limit)
		p := plainLoad(s)
		var rep TagReport
		var marks []mark
		for range 3 {
			same(t, seed, r, s, &b, p)
			if b.copied {
				copied++
			}
			// Mark some spans, unusable or not, and go on without them.
			for range r.IntN(4) {
				if len(p.v) == 0 {
					break
				}
				lo := r.IntN(len(p.v))
				sp := idxSpan{lo, min(len(p.v), lo+1+r.IntN(700))}
				f := []series.Flag{series.Spike, series.OutsideSpan, series.UnitDoubt, series.Frozen}[r.IntN(4)]
				rep.mark(f, &b, sp)
				marks = append(marks, p.marks(f, sp)...)
			}
			require.Equal(t, marks, rep.marks, "seed %d", seed)
			require.Equal(t, plainTally(s, marks), tallyOf(s, rep.marks, b.raw), "seed %d", seed)
			b.without(rep.marks)
			p = p.without(marks)
		}
		same(t, seed, r, s, &b, p)
		for i := range before.T {
			if before.T[i] != s.T[i] || before.F[i] != s.F[i] || math.Float64bits(before.V[i]) != math.Float64bits(s.V[i]) {
				t.Fatalf("seed %d: reading %d was written to", seed, i)
			}
		}
	}
	require.Greater(t, copied, rounds/2)
	require.Less(t, copied, 3*rounds-rounds/4, "some are screened in place")
}

// same holds every search of the scratch against the plain one.
func same(t *testing.T, seed uint64, r *rand.Rand, s *series.Series, b *scratch, p plain) {
	t.Helper()
	n := len(p.v)
	require.Equal(t, n, len(b.v), "seed %d", seed)
	for k := range p.v {
		if p.t[k] != b.t[k] || math.Float64bits(p.v[k]) != math.Float64bits(b.v[k]) || p.idx[k] != b.index(k) {
			t.Fatalf("seed %d: reading %d", seed, k)
		}
	}
	bits := func(want, got float64) {
		if math.Float64bits(want) != math.Float64bits(got) && (want == want || got == got) {
			t.Fatalf("seed %d: %g and %g", seed, want, got)
		}
	}
	value := func(i int) float64 { return p.v[i] }
	q := plainQuantiles(n, value, 0, 0.01, 0.05, 0.5, 0.95, 0.99, 1)
	got := b.picked()
	for i, x := range []float64{got.least, got.p1, got.p5, got.mid, got.p95, got.p99, got.most} {
		bits(q[i], x)
	}
	d := plainQuantiles(n-1, func(i int) float64 { return math.Abs(p.v[i+1] - p.v[i]) }, 0.5, 0.9, 0.99)
	moves := b.changes(every(n - 1))
	bits(d[0], moves.p50)
	bits(d[1], moves.p90)
	bits(d[2], moves.p99)
	bits(p.resolution(), b.changes(every(n)).small)

	orp := Tagged{Kind: quantity.ORP, Declared: quantity.MustUnit("mV"), Low: q[r.IntN(2)], High: math.NaN()}
	if want, got := p.usualLevel(orp, q[3]), b.usualLevel(orp, q[3]); want != got && n > 0 { // a zero's sign does not matter here
		t.Fatalf("seed %d: usually %g and %g", seed, want, got)
	}

	mid, wide := q[3], q[5]-q[1]
	equal := func(want, got []idxSpan) {
		t.Helper()
		if !slices.Equal(want, got) {
			t.Fatalf("seed %d: %v and %v", seed, want, got)
		}
	}
	for _, span := range [][2]float64{{q[0], q[6]}, {q[1], q[5]}, {mid, math.Inf(1)}, {math.Inf(-1), math.Inf(1)}, {math.NaN(), 1}} {
		equal(p.outside(span[0], span[1], s.F), b.outside(span[0], span[1], s.F))
	}
	if n > 0 && mid != 0 {
		for _, f := range []farFrom{{mid, false, false}, {mid, false, true}, {mid, true, false}, {-mid, false, true}} {
			least := int64(r.IntN(40)) * b.spacing
			equal(p.away(f, 2*b.limit, least), b.away(f, 2*b.limit, least))
		}
	}
	set := DefaultSettings()
	for _, floor := range []float64{8 * moves.p50, 0.05 * wide, moves.p99, wide, math.NaN()} {
		equal(p.jumps(floor, moves.p50, b.limit, set), b.jumps(floor, moves.p50, set))
	}
	var rep TagReport
	rep.gaps(s, b)
	require.Equal(t, plainGaps(s, b.limit), rep.Stretches, "seed %d", seed)
	for _, rest := range []float64{math.NaN(), q[0], mid, 0, math.Inf(1)} {
		long := b.spacing * int64(r.IntN(20))
		require.Equal(t, p.runs(rest, b.limit, long), b.runsOf(rest, long), "seed %d", seed)
	}
	for _, width := range []int64{20 * 60_000, 7*b.spacing + 1} {
		want := p.cut(width, b.limit, b.spacing)
		blocks := b.cut(width)
		require.Equal(t, len(want), len(blocks), "seed %d", seed)
		for k, bl := range want {
			x := blocks[k]
			bits(bl.rms, x.rms)
			if bl.span != x.span || bl.hour != x.hour || bl.level != x.level || bl.whole != x.whole {
				t.Fatalf("seed %d: block %d", seed, k)
			}
		}
		for _, rest := range []float64{math.NaN(), q[2], 0} {
			set.FrozenShare = 0.1 + 0.8*r.Float64()
			if lively(blocks, rest, set.FrozenShare) {
				require.Empty(t, b.quietSpans(blocks, set, rest), "seed %d", seed)
			}
		}
	}
}

// A plain series is read where it stands.
func TestPlainSeriesIsNotCopied(t *testing.T) {
	s := &series.Series{}
	for i := range 3000 {
		s.Append(int64(i)*60_000, float64(i%7), series.Late)
	}
	var b scratch
	b.load(s, 60_000, 300_000)
	require.False(t, b.copied)
	require.Same(t, &s.V[0], &b.v[0])
	require.Nil(t, b.ownV)
	b.without([]mark{{series.Frozen, 0, 3000}})
	require.False(t, b.copied, "what is frozen is still used")
	b.without([]mark{{series.Frozen, 0, 3000}, {series.Spike, 2999, 3000}})
	require.False(t, b.copied, "its head is still the series'")
	require.Len(t, b.v, 2999)
	s.F[1500] = series.Bad
	b.load(s, 60_000, 300_000)
	require.True(t, b.copied)
	require.NotSame(t, &s.V[0], &b.v[0])
}

// Between two values of which none is far, no value is.
func TestNoFarValueBetween(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	near := 0
	for range 20000 {
		f := farFrom{usual: []float64{620, 2, -300, 18}[r.IntN(4)], temp: r.IntN(3) == 0, downToo: r.IntN(2) == 0}
		value := func() float64 {
			if f.temp {
				return f.usual + []float64{-15, 0, 15}[r.IntN(3)] + r.NormFloat64()*0.01
			}
			return f.usual * []float64{20, 1, 0, 1.0 / 20, -1}[r.IntN(5)] * (1 + r.NormFloat64()*0.01)
		}
		x, y := value(), value()
		x, y = min(x, y), max(x, y)
		if !f.none(x, y) {
			continue
		}
		near++
		for k := range 101 {
			w := min(x+(y-x)*float64(k)/100, y)
			require.False(t, f.far(w), "%+v: %g of %g to %g", f, w, x, y)
		}
	}
	require.Greater(t, near, 2000)
}

// The bins of durations are those of the logarithm: for every duration of two
// hours, for whole seconds of a year, and on both sides of each bin's edge.
func TestBinsAreTheLogarithms(t *testing.T) {
	start := binStart()
	check := func(d int64) {
		if binOf(start, d) != log2Bin(d) {
			t.Fatalf("%d ms: bin %d, by the logarithm %d", d, binOf(start, d), log2Bin(d))
		}
	}
	for d := range int64(2 * 3600_000) {
		check(d)
	}
	step := int64(1)
	if testing.Short() {
		step = 60
	}
	for d := int64(0); d < 366*86400; d += step {
		check(1000 * d)
	}
	for k := range start {
		if start[k] > 200*366*86400_000 {
			break
		}
		for d := max(0, start[k]-2000); d < start[k]+2000; d++ {
			check(d)
		}
	}
}

func TestRanksAreThoseOfTheSorted(t *testing.T) {
	var b scratch
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 3))
		x := make([]float64, 1+r.IntN(3000))
		for i := range x {
			x[i] = r.NormFloat64()
			switch seed % 6 {
			case 1:
				x[i] = math.Round(x[i])
			case 2:
				x[i] = float64(i % 50)
			case 3:
				x[i] = float64(i)
			case 4:
				x[i] = 3
			case 5:
				x[i] = []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 0, 1e-310, -1e300}[r.IntN(7)]
			}
		}
		sorted := slices.Clone(x)
		slices.Sort(sorted)
		at := []int{r.IntN(len(x)), r.IntN(len(x)), 0, len(x) - 1}
		for i, y := range b.ranks(x, at...) {
			if w := sorted[at[i]]; w != y && (w == w || y == y) {
				t.Fatalf("seed %d: place %d of %d: %g, sorted %g", seed, at[i], len(x), y, w)
			}
		}
	}
}
