package simulate

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

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
