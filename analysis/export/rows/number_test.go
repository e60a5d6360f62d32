package rows

import (
	"fmt"
	"math"
	"math/rand"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/lex"
)

// Every short decimal, and random ones, bit for bit as strconv reads them.
func TestNumbersAsStrconv(t *testing.T) {
	check := func(s string) {
		want, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err, s)
		v, n := lex.ParseNumber([]byte(s), '.')
		if n != len(s) || math.Float64bits(v) != math.Float64bits(want) {
			t.Fatalf("%q: %v (%d), want %v", s, v, n, want)
		}
		var b [32]byte
		copy(b[:], s)
		if len(s) < 25 {
			b[len(s)] = ','
			if h, k := HotNumber(&b, '.'); k > 0 && b[k] == ',' && math.Float64bits(h) != math.Float64bits(want) {
				t.Fatalf("hot %q: %v, want %v", s, h, want)
			} else if len(s) <= 7 && k != len(s) {
				t.Fatalf("hot %q: length %d", s, k)
			}
		}
	}
	for i := 0; i < 100000; i++ {
		check(strconv.Itoa(i))
		for d := 1; d <= 4; d++ {
			check(strconv.FormatFloat(float64(i)/math.Pow(10, float64(d)), 'f', d, 64))
		}
		check("-" + strconv.FormatFloat(float64(i)/100, 'f', 2, 64))
	}
	r := rand.New(rand.NewSource(7))
	for i := 0; i < 200000; i++ {
		check(strconv.FormatFloat(math.Float64frombits(r.Uint64()&^(0x7ff<<52)|uint64(1023-40+r.Intn(80))<<52), 'f', r.Intn(20), 64))
		check(fmt.Sprint(r.NormFloat64() * 1e3))
	}
}
