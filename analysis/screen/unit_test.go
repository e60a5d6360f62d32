package screen_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/quantity"
	"weirbook/analysis/screen"
	"weirbook/analysis/series"
)

func TestUnitSenseOfAWholeRecord(t *testing.T) {
	for _, c := range []struct {
		name     string
		tg       screen.Tagged
		typical  float64
		low, top float64 // span stated; both 0: none
		says     string
		next     string
	}{
		{"gpm under MGD, plant flow known", tag(signal(1, 5*day, 3400, 900, 20, 1), quantity.Flow, "MGD"), 5, 0, 0, "read in gpm", "set unit to gpm in tags.csv line 7"},
		{"gpm under MGD, span stated", tag(signal(1, 5*day, 3400, 900, 20, 1), quantity.Flow, "MGD"), 0, 0, 12, "gpm (4.9", "tags.csv line 7"},
		{"MGD under gpm", tag(signal(1, 5*day, 5, 1, 0.1, 0.01), quantity.Flow, "gpm"), 5, 0, 0, "read in MGD", "set unit to MGD"},
		{"residual in the hundreds", tag(signal(2, 5*day, 640, 40, 4, 1), quantity.ChlorineTotal, "mg/L"), 0, 0, 0, "ORP in mV", "set measures to orp"},
		{"ppb under ppm", tag(signal(3, 5*day, 2100, 300, 30, 1), quantity.ChlorineTotal, "mg/L"), 0, 0, 0, "µg/L (2.1 mg/L)", "set unit to µg/L"},
		{"final residual in ppb, span stated", tag(signal(9, 5*day, 35, 5, 2, 1), quantity.ChlorineTotal, "mg/L"), 0, 0, 5, "µg/L (0.035 mg/L)", "set unit to µg/L"},
		{"ppm under ppb", tag(signal(3, 5*day, 2.1, 0.3, 0.03, 0.01), quantity.ChlorineTotal, "µg/L"), 0, 0, 0, "no chlorine analyser resolves", "set unit to mg/L"},
		{"°F as °C", tag(signal(4, 5*day, 68, 2, 0.1, 0.1), quantity.Temp, "°C"), 0, 0, 0, "°F (20 °C)", "set unit to °F"},
		{"°C as °F", tag(signal(4, 5*day, 18, 1, 0.1, 0.1), quantity.Temp, "°F"), 0, 0, 0, "°C (18 °C)", "set unit to °C"},
		{"volts under mV", tag(signal(5, 5*day, 0.62, 0.03, 0.004, 0.001), quantity.ORP, "mV"), 0, 0, 0, "ORP in volts", "set unit to V"},
		{"a residual under ORP", tag(signal(6, 5*day, 2.3, 0.3, 0.03, 0.01), quantity.ORP, "mV"), 0, 0, 0, "looks like a concentration", "chlorine_total"},
		{"ammonia in µg/L", tag(signal(7, 5*day, 1800, 300, 30, 1), quantity.AmmoniaN, "mg/L"), 0, 0, 0, "µg/L (1.8 mg/L)", "set unit to µg/L"},
		{"raw mV under pH", tag(signal(8, 5*day, 240, 3, 0.3, 0.1), quantity.PH, "pH"), 0, 0, 0, "raw mV", "tags.csv line 7"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.typical > 0 {
				c.tg.Typical = c.typical
			}
			if c.top > 0 {
				c.tg.Low, c.tg.High = c.low, c.top
			}
			ms := run(t, c.tg, screen.Unit)
			require.Len(t, ms, 1)
			require.Contains(t, ms[0].Text, c.says)
			require.Contains(t, ms[0].Next, c.next)
			require.Contains(t, ms[0].Text, "not used")
			require.Equal(t, c.tg.Series.Len(), flagged(c.tg.Series, series.UnitDoubt))
			require.Zero(t, flagged(c.tg.Series, series.OutsideSpan), "one doubt, one message")
		})
	}
}

func TestAnotherFlowTagWitnesses(t *testing.T) {
	in := tag(signal(1, 5*day, 5, 1, 0.05, 0.01), quantity.Flow, "MGD")
	out := tag(signal(2, 5*day, 3400, 600, 20, 1), quantity.Flow, "MGD")
	waste := tag(signal(3, 5*day, 0.007, 0.001, 0.0001, 0.0001), quantity.Flow, "MGD")
	tags := []screen.Tagged{in, out, waste}
	rep := screen.Screen(tags, screen.DefaultSettings())
	require.Len(t, rep.Messages, 1)
	require.Equal(t, out.Series.Tag, rep.Messages[0].Tag)
	// Without the mislabelled one, a small flow beside a large one is nothing.
	require.Empty(t, screen.Screen([]screen.Tagged{in, waste}, screen.DefaultSettings()).Messages)
}

func TestUnitSenseOfAStretch(t *testing.T) {
	for name, c := range map[string]struct {
		tg   screen.Tagged
		mul  float64
		add  float64
		says string
	}{
		"a day in gpm":        {tag(signal(1, 10*day, 5, 1, 0.05, 0.01), quantity.Flow, "MGD"), 694.4, 0, "read in gpm instead of MGD"},
		"a day in µg/L":       {tag(signal(2, 10*day, 2, 0.4, 0.03, 0.01), quantity.ChlorineTotal, "mg/L"), 1000, 0, "read in µg/L instead of mg/L"},
		"a day in Fahrenheit": {tag(signal(3, 10*day, 19, 1, 0.05, 0.1), quantity.Temp, "°C"), 1.8, 32, "read in °F instead of °C"},
		"a day in volts":      {tag(signal(4, 10*day, 620, 20, 4, 1), quantity.ORP, "mV"), 0.001, 0, "read in V instead of mV"},
	} {
		t.Run(name, func(t *testing.T) {
			for i := 4 * day; i < 5*day; i++ {
				c.tg.Series.V[i] = c.tg.Series.V[i]*c.mul + c.add
			}
			ms := run(t, c.tg, screen.Unit)
			require.Len(t, ms, 1)
			require.Contains(t, ms[0].Text, c.says)
			require.InDelta(t, day, ms[0].Readings, 5)
			require.InDelta(t, day, flagged(c.tg.Series, series.UnitDoubt), 5)
		})
	}
}

// What looks odd but is real must pass: a residual gone, a storm, a dry night.
func TestUnitSenseLeavesEventsAlone(t *testing.T) {
	gone := signal(1, 10*day, 2, 0.4, 0.03, 0.01)
	for i := 3 * day; i < 3*day+200; i++ {
		gone.V[i] = 0.002
	}
	storm := signal(2, 10*day, 5, 1, 0.05, 0.01)
	for i := 3 * day; i < 4*day; i++ {
		storm.V[i] *= 6
	}
	stop := signal(3, 10*day, 5, 1, 0.05, 0.01)
	for i := 3 * day; i < 3*day+300; i++ {
		stop.V[i] = 0
	}
	for name, tg := range map[string]screen.Tagged{
		"residual lost": tag(gone, quantity.ChlorineTotal, "mg/L"),
		"storm":         tag(storm, quantity.Flow, "MGD"),
		"no flow":       tag(stop, quantity.Flow, "MGD"),
	} {
		t.Run(name, func(t *testing.T) { require.Empty(t, run(t, tg, screen.Unit)) })
	}
}

func TestUnitFor(t *testing.T) {
	for _, w := range []string{"mg/L", "ppm", "%", "NTU"} {
		u, m, err := screen.UnitFor("ORP-1", quantity.ORP, w, "wide.csv:2")
		require.NoError(t, err)
		require.Equal(t, "mV", u.Symbol)
		require.NotNil(t, m)
		require.Contains(t, m.Text, "wide.csv:2")
		require.Contains(t, m.Text, "read as mV")
	}
	u, m, err := screen.UnitFor("ORP-1", quantity.ORP, "V", "x")
	require.NoError(t, err)
	require.Nil(t, m)
	require.Equal(t, "V", u.Symbol)
	_, _, err = screen.UnitFor("CL2-1", quantity.ChlorineTotal, "mV", "wide.csv:2")
	require.ErrorContains(t, err, "check measures in tags.csv")
	_, _, err = screen.UnitFor("CL2-1", quantity.ChlorineTotal, "furlong", "wide.csv:2")
	require.ErrorContains(t, err, "wide.csv:2")
}

// The reader marks what lies outside the span before screening looks: a record
// in another unit is told as that, not as thousands of readings out of span.
func TestUnitSenseSeesWhatTheReaderMarked(t *testing.T) {
	tg := tag(signal(1, 5*day, 3400, 900, 20, 1), quantity.Flow, "MGD")
	tg.Low, tg.High = 0, 12
	for i := range tg.Series.F {
		tg.Series.F[i] = series.OutsideSpan
	}
	rep := screen.Screen([]screen.Tagged{tg}, screen.DefaultSettings())
	require.Len(t, rep.Messages, 1)
	require.Equal(t, screen.Unit, rep.Messages[0].Defect)
	require.Contains(t, rep.Messages[0].Text, "gpm (4.9")
	require.NotContains(t, rep.Messages[0].Text, " gpd")
	require.Zero(t, rep.Tags[0].Usable)

	part := tag(signal(2, 5*day, 5, 1, 0.05, 0.01), quantity.Flow, "MGD")
	part.Low, part.High = 0, 12
	for i := 2 * day; i < 3*day; i++ {
		part.Series.V[i] *= 694.4
		part.Series.F[i] = series.OutsideSpan
	}
	rep = screen.Screen([]screen.Tagged{part}, screen.DefaultSettings())
	require.Len(t, rep.Messages, 1)
	require.Contains(t, rep.Messages[0].Text, "read in gpm instead of MGD")
}

func TestMostOfTheRecordInAnotherUnit(t *testing.T) {
	tg := tag(signal(2, 10*day, 5, 1, 0.05, 0.01), quantity.Flow, "MGD")
	tg.Low, tg.High = 0, 12
	for i := 2 * day; i < 9*day; i++ {
		tg.Series.V[i] *= 694.4
	}
	ms := run(t, tg, screen.Unit)
	require.Len(t, ms, 1)
	require.Equal(t, 7*day, ms[0].Readings)
	require.Regexp(t, `usually near (4\.9\d?|5(\.0\d)?) MGD.*read in gpm`, ms[0].Text)
}

func TestReadingsTheReaderFoundOutsideAreCounted(t *testing.T) {
	s := signal(3, 5*day, 620, 30, 4, 1)
	for i := 100; i < 110; i++ {
		s.V[i], s.F[i] = 1800, series.OutsideSpan
	}
	rep := screen.Screen([]screen.Tagged{tag(s, quantity.ORP, "mV")}, screen.DefaultSettings())
	require.Len(t, rep.Messages, 1)
	require.Equal(t, 10, rep.Messages[0].Readings)
}
