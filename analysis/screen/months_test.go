package screen_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/quantity"
	"weirbook/analysis/screen"
	"weirbook/analysis/series"
	"weirbook/examples/simulate"
)

// monthTags hands an invented month's tags to screening as an export would: rows
// without a number missing, on-change tags written when they change.
func monthTags(t *testing.T, m *simulate.Month) []screen.Tagged {
	var tags []screen.Tagged
	for k, tg := range m.Tags {
		kind, err := quantity.ParseKind(tg.Measures)
		require.NoError(t, err)
		unit := quantity.MustUnit(tg.Unit)
		work, err := quantity.Accept(kind, unit)
		require.NoError(t, err)
		reading, ok := series.ParseReading(tg.Reading)
		require.True(t, ok)
		s := &series.Series{Tag: tg.Name}
		last := math.NaN()
		for i, v := range tg.V {
			if math.IsNaN(v) || reading == series.OnChange && v == last {
				continue
			}
			last = v
			var f series.Flag
			switch tg.Q[i] {
			case simulate.Bad:
				f = series.Bad
			case simulate.Uncertain:
				f = series.Uncertain
			}
			v, err := quantity.Convert(v, unit, work)
			require.NoError(t, err)
			s.Append((m.Start+60*int64(i))*1000, v, f)
		}
		tags = append(tags, screen.Tagged{Series: s, Kind: kind, Reading: reading, Declared: unit, Low: tg.Low, High: tg.High, Typical: math.NaN(), Line: k + 2})
	}
	return tags
}

// TestInventedMonths screens months of the generator, which shares no formula
// with this package: what it froze or exported in another unit is found over
// most of its time, and nothing else is called so. Process upsets, fouled
// probes and storms are in these months too.
func TestInventedMonths(t *testing.T) {
	if testing.Short() {
		t.Skip("nine simulated months; the tests without -short have it")
	}
	kinds := []simulate.Kind{simulate.ORPFrozen, simulate.AnalyserFrozen, simulate.FlowFrozen, simulate.LinkFrozen, simulate.UnitMixUp}
	found, months, clean := map[simulate.Kind]int{}, 0, 0
	for _, sc := range simulate.ScoreHalf(simulate.HeldOut, 2002) {
		wanted := slices.ContainsFunc(sc.Config.Events, func(e simulate.Event) bool { return slices.Contains(kinds, e.Kind) })
		if !wanted && (sc.Class != "clean" || clean >= 2) || months >= 9 {
			continue
		}
		if !wanted {
			clean++
		}
		months++
		m, err := simulate.Run(sc.Config)
		require.NoError(t, err)
		rep := screen.Screen(monthTags(t, m), screen.DefaultSettings())
		for _, e := range m.Events {
			if !slices.Contains(kinds, e.Kind) {
				continue
			}
			require.True(t, covers(rep, e), "%s: %s of %s from %s not found", sc.Name, e.Kind, e.Subject, e.Start)
			found[e.Kind]++
		}
		for _, r := range rep.Tags {
			for _, s := range r.Stretches {
				if s.Defect != screen.FrozenAt && s.Defect != screen.Unit && s.Defect != screen.DataLink {
					continue
				}
				near := slices.ContainsFunc(m.Events, func(e simulate.Event) bool {
					return s.Start < e.End.UnixMilli()+60*minute && s.End > e.Start.UnixMilli()
				})
				require.True(t, near, "%s: %s called %s in a quiet time: %s", sc.Name, r.Tag, s.Defect, s.What)
			}
		}
	}
	for _, k := range kinds {
		require.NotZero(t, found[k], "no %s in these months", k)
	}
	t.Logf("%d months, found %v", months, found)
}

// covers says whether the report holds a stretch over most of an event.
func covers(rep screen.Report, e simulate.Event) bool {
	for _, r := range rep.Tags {
		if e.Subject != "" && r.Tag != e.Subject {
			continue
		}
		for _, s := range r.Stretches {
			if s.Defect == screen.SpikeAt || s.Defect == screen.Span {
				continue
			}
			both := min(s.End, e.End.UnixMilli()) - max(s.Start, e.Start.UnixMilli())
			if float64(both) > 0.6*float64(e.End.Sub(e.Start).Milliseconds()) {
				return true
			}
		}
	}
	return false
}
