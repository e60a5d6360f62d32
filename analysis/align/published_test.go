package align_test

import (
	"math"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/series"
	"weirbook/testdata/published"
)

// opcTime turns "12:00:05" into milliseconds of an arbitrary day.
func opcTime(t *testing.T, s string) int64 {
	c, err := time.Parse("15:04:05", s)
	require.NoError(t, err)
	return c.AddDate(2024, 0, 0).UnixMilli()
}

func opcSeries(t *testing.T, name string) *series.Series {
	s := &series.Series{Tag: name}
	for _, r := range published.Load(t, "opc_part13_raw").Rows {
		if r.Text(t, "series") != name {
			continue
		}
		v, f := math.NaN(), series.Flag(0)
		if x := r.Text(t, "value"); x != "" {
			v = r.Num(t, "value")
		}
		switch r.Text(t, "quality") {
		case "bad":
			f = series.Bad
		case "uncertain":
			f = series.Uncertain
		}
		s.Append(opcTime(t, r.Text(t, "time")), v, f)
	}
	require.NoError(t, s.Check())
	require.Greater(t, s.Len(), 8)
	return s
}

// TestPublishedOPCAnnex holds the time averages against every row of the
// specification's annex, both bound rules, status included, and the rows of
// good time against the hold rule. Where we do not follow, the row says why.
func TestPublishedOPCAnnex(t *testing.T) {
	sheet := published.NewSheet(t)
	bySeries := map[string]*series.Series{
		"historian1": opcSeries(t, "historian1"),
		"historian2": opcSeries(t, "historian2"),
	}
	const beyond = "nothing is extrapolated beyond the last reading"
	for _, r := range published.Load(t, "opc_part13_results").Rows {
		name, agg := r.Text(t, "series"), r.Text(t, "aggregate")
		start := opcTime(t, r.Text(t, "interval_start"))
		w := []align.Window{{Start: start, End: start + int64(1000*r.Num(t, "interval_s"))}}
		id := name + " " + agg + " " + r.Text(t, "interval_start") + " (" + r.Text(t, "annex") + ")"
		expected, status := r.Text(t, "expected"), r.Text(t, "status")
		rule := align.Rule{Reading: series.Continuous, MaxGap: time.Minute}
		switch agg {
		case "time average, interpolated bounds":
			rule.AtBad = align.Bridge
		case "time average, simple bounds":
			rule.AtBad = align.Stop
		case "milliseconds good":
			rule.Reading = series.OnChange
		default:
			t.Fatalf("unknown aggregate %q", agg)
		}
		st := align.Over(bySeries[name], rule, w)[0]
		if agg == "milliseconds good" {
			good := (st.Cover - st.Uncertain) * float64(w[0].End-w[0].Start)
			switch {
			case start > opcTime(t, "12:01:30"):
				sheet.Differs(id, r.Source(), r.Mark(), status, good, "the last value is held for MaxGap, not for one millisecond")
			case start == opcTime(t, "12:01:20"):
				// The same difference: up to the last reading we agree, and the
				// specification counts one millisecond more.
				w[0].End = opcTime(t, "12:01:30")
				st = align.Over(bySeries[name], rule, w)[0]
				good = (st.Cover - st.Uncertain) * float64(w[0].End-w[0].Start)
				sheet.Check(id, r.Source(), r.Mark(), expected, 1, good)
			case name == "historian1" && (start == opcTime(t, "12:00:32") || start == opcTime(t, "12:01:04")):
				sheet.Differs(id, r.Source(), r.Mark(), expected, good, "a window's start takes no status of its own; a held value is good until the next reading")
			default:
				sheet.Check(id, r.Source(), r.Mark(), expected, 0.5, good)
			}
			continue
		}
		switch {
		case expected == "":
			require.True(t, math.IsNaN(st.Mean), id)
			sheet.Same(id, r.Source(), r.Mark(), "bad no data", coverWord(st))
		case start >= opcTime(t, "12:01:30"):
			require.Zero(t, st.Cover, id)
			sheet.Differs(id, r.Source(), r.Mark(), expected, st.Mean, beyond)
		default:
			sheet.Check(id, r.Source(), r.Mark(), expected, published.HalfUnit(expected), st.Mean)
			sheet.Same(id+" status", r.Source(), r.Mark(), status, coverWord(st))
		}
	}
}

// coverWord is our coverage in the annex's words.
func coverWord(st align.Stat) string {
	switch {
	case st.Cover == 0:
		return "bad no data"
	case st.Cover < 1:
		return "uncertain partial"
	case st.Uncertain > 0 || st.Bridged > 0:
		return "uncertain"
	}
	return "good"
}

func TestPublishedOPCInterpolation(t *testing.T) {
	sheet := published.NewSheet(t)
	s := &series.Series{Tag: "x"}
	rows := published.Load(t, "opc_interpolation").Rows
	for _, r := range rows {
		if r.Text(t, "raw") != "" {
			s.Append(opcTime(t, r.Text(t, "time")), r.Num(t, "raw"), 0)
		}
	}
	require.Equal(t, 3, s.Len())
	line := align.Rule{Reading: series.Continuous, MaxGap: time.Minute}
	hold := align.Rule{Reading: series.OnChange, MaxGap: time.Minute}
	for _, r := range rows {
		if r.Text(t, "raw") != "" {
			continue
		}
		at := r.Text(t, "time")
		ms := opcTime(t, at[:8])
		id := "interpolation at " + at
		if len(at) > 8 {
			sheet.Differs(id+" sloped", r.Source(), r.Mark(), r.Text(t, "sloped"), align.At(s, line, ms), "a line is never extrapolated")
		} else {
			sheet.Check(id+" sloped", r.Source(), r.Mark(), r.Text(t, "sloped"), 1e-9, align.At(s, line, ms))
		}
		sheet.Check(id+" stepped", r.Source(), r.Mark(), r.Text(t, "stepped"), 1e-9, align.At(s, hold, ms))
	}
}

// hourSeries lays value-for-so-many-hours steps from the epoch.
func hourSeries(values, hours []float64) *series.Series {
	s := &series.Series{Tag: "steps"}
	var at float64
	for i, v := range values {
		s.Append(int64(at*3600_000), v, 0)
		at += hours[i]
	}
	return s
}

func TestPublishedWeightedMeans(t *testing.T) {
	sheet := published.NewSheet(t)
	tab := published.Load(t, "worked_examples")
	hold := align.Rule{Reading: series.OnChange, MaxGap: 24 * time.Hour}
	day := []align.Window{{Start: 0, End: 24 * 3600_000}}

	// inputs conc=2|8;hours=18|6
	c := hourSeries([]float64{2, 8}, []float64{18, 6})
	sheet.Row(tab.Find(t, "twmc-1"), "expected", align.Over(c, hold, day)[0].Mean)
	// inputs conc=2|8;flow=1|3;hours=18|6
	q := hourSeries([]float64{1, 3}, []float64{18, 6})
	sheet.Row(tab.Find(t, "fwmc-1"), "expected", align.Product(q, c, hold, hold, day)[0].Weighted())

	// inputs flow_mgd=1->3;conc_mg_l=10->30;hours=1;factor=8.34
	line := align.Rule{Reading: series.Continuous, MaxGap: time.Hour}
	ramp := func(a, b float64) *series.Series {
		s := &series.Series{Tag: "ramp"}
		s.Append(0, a, 0)
		s.Append(3600_000, b, 0)
		return s
	}
	hour := []align.Window{{Start: 0, End: 3600_000}}
	j := align.Product(ramp(1, 3), ramp(10, 30), line, line, hour)[0]
	sheet.Row(tab.Find(t, "ramp-load"), "expected", j.Mean*8.34/24)
	require.InDelta(t, 13.900, j.A*j.B*8.34/24, 0.0005, "product of the means, as the note prints it")
}

func TestPublishedDayLengths(t *testing.T) {
	sheet := published.NewSheet(t)
	tab := published.Load(t, "worked_examples")
	loc, err := time.LoadLocation("America/Los_Angeles")
	require.NoError(t, err)
	for id, date := range map[string]string{"dst-23": "2024-03-10", "dst-25": "2024-11-03"} {
		d, err := time.ParseInLocation("2006-01-02", date, loc)
		require.NoError(t, err)
		days := align.Days(d.UnixMilli(), d.UnixMilli()+1, loc)
		require.Len(t, days, 1)
		hours := align.Hours(days[0].Start, days[0].End, loc)
		for i, h := range hours {
			require.Equal(t, int64(3600_000), h.End-h.Start, strconv.Itoa(i))
		}
		require.Equal(t, days[0].Start, hours[0].Start)
		require.Equal(t, days[0].End, hours[len(hours)-1].End)
		sheet.Row(tab.Find(t, id), "expected", float64(len(hours)))
	}
}
