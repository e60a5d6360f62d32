package stamp

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A leap second does not shift the minute that the cells after it begin with.
func TestLeapSecond(t *testing.T) {
	r := TimeReader{Clock: ZoneOf(nil)}
	want := func(s, rfc string) {
		ms, st := r.Read([]byte(s))
		require.Equal(t, TimeOK, st, s)
		w, err := time.Parse(time.RFC3339, rfc)
		require.NoError(t, err)
		require.Equal(t, w.UnixMilli(), ms, s)
		if f, st, n := r.Fast([]byte(s)); n == len(s) {
			require.Equal(t, TimeOK, st)
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
