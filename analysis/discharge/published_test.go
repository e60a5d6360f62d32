package discharge

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/testdata/published"
)

// values reads "1|2|<0.6". "<ML", a limit without a number, is any limit: 1.
func values(t testing.TB, s string) []Value {
	t.Helper()
	var out []Value
	for _, p := range strings.Split(s, "|") {
		v := Value{}
		switch {
		case p == "<ML":
			out = append(out, Value{1, Less})
			continue
		case strings.HasPrefix(p, "<"):
			v.Sign, p = Less, p[1:]
		case strings.HasPrefix(p, ">"):
			v.Sign, p = Greater, p[1:]
		}
		var err error
		v.V, err = strconv.ParseFloat(p, 64)
		require.NoError(t, err)
		out = append(out, v)
	}
	return out
}

func textIn(t testing.TB, r published.Row, key string) string {
	for _, kv := range strings.Split(r.Text(t, "inputs"), ";") {
		if k, s, ok := strings.Cut(kv, "="); ok && k == key {
			return s
		}
	}
	t.Fatalf("no input %q", key)
	return ""
}

func rule(r Rule) Choice {
	return Choice{Rule: r, Fixed: math.NaN(), AllBelow: "less-than-largest", Floor: 1, MinDetected: 3}
}

func TestPublishedWorkedExamples(t *testing.T) {
	sheet := published.NewSheet(t)
	tab := published.Load(t, "worked_examples")
	same := func(id, ours string) {
		r := tab.Find(t, id)
		sheet.Same(id, r.Source(), r.Mark(), r.Text(t, "expected"), ours)
	}
	of := func(id string) []Value { return values(t, textIn(t, tab.Find(t, id), "values")) }

	// 5.896: the printed answer has two decimals, as the five results.
	m := rule(Limit).Mean(of("dmr-mean-1"))
	same("dmr-mean-1", Round(m.V, Places{Figures: 3, MaxDecimals: 2}, HalfUp))
	require.Equal(t, "5.896", shortest(m.V), "the unrounded value that the handout's note gives")

	sheet.Row(tab.Find(t, "geomean-1"), "expected", rule(Limit).GeometricMean(of("geomean-1")).V)
	sheet.Row(tab.Find(t, "nd-zero-1"), "expected", rule(Zero).Mean(of("nd-zero-1")).V)
	sheet.Row(tab.Find(t, "nd-half-1"), "expected", rule(Half).Mean(of("nd-half-1")).V)
	rl := rule(Limit).Mean(of("nd-rl-1"))
	sheet.Row(tab.Find(t, "nd-rl-1"), "expected", rl.V)
	require.Equal(t, Less, rl.Sign, "a mean over limits is an upper bound")
	g := rule(WithoutSign).GeometricMean(of("geomean-lt-1"))
	sheet.Row(tab.Find(t, "geomean-lt-1"), "expected", g.V)
	require.Equal(t, Exact, g.Sign, "Iowa: the sign is dropped")
	same("geomean-alllt", rule(WithoutSign).GeometricMean(of("geomean-alllt")).Value.text(Places{Figures: 2, MaxDecimals: 0}, HalfUp))

	for _, id := range []string{"round-up-1", "round-even-1", "round-even-2"} {
		r := tab.Find(t, id)
		h := HalfUp
		if strings.HasPrefix(id, "round-even") {
			h = HalfEven
		}
		same(id, Round(r.In(t, "value"), Places{Decimals: int(r.In(t, "decimals")), MaxDecimals: -1}, h))
	}
	// The note of round-even-1: the same input under the other rule.
	require.Equal(t, "2.3", Round(2.25, Places{Decimals: 1, MaxDecimals: -1}, HalfUp))
	// The same EPA memorandum: 0.0104 -> 0.010.
	sheet.Same("round-up-2", "EPA Water Supply Guidance memo 21 (Q&A page)", "verified", "0.010", Round(0.0104, Places{Decimals: 3, MaxDecimals: -1}, HalfUp))
	// New York DEC: 0.7 is one figure, .067 two.
	sheet.Check("figures 0.7", "New York DEC reporting guidance", "verified", "1", 0, float64(Figures("0.7")))
	sheet.Check("figures .067", "New York DEC reporting guidance", "verified", "2", 0, float64(Figures(".067")))
}

func TestPublishedCensored(t *testing.T) {
	sheet := published.NewSheet(t)
	data := map[string][]Value{}
	for _, r := range published.Load(t, "discharge_censored_data").Rows {
		data[r.Text(t, "set")] = values(t, r.Text(t, "values"))
	}
	for _, r := range published.Load(t, "discharge_censored").Rows {
		vs := data[r.Text(t, "set")]
		require.NotEmpty(t, vs)
		c := rule(Rule(r.Text(t, "method")))
		var ours float64
		switch r.Text(t, "figure") {
		case "mu", "sigma":
			l, err := FitLognormal(vs, 3)
			require.NoError(t, err)
			ours = map[string]float64{"mu": l.Mu, "sigma": l.Sigma}[r.Text(t, "figure")]
		case "mean":
			f := c.Mean(vs)
			require.Equal(t, c.Rule, f.Rule, f.Note)
			ours = f.V
		case "geometric mean":
			ours = c.GeometricMean(vs).V
		case "percentile 90":
			ours = c.Quantile(vs, 0.9).V
		}
		sheet.Row(r, "expected", ours)
	}
}
