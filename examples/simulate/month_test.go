package simulate

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strings"
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
	start := time.Date(2026, 6, 3, 13, 0, 0, 0, time.UTC)
	base := Config{Seed: 12, Start: time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC), Days: 8, Zone: "America/Chicago"}
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

func TestLongExport(t *testing.T) {
	m, err := Run(Config{Seed: 2, Days: 1, Events: []Event{{
		Start: time.Date(2026, 3, 1, 17, 0, 0, 0, time.UTC), End: time.Date(2026, 3, 1, 18, 0, 0, 0, time.UTC), Kind: LinkBlank}}})
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, m.WriteLong(&b, Export{}))
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	want := 0
	for i := range m.Tags {
		for _, q := range m.Tags[i].Q {
			if q != Missing {
				want++
			}
		}
	}
	require.Len(t, rows, want+1)
	for _, r := range rows {
		require.False(t, strings.HasPrefix(r[0], "2026-03-01 10:"), "17:00 UTC is 10:00 in Denver, and blank")
	}
	require.Equal(t, []string{"2026-03-01 00:00", TagInfluentFlow}, rows[1][:2])

	one := []string{TagPH}
	b.Reset()
	require.NoError(t, m.WriteLong(&b, Export{Tags: one, Stamps: OffsetStamps, Quality: QualityOPC, Twice: [2]int{10, 20}}))
	text := b.String()
	require.Equal(t, 2, strings.Count(text, "2026-03-01T00:12:00-07:00,AIT-425,"))
	require.Equal(t, 1, strings.Count(text, "2026-03-01T00:25:00-07:00,AIT-425,"))
	require.Contains(t, text, ",192\n")
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

// A reading marked bad keeps its row in a long export and loses its number in a
// wide one.
func TestBadReadings(t *testing.T) {
	m, err := Run(Config{Seed: 6, Days: 31})
	require.NoError(t, err)
	tag := m.Tag(TagEffluentFlow)
	bad := 0
	for _, q := range tag.Q {
		if q == Bad {
			bad++
		}
	}
	require.Positive(t, bad)
	var long, wide bytes.Buffer
	require.NoError(t, m.WriteLong(&long, Export{Tags: []string{tag.Name}}))
	require.NoError(t, m.WriteWide(&wide, Export{Tags: []string{tag.Name}}))
	require.Equal(t, bad, strings.Count(long.String(), ",0.000,bad\n"))
	require.Zero(t, strings.Count(wide.String(), ",0.000\n"))
}

// Stamps across the change to summer time, written out by hand.
func TestStamps(t *testing.T) {
	loc, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	at := time.Date(2026, 3, 8, 9, 5, 0, 0, time.UTC).Unix() // five minutes after the jump
	for how, want := range map[Stamps]string{
		LocalStamps: "2026-03-08 03:05", WinterStamps: "2026-03-08 02:05",
		OffsetStamps: "2026-03-08T03:05:00-06:00", UTCStamps: "2026-03-08T09:05:00Z",
	} {
		require.Equal(t, want, string(newStamper(how, loc).append(nil, at)))
	}
	// A zone with an offset of a quarter of an hour.
	loc, err = time.LoadLocation("Asia/Kathmandu")
	require.NoError(t, err)
	require.Equal(t, "2026-03-08 14:50", string(newStamper(LocalStamps, loc).append(nil, at)))
}

func TestWideExport(t *testing.T) {
	m, err := Run(Config{Seed: 2, Days: 1})
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, m.WriteWide(&b, Export{Tags: []string{TagTotal, TagORPOutlet, "no such tag"}}))
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 1442)
	require.Equal(t, []string{"timestamp", TagTotal, TagORPOutlet}, rows[0])
	require.Equal(t, []string{"", "mg/L", "mV"}, rows[1])
	require.Equal(t, fmt.Sprintf("%.1f", m.Tag(TagORPOutlet).V[7]), rows[9][2])
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

// Scoring months: enough of them, all kinds at all severities in each half, a
// quiet week to learn from, no event on top of another, halves apart by seed.
func TestScoreMonths(t *testing.T) {
	all := ScoreMonths()
	require.GreaterOrEqual(t, len(all), 60)
	seen := map[string]bool{}
	singles := map[string]bool{}
	clean := 0
	for _, s := range all {
		require.False(t, seen[s.Name], s.Name)
		seen[s.Name] = true
		require.Equal(t, s.Split == HeldOut, s.Config.Seed%2 == 0)
		start, end, err := s.Config.Clock()
		require.NoError(t, err)
		if s.Class == "clean" {
			clean++
			require.Empty(t, s.Config.Events)
			continue
		}
		require.NotEmpty(t, s.Config.Events, s.Name)
		last := start.Add(7 * 24 * time.Hour)
		for _, e := range s.Config.Events {
			require.False(t, e.Start.Before(last), s.Name)
			last = e.End.Add(24 * time.Hour)
			if s.Class == "single" {
				singles[s.Split+string(e.Severity)+string(e.Kind)] = true
			}
		}
		require.False(t, last.Add(-24*time.Hour).After(end), s.Name)
	}
	require.Len(t, singles, 2*3*len(Kinds()))
	require.GreaterOrEqual(t, clean, 12)
}

func TestBulk(t *testing.T) {
	b := Bulk{Seed: 3, Minutes: 100}
	var long, again, wide bytes.Buffer
	require.NoError(t, b.WriteLong(&long))
	require.NoError(t, b.WriteLong(&again))
	require.NoError(t, b.WriteWide(&wide))
	require.Equal(t, long.String(), again.String())
	lr, err := csv.NewReader(&long).ReadAll()
	require.NoError(t, err)
	require.Len(t, lr, 4001)
	wr, err := csv.NewReader(&wide).ReadAll()
	require.NoError(t, err)
	require.Len(t, wr, 102)
	require.Equal(t, lr[1+40*7+3][2], wr[2+7][1+3], "both shapes hold the same values")
	require.Equal(t, "0.05", string(appendFixed(nil, 5, 2)))
	require.Equal(t, "12.30", string(appendFixed(nil, 1230, 2)))
	require.Equal(t, "7", string(appendFixed(nil, 7, 0)))
}

func BenchmarkMonth(b *testing.B) {
	for b.Loop() {
		if _, err := Run(Config{Seed: 1}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBulkLong(b *testing.B) {
	n := 0
	for b.Loop() {
		var w counter
		if err := (Bulk{Minutes: 5000}).WriteLong(&w); err != nil {
			b.Fatal(err)
		}
		n = int(w)
	}
	b.SetBytes(int64(n))
}

type counter int

func (c *counter) Write(p []byte) (int, error) { *c += counter(len(p)); return len(p), nil }
