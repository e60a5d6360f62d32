package zone

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Every line of the table names a clock that is known. The pairs below are typed a
// second time, from the territory 001 lines of CLDR's windowsZones.xml.
func TestWindowsNames(t *testing.T) {
	for name, iana := range byName {
		_, err := time.LoadLocation(iana)
		require.NoError(t, err, name)
	}
	for name, want := range map[string]string{
		"Mountain Standard Time": "America/Denver", "US Mountain Standard Time": "America/Phoenix", "eastern standard time": "America/New_York",
		"W. Europe Standard Time": "Europe/Berlin", "Tokyo Standard Time": "Asia/Tokyo", "Mountain Daylight Time": "America/Denver",
		"(UTC-07:00) Mountain Time (US & Canada)": "America/Denver", "Canada Central Standard Time": "America/Regina",
		"America/Chicago": "America/Chicago",
	} {
		loc, err := Load(name)
		require.NoError(t, err, name)
		require.Equal(t, want, loc.String())
	}
	for _, none := range []string{"", "Local", "Mountain"} {
		_, err := Load(none)
		require.Error(t, err, none)
	}
}
