package export

import (
	"fmt"
	"math"
	"math/rand"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Every short decimal, and random ones, bit for bit as strconv reads them.
func TestNumbersAsStrconv(t *testing.T) {
	check := func(s string) {
		want, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err, s)
		v, n := parseNumber([]byte(s), '.')
		if n != len(s) || math.Float64bits(v) != math.Float64bits(want) {
			t.Fatalf("%q: %v (%d), want %v", s, v, n, want)
		}
		var b [32]byte
		copy(b[:], s)
		if len(s) < 25 {
			b[len(s)] = ','
			if h, k := hotNumber(&b, '.'); k > 0 && b[k] == ',' && math.Float64bits(h) != math.Float64bits(want) {
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

func TestGroupedNumber(t *testing.T) {
	for s, want := range map[string]float64{"1,234": 1234, "1,234,567.5": 1234567.5, "-12,000": -12000, "1 234.5": 1234.5, "1'234": 1234, "1\u00a0234": 1234} {
		v, ok := groupedNumber([]byte(s), '.')
		require.True(t, ok, s)
		require.Equal(t, want, v, s)
	}
	v, ok := groupedNumber([]byte("1.234,5"), ',')
	require.True(t, ok)
	require.Equal(t, 1234.5, v)
	for _, s := range []string{"1,23", "12,34,567", ",123", "1,2345", "1234,567", "1,234 567", "", "1,", "abc"} {
		_, ok := groupedNumber([]byte(s), '.')
		require.False(t, ok, s)
	}
}

// A leap second does not shift the minute that the cells after it begin with.
func TestLeapSecond(t *testing.T) {
	r := timeReader{clock: zoneOf(nil)}
	want := func(s, rfc string) {
		ms, st := r.read([]byte(s))
		require.Equal(t, timeOK, st, s)
		w, err := time.Parse(time.RFC3339, rfc)
		require.NoError(t, err)
		require.Equal(t, w.UnixMilli(), ms, s)
		if f, st, n := r.fast([]byte(s)); n == len(s) {
			require.Equal(t, timeOK, st)
			require.Equal(t, ms, f)
		}
	}
	want("2016-12-31 23:59:60", "2017-01-01T00:00:00Z")
	want("2016-12-31 23:59:10", "2016-12-31T23:59:10Z")
	want("2016-12-31 23:59:59Z", "2016-12-31T23:59:59Z")
	want("2016-12-31 23:59:20+01:00", "2016-12-31T22:59:20Z")
	want("2016-12-31 24:00:00", "2017-01-01T00:00:00Z")
	want("2016-12-31 24:00", "2017-01-01T00:00:00Z")
}
