package simulate

import (
	"bytes"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func everything(t *testing.T, m *Month) string {
	var b bytes.Buffer
	require.NoError(t, m.WriteLong(&b, Export{}))
	require.NoError(t, m.WriteWide(&b, Export{}))
	require.NoError(t, m.WriteLab(&b))
	require.NoError(t, m.WriteTruthEvents(&b))
	require.NoError(t, m.WriteTruthHourly(&b))
	return b.String()
}

func TestSameSeedSameBytes(t *testing.T) {
	c := DemoConfig(4)
	c.Days = 5
	a, err := Run(c)
	require.NoError(t, err)
	b, err := Run(c)
	require.NoError(t, err)
	require.True(t, everything(t, a) == everything(t, b))
	c.Seed = 5
	b, err = Run(c)
	require.NoError(t, err)
	require.False(t, everything(t, a) == everything(t, b))
}

// differ counts the minutes of [lo, hi) in which two columns differ.
func differ(a, b []float64, lo, hi int) int {
	n := 0
	for i := max(lo, 0); i < min(hi, len(a)); i++ {
		if a[i] != b[i] && !(math.IsNaN(a[i]) && math.IsNaN(b[i])) {
			n++
		}
	}
	return n
}

// Every kind of event changes something, only from its start on, and an
// instrument's event changes its own tag for most of its length. The truth
// names the party.
func TestEveryKindOfEvent(t *testing.T) {
	if testing.Short() {
		t.Skip("every kind of event simulated; the tests without -short have it")
	}
	start := time.Date(2026, 6, 2, 13, 0, 0, 0, time.UTC)
	base := Config{Seed: 12, Start: time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC), Days: 4, Zone: "America/Chicago"}
	without, err := Run(base)
	require.NoError(t, err)
	for _, k := range Kinds() {
		t.Run(string(k), func(t *testing.T) {
			c := base
			c.Events = []Event{{Start: start, End: start.Add(30 * time.Hour), Kind: k, Severity: Plain}}
			m, err := Run(c)
			require.NoError(t, err)
			e := m.Events[0]
			require.Equal(t, PartyOf(k), e.AtFault)
			require.NotZero(t, e.Size)
			lo, hi := m.Index(e.Start), m.Index(e.End)
			changed := 0
			for i := range m.Tags {
				a, b := m.Tags[i].V, without.Tags[i].V
				require.Zero(t, differ(a, b, 0, lo), "%s before the event", m.Tags[i].Name)
				changed += differ(a, b, lo, hi)
			}
			require.Positive(t, changed)
			if e.AtFault == faultORP || e.AtFault == faultAnalyser || e.AtFault == faultFlow {
				share := float64(differ(m.Tag(e.Subject).V, without.Tag(e.Subject).V, lo, hi)) / float64(hi-lo)
				require.Greater(t, share, 0.5, "share of minutes in which %s differs", e.Subject)
			}
		})
	}
}

// A probe's event leaves every other tag as it was: no noise is reshuffled.
func TestEventLeavesTheRestAlone(t *testing.T) {
	base := Config{Seed: 8, Days: 6}
	without, err := Run(base)
	require.NoError(t, err)
	begin, _, err := base.Clock()
	require.NoError(t, err)
	base.Events = []Event{{Start: begin.Add(50 * time.Hour), End: begin.Add(80 * time.Hour), Kind: ORPOffset, Severity: Gross}}
	with, err := Run(base)
	require.NoError(t, err)
	for i := range with.Tags {
		if name := with.Tags[i].Name; name != TagORPOutlet {
			require.Zero(t, differ(with.Tags[i].V, without.Tags[i].V, 0, with.N), name)
		}
	}
	require.Equal(t, without.Lab, with.Lab)
	require.Zero(t, differ(with.Tag(TagORPOutlet).V, without.Tag(TagORPOutlet).V, with.Index(base.Events[0].End), with.N))
}

// Clock changes: 8 March 2026 has 23 hours in the United States, 1 November
// 2026 has 25 (second Sunday in March, first Sunday in November; 15 U.S.C.
// 260a, from memory).
func TestLocalDays(t *testing.T) {
	for _, c := range []struct {
		month time.Month
		day   int
		hours int
	}{{time.March, 8, 23}, {time.November, 1, 25}, {time.March, 9, 24}} {
		m, err := Run(Config{Seed: 1, Start: time.Date(2026, c.month, c.day, 0, 0, 0, 0, time.UTC), Days: 1, Zone: "America/New_York"})
		require.NoError(t, err)
		require.Equal(t, c.hours*60, m.N)
		hs := m.Hours()
		require.Len(t, hs, c.hours)
		lb := 0.0
		for i, h := range hs {
			require.Equal(t, 60, h.Minutes)
			require.False(t, math.IsNaN(h.CTTotalMin))
			require.LessOrEqual(t, h.CTTotalMin, h.CTTotalMean)
			lb += h.LeavingLb
			if i > 0 {
				require.Equal(t, time.Hour, h.Start.Sub(hs[i-1].Start))
			}
		}
		require.InEpsilon(t, m.Truth.LeftLb, lb, 1e-9)
	}
}

// A lost feed shows at the outlet a contact time after the pump trips: the
// residual is still whole when Seen begins and gone before it ends.
func TestSeen(t *testing.T) {
	c := Config{Seed: 21, Days: 4}
	begin, _, err := c.Clock()
	require.NoError(t, err)
	at := begin.Add(58 * time.Hour)
	c.Events = []Event{{Start: at, End: at.Add(3 * time.Hour), Kind: FeedLost, Severity: Gross}}
	m, err := Run(c)
	require.NoError(t, err)
	from, to := m.Seen(m.Events[0])
	tot := m.Truth.TotalMgL
	usual := tot[m.Index(at)]
	require.Greater(t, from, m.Index(at)+10)
	require.InDelta(t, 0.9, tot[from]/usual, 0.12, "a tenth is gone")
	require.Less(t, tot[m.Index(at.Add(3*time.Hour))], 0.05*usual)
	require.Greater(t, tot[to], 0.75*usual, "and it is back")
	off := Event{Start: at, End: at.Add(time.Hour), Kind: ORPOffset}
	from, to = m.Seen(off)
	require.Equal(t, []int{m.Index(at), m.Index(at) + 60}, []int{from, to})
}

func TestRunRefuses(t *testing.T) {
	at := time.Date(2026, 3, 3, 0, 0, 0, 0, time.UTC)
	bad := DefaultPlant(Nitrified)
	bad.Baffling = 1.2
	for _, c := range []struct {
		want string
		c    Config
	}{
		{"baffling", Config{Plant: bad}},
		{"zone", Config{Zone: "Mars/Olympus"}},
		{"days", Config{Days: -3}},
		{"unknown kind", Config{Events: []Event{{Start: at, End: at.Add(time.Hour), Kind: "gremlins"}}}},
		{"not after", Config{Events: []Event{{Start: at, End: at, Kind: FeedLost}}}},
	} {
		_, err := Run(c.c)
		require.ErrorContains(t, err, c.want)
	}
}

func BenchmarkMonth(b *testing.B) {
	for b.Loop() {
		if _, err := Run(Config{Seed: 1}); err != nil {
			b.Fatal(err)
		}
	}
}
