package screen_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/quantity"
	"weirbook/analysis/screen"
	"weirbook/analysis/series"
)

// still is a record that never changes.
func still(n int, v float64) *series.Series {
	s := &series.Series{Tag: "STILL"}
	for i := range n {
		s.Append(int64(i)*minute, v, 0)
	}
	return s
}

func TestRecordThatNeverChangesIsFrozen(t *testing.T) {
	for name, tg := range map[string]screen.Tagged{
		"ph":                  tag(still(10*day, 7.10), quantity.PH, "pH"),
		"orp":                 tag(still(3*day, 650), quantity.ORP, "mV"),
		"total residual":      tag(still(3*day, 1.8), quantity.ChlorineTotal, "mg/L"),
		"free residual":       tag(still(3*day, 1.8), quantity.ChlorineFree, "mg/L"),
		"flow":                tag(still(3*day, 3.2), quantity.Flow, "MGD"),
		"temperature":         tag(still(3*day, 18.4), quantity.Temp, "°C"),
		"whole degrees":       tag(still(10*day, 18), quantity.Temp, "°C"),
		"whole degrees of °F": tag(still(10*day, 64), quantity.Temp, "°F"),
	} {
		t.Run(name, func(t *testing.T) {
			ms := run(t, tg, screen.FrozenAt)
			require.Len(t, ms, 1)
			require.Contains(t, ms[0].Text, "never changed")
			require.Contains(t, ms[0].Next, "on-change")
			require.Equal(t, tg.Series.Len(), flagged(tg.Series, series.Frozen))
			require.Equal(t, tg.Series.Len(), ms[0].Readings)
		})
	}
}

func TestRecordThatMayRest(t *testing.T) {
	shorter := tag(still(2*day, 11.0), quantity.Temp, "°C")
	few := &series.Series{Tag: "FEW"} // ten days, but a reading an hour
	for i := range 240 {
		few.Append(int64(i)*60*minute, 7.1, 0)
	}
	parts := &series.Series{Tag: "PARTS"} // two times an hour, ten days apart
	for i := range 600 {
		at := int64(i) * minute
		if i >= 300 {
			at += 10 * day * minute
		}
		parts.Append(at, 7.1, 0)
	}
	changed := still(10*day, 7.1)
	changed.V[3*day] = 7.2
	changed.V[3*day+1] = 7.2
	changed.V[3*day+2] = 7.2
	atBottom := tag(still(3*day, 0.5), quantity.ChlorineTotal, "mg/L")
	atBottom.Low, atBottom.High = 0.5, 10
	onChange := tag(still(3*day, 7.1), quantity.PH, "pH")
	onChange.Reading = series.OnChange
	state := tag(still(3*day, 1), quantity.RunStatus, "on/off")
	state.Reading = series.State
	for name, tg := range map[string]screen.Tagged{
		"two days":            shorter,
		"whole degrees":       tag(still(7*day, 11), quantity.Temp, "°C"),
		"whole degrees of °F": tag(still(7*day, 52), quantity.Temp, "°F"),
		"few readings":        tag(few, quantity.PH, "pH"),
		"hours apart":         tag(parts, quantity.PH, "pH"),
		"changed once":        tag(changed, quantity.PH, "pH"),
		"no residual":         tag(still(10*day, 0), quantity.ChlorineTotal, "mg/L"),
		"analyser's floor":    tag(still(10*day, 0.03), quantity.ChlorineTotal, "mg/L"),
		"no flow":             tag(still(10*day, 0), quantity.Flow, "MGD"),
		"bottom of the span":  atBottom,
		"feed set by hand":    tag(still(10*day, 12.5), quantity.HypochloriteFeed, "gal/h"),
		"ammonia":             tag(still(10*day, 0.5), quantity.AmmoniaN, "mg/L"),
		"on-change":           onChange,
		"state":               state,
		"no number":           tag(still(10*day, math.NaN()), quantity.PH, "pH"),
	} {
		t.Run(name, func(t *testing.T) {
			require.Empty(t, run(t, tg, screen.FrozenAt))
			require.Zero(t, flagged(tg.Series, series.Frozen))
		})
	}
}

// Several such tags are told one by one: no data link stands still for good.
func TestNeverChangingTagsAreNoDataLink(t *testing.T) {
	tags := []screen.Tagged{
		tag(still(10*day, 7.1), quantity.PH, "pH"), tag(still(10*day, 650), quantity.ORP, "mV"),
		tag(still(10*day, 1.8), quantity.ChlorineTotal, "mg/L"), tag(still(10*day, 3.2), quantity.Flow, "MGD"),
	}
	for i := range tags {
		tags[i].Series.Tag += strings.Repeat("I", i)
	}
	frozen := 0
	for _, m := range screen.Screen(tags, screen.DefaultSettings()).Messages {
		require.NotEqual(t, screen.DataLink, m.Defect, m.Text)
		if m.Defect == screen.FrozenAt {
			frozen++
		}
	}
	require.Equal(t, 4, frozen)
}
