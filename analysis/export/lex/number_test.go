package lex

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestGroupedNumber(t *testing.T) {
	for s, want := range map[string]float64{"1,234": 1234, "1,234,567.5": 1234567.5, "-12,000": -12000, "1 234.5": 1234.5, "1'234": 1234, "1\u00a0234": 1234} {
		v, ok := GroupedNumber([]byte(s), '.')
		require.True(t, ok, s)
		require.Equal(t, want, v, s)
	}
	v, ok := GroupedNumber([]byte("1.234,5"), ',')
	require.True(t, ok)
	require.Equal(t, 1234.5, v)
	for _, s := range []string{"1,23", "12,34,567", ",123", "1,2345", "1234,567", "1,234 567", "", "1,", "abc"} {
		_, ok := GroupedNumber([]byte(s), '.')
		require.False(t, ok, s)
	}
}
