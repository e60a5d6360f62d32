package discharge

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Decimal-exact: a million hundredths as written, against rational arithmetic
// on the same text.
func TestRoundAgainstRational(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 20000 {
		dec := r.IntN(5)
		text := strconv.FormatFloat(float64(r.IntN(1_000_000))/math.Pow(10, float64(dec)), 'f', dec, 64)
		v, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		places := r.IntN(4)
		for _, h := range []HalfRule{HalfUp, HalfEven} {
			require.Equal(t, rational(text, places, h), Round(v, Places{Decimals: places, MaxDecimals: -1}, h), "%s to %d, %s", text, places, h)
		}
	}
}

// rational rounds the text exactly.
func rational(text string, places int, h HalfRule) string {
	x, _ := new(big.Rat).SetString(text)
	scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)
	x.Mul(x, new(big.Rat).SetInt(scale))
	q, rem := new(big.Int).QuoRem(x.Num(), x.Denom(), new(big.Int))
	twice := new(big.Int).Lsh(rem, 1).Cmp(x.Denom())
	if twice > 0 || twice == 0 && (h == HalfUp || q.Bit(0) == 1) {
		q.Add(q, big.NewInt(1))
	}
	s := q.String()
	if places > 0 {
		for len(s) <= places {
			s = "0" + s
		}
		s = s[:len(s)-places] + "." + s[len(s)-places:]
	}
	return s
}

// A mean that is a tie in decimals is decided as a tie, also where its binary
// form is not one: (0.1 + 0.2) / 2, the mean of ten times 0.0105, and others.
func TestTiesOfMeans(t *testing.T) {
	c := rule(Zero)
	ten := make([]Value, 10)
	for i := range ten {
		ten[i].V = 0.0105
	}
	require.Equal(t, "0.011", Round(c.Mean(ten).V, Places{Decimals: 3, MaxDecimals: -1}, HalfUp))
	require.Equal(t, "0.010", Round(c.Mean(ten).V, Places{Decimals: 3, MaxDecimals: -1}, HalfEven))
	require.Equal(t, "0.2", Round(c.Mean([]Value{{V: 0.1}, {V: 0.2}}).V, Places{Decimals: 1, MaxDecimals: -1}, HalfEven))
	require.Equal(t, "0.2", Round((1.1-0.9)*1.25, Places{Decimals: 1, MaxDecimals: -1}, HalfEven), "0.25")
}

func TestRoundCases(t *testing.T) {
	for _, c := range []struct {
		v    float64
		p    Places
		want string
	}{
		{9.96, Places{Figures: 2, MaxDecimals: -1}, "10"},
		{99.6, Places{Figures: 2, MaxDecimals: -1}, "100"},
		{1234, Places{Figures: 2, MaxDecimals: -1}, "1200"},
		{0.0666, Places{Figures: 2, MaxDecimals: -1}, "0.067"},
		{0, Places{Figures: 2, MaxDecimals: -1}, "0.0"},
		{0, Places{Figures: 3, MaxDecimals: 0}, "0"},
		{-0.04, Places{Decimals: 1, MaxDecimals: -1}, "0.0"},
		{-2.25, Places{Decimals: 1, MaxDecimals: -1}, "-2.3"},
		{8.304, Places{Figures: 3, MaxDecimals: 1}, "8.3"},
		{126.4, Places{Figures: 3, MaxDecimals: 1}, "126"},
		{5.896, Places{Figures: 3, MaxDecimals: -1}, "5.90"},
		{1e-7, Places{Figures: 1, MaxDecimals: -1}, "0.0000001"},
		{123456789, Places{Figures: 1, MaxDecimals: -1}, "100000000"},
		{math.NaN(), Places{Figures: 1, MaxDecimals: -1}, ""},
		{math.Inf(1), Places{Figures: 1, MaxDecimals: -1}, ""},
	} {
		require.Equal(t, c.want, Round(c.v, c.p, HalfUp), "%v", c)
	}
}

func FuzzRound(f *testing.F) {
	f.Add(5.896, 3, 2, true)
	f.Add(0.0105, 0, 3, false)
	f.Add(-1e300, 2, -1, true)
	f.Add(5e-324, 9, 9, true)
	f.Fuzz(func(t *testing.T, v float64, figures, decimals int, up bool) {
		figures, decimals = abs(figures)%10, abs(decimals)%10
		h := HalfEven
		if up {
			h = HalfUp
		}
		p := Places{Figures: figures, Decimals: decimals, MaxDecimals: -1}
		s := Round(v, p, h)
		if !finite(v) {
			require.Empty(t, s)
			return
		}
		x, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err, s)
		require.NotContains(t, s, "e")
		if figures == 0 {
			require.Equal(t, decimals, DecimalsOf(s))
			require.LessOrEqual(t, math.Abs(x-v), 0.5000001*math.Pow(10, -float64(decimals))+math.Abs(v)*1e-12)
		} else if v != 0 && math.Abs(v) > 1e-290 {
			require.LessOrEqual(t, math.Abs(x/v-1), 5.0000001*math.Pow(10, -float64(figures)), s)
		}
		// Rounded once is rounded for good.
		if finite(x) {
			require.Equal(t, s, Round(x, p, h), "%g", v)
		}
	})
}

func abs(n int) int {
	if n == math.MinInt {
		return 0
	}
	if n < 0 {
		return -n
	}
	return n
}

// What must hold for any results under any rule.
func FuzzRules(f *testing.F) {
	f.Add(uint64(1), 5)
	f.Add(uint64(7), 1)
	f.Fuzz(func(t *testing.T, seed uint64, n int) {
		r := rand.New(rand.NewPCG(seed, 1))
		n = 1 + abs(n)%40
		vs := make([]Value, n)
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := range vs {
			vs[i] = Value{math.Exp(3 * r.NormFloat64()), []Sign{Exact, Exact, Less, Greater}[r.IntN(4)]}
			lo, hi = min(lo, vs[i].V), max(hi, vs[i].V)
		}
		below := ofSign(vs, Less)
		means := map[Rule]float64{}
		for _, rf := range rule(Limit).spread(func(c Choice) Figure { return c.Mean(vs) }) {
			means[rf.Rule] = rf.Value.V
			if rf.Rule != MLE && rf.Rule != KaplanMeierRule {
				require.True(t, finite(rf.Value.V))
			}
			if below == 0 && rf.Note == "" {
				require.InDelta(t, means[Zero], rf.Value.V, 1e-9*hi, "without non-detects all rules agree: %s", rf.Rule)
			}
		}
		require.LessOrEqual(t, means[Zero], means[Half])
		require.LessOrEqual(t, means[Half], means[Limit])
		if km := means[KaplanMeierRule]; finite(km) {
			require.LessOrEqual(t, means[Zero], km*(1+1e-12), "substitution brackets the mean")
			require.LessOrEqual(t, km, means[Limit]*(1+1e-12))
		}
		for _, rl := range rules {
			c := rule(rl)
			c.Fixed = 0.5
			for _, fig := range []Figure{c.Mean(vs), c.GeometricMean(vs), c.Quantile(vs, 0.9)} {
				require.True(t, finite(fig.V), "%s %v", rl, vs)
				require.NotEmpty(t, string(fig.Rule))
			}
			g, m := c.GeometricMean(vs), c.Mean(vs)
			if rl != Zero && rl != Fixed && g.Rule == m.Rule {
				require.LessOrEqual(t, g.V, m.V*(1+1e-9), "a geometric mean is not above the arithmetic one")
			}
			if ofSign(vs, Greater) > 0 {
				require.Equal(t, Greater, m.Sign)
			}
			h, i := c.Highest(vs)
			require.GreaterOrEqual(t, i, 0)
			require.True(t, h.V <= hi+0.5 && h.V >= 0)
			med := c.Median(vs)
			require.True(t, med.V <= hi+0.5 && med.V >= 0)
		}
		if below == n {
			require.Equal(t, Figure{Value: Value{hi, Less}, Rule: Half, Note: "every result is below its reporting limit: less than the largest of the limits"}, rule(Half).Mean(vs))
		}
	})
}

// The order of results does not change a figure beyond the last bits, and not
// the reported text.
func TestOrderOfResults(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for range 200 {
		vs := make([]Value, 12)
		for i := range vs {
			vs[i] = Value{math.Round(100*math.Exp(r.NormFloat64())) / 100, []Sign{Exact, Exact, Less}[r.IntN(3)]}
		}
		for _, rl := range []Rule{Zero, Half, Limit, WithoutSign, KaplanMeierRule, MLE} {
			a := fmt.Sprint(rule(rl).Mean(vs).text(Places{Figures: 4, MaxDecimals: -1}, HalfUp))
			w := append([]Value(nil), vs...)
			r.Shuffle(len(w), func(i, j int) { w[i], w[j] = w[j], w[i] })
			require.Equal(t, a, fmt.Sprint(rule(rl).Mean(w).text(Places{Figures: 4, MaxDecimals: -1}, HalfUp)), rl)
		}
	}
}

// Too few detected values for maximum likelihood: the limit is taken, and said.
func TestTooFewForLikelihood(t *testing.T) {
	f := rule(MLE).Mean(values(t, "<2|<2|3|4"))
	require.Equal(t, Limit, f.Rule)
	require.Equal(t, "maximum likelihood needs 3 detected values; there are 2; the limit was taken instead", f.Note)
	require.Equal(t, Less, f.Sign)
	_, err := FitLognormal(values(t, "<2|3|3|3"), 3)
	require.ErrorContains(t, err, "different size")
	_, err = FitLognormal(values(t, "<2|0|3|4"), 2)
	require.ErrorContains(t, err, "no logarithm")
}

func TestFiguresAsWritten(t *testing.T) {
	for s, want := range map[string]int{"30": 2, "400": 3, "0.10": 2, ".067": 2, "6.0": 2, "1e3": 1, "-0.5": 1, "0": 1, "126": 3} {
		require.Equal(t, want, Figures(s), s)
	}
	for s, want := range map[string]int{"30": 0, "0.10": 2, "1.5e-3": 4, "2e3": 0} {
		require.Equal(t, want, DecimalsOf(s), s)
	}
	require.Equal(t, "2419.6", shortest(2419.6))
	require.Equal(t, "1200", shortest(1200))
	require.Equal(t, "-0.5", shortest(-0.5))
	require.False(t, strings.Contains(shortest(1e-9), "e"))
}
