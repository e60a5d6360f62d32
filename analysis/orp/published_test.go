package orp

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// published reads a table of testdata/published without its comment lines.
func published(t *testing.T, name string) (head []string, rows [][]string) {
	t.Helper()
	f, err := os.Open("../../testdata/published/orp_" + name)
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	r.FieldsPerRecord = -1
	all, err := r.ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(all), 1)
	return all[0], all[1:]
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

// regressionData gives X with a column of ones, and y in the last column of the file.
func regressionData(t *testing.T, name string) (x [][]float64, y []float64) {
	_, rows := published(t, name+".csv")
	for _, r := range rows {
		row := []float64{1}
		for _, c := range r[:len(r)-1] {
			row = append(row, number(t, c))
		}
		x = append(x, row)
		y = append(y, number(t, r[len(r)-1]))
	}
	return x, y
}

// Robust fits of public data sets with outliers against R and statsmodels.
func TestPublishedRobustFits(t *testing.T) {
	_, rows := published(t, "robust_fits.csv")
	require.Len(t, rows, 7)
	for _, r := range rows {
		t.Run(r[0]+" "+r[1]+" "+r[7], func(t *testing.T) {
			x, y := regressionData(t, r[0])
			var want []float64
			for _, c := range r[2:6] {
				if c != "" {
					want = append(want, number(t, c))
				}
			}
			var got []float64
			switch r[1] {
			case "lts":
				c, _, err := leastTrimmed(x, y)
				require.NoError(t, err)
				got = c
			default:
				loss := Huber
				if r[1] == "bisquare" {
					loss = Bisquare
				}
				f, err := Regress(x, y, FitOptions{Loss: loss, MaxIter: 5000, Tol: 1e-12})
				require.NoError(t, err)
				got = f.Coef
				if r[6] != "" {
					require.InEpsilon(t, number(t, r[6]), f.Scale, 4e-5)
				}
			}
			require.Len(t, got, len(want))
			for j := range want {
				require.False(t, math.IsNaN(got[j]))
				// R writes the normal quartile as 0.6745, we as 0.67449: the scale
				// differs by 1.5e-5 of itself, the coefficients by about as much.
				// statsmodels stops a little before the end.
				tol := 2e-5 * math.Max(1, math.Abs(want[j]))
				if r[7] == "statsmodels RLM" {
					tol = 4e-5 * math.Max(1, math.Abs(want[j]))
				}
				require.InDelta(t, want[j], got[j], tol, "coefficient %d", j)
			}
		})
	}
}

func TestPublishedRobustConstants(t *testing.T) {
	_, rows := published(t, "robust_constants.csv")
	got := map[string]float64{"mad_scale": MADScale, "huber_k": HuberK, "bisquare_c": BisquareC,
		"mad_of_22": MAD([]float64{2.9, 3.1, 3.4, 3.7, 2.8, 2.5, 2.4, 2.4, 2.7, 2.2, 5.28, 3.37, 3.03, 3.03, 28.95, 3.77, 3.4, 2.2, 3.5, 3.6, 3.7, 3.7})}
	require.Len(t, rows, len(got))
	for _, r := range rows {
		v, ok := got[r[0]]
		require.True(t, ok, r[0])
		// half a unit of the last printed digit
		tol := 0.5
		if i := len(r[1]); i > 2 {
			tol = 0.5 * math.Pow(10, -float64(i-2))
		}
		if r[0] == "mad_of_22" {
			tol = 1.5e-6 // R rounds the factor to 1.4826
		}
		require.InDelta(t, number(t, r[1]), v, tol, r[0])
	}
	// Efficiency at the normal, which is why the constants are what they are:
	// (E psi')² / E psi², by numerical integration.
	for _, l := range []Loss{Huber, Bisquare} {
		psi := func(u float64) float64 { return u * l.weight(u) }
		slope, square := 0.0, 0.0
		const h = 1e-3
		for u := -9.0; u <= 9; u += h {
			d := math.Exp(-u*u/2) / math.Sqrt(2*math.Pi) * h
			slope += (psi(u+h/2) - psi(u-h/2)) / h * d
			square += psi(u) * psi(u) * d
		}
		require.InDelta(t, 0.95, slope*slope/square, 0.001)
	}
}

// Average run lengths of the CUSUM by simulation against the published table; the
// tolerance is four standard errors of the simulation itself and half a digit.
func TestPublishedCUSUMRunLengths(t *testing.T) {
	_, rows := published(t, "cusum_arl.csv")
	require.Len(t, rows, 20)
	rng := rand.New(rand.NewPCG(7, 11))
	for _, r := range rows {
		k, h, shift := number(t, r[0]), number(t, r[1]), number(t, r[2])
		arl := number(t, r[3])
		n := 4000
		sum, sq := 0.0, 0.0
		for range n {
			up, down := CUSUM{K: k, H: h}, CUSUM{K: k, H: h}
			run := 0.0
			for {
				run++
				z := shift + rng.NormFloat64()
				a, b := up.Step(z), down.Step(-z)
				if a || b {
					break
				}
			}
			sum += run
			sq += run * run
		}
		mean := sum / float64(n)
		se := math.Sqrt((sq/float64(n) - mean*mean) / float64(n))
		digit := 0.5
		for i := 0; i < len(r[3]); i++ {
			if r[3][i] == '.' {
				digit = 0.5 * math.Pow(10, -float64(len(r[3])-i-1))
			}
		}
		require.InDelta(t, arl, mean, 4*se+digit, "k %s h %s shift %s", r[0], r[1], r[2])
	}
}
