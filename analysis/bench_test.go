package analysis_test

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/plant"
	"weirbook/examples/simulate"
)

// The benchmarks take an invented export of 40 tags at a minute, long or wide.
// Their full size is a year:
//
//	go test ./analysis -run xxx -bench Hourly -benchtime 3x -analysis.days 365
var (
	benchDays = flag.Int("analysis.days", 20, "days of minutes in the benchmarks' exports")
	benchDir  = flag.String("analysis.dir", os.TempDir(), "where the benchmarks keep their exports")
)

// BenchmarkHourlyLong goes from a long export to the hourly and daily table:
// reading, quality, ledger, screening, coverage and loads, no judging.
func BenchmarkHourlyLong(b *testing.B) { benchHourly(b, "long", false) }

// BenchmarkHourlyLongHashed takes the file's SHA-256 beside it, as run does.
func BenchmarkHourlyLongHashed(b *testing.B) { benchHourly(b, "long", true) }

// BenchmarkHourlyWide is the same from a wide export.
func BenchmarkHourlyWide(b *testing.B) { benchHourly(b, "wide", false) }

// BenchmarkHourlyWideHashed takes the file's SHA-256 beside it.
func BenchmarkHourlyWideHashed(b *testing.B) { benchHourly(b, "wide", true) }

func benchHourly(b *testing.B, layout string, hash bool) {
	bulk := simulate.Bulk{Seed: 1, Start: time.Date(2026, 1, 1, 7, 0, 0, 0, time.UTC), Minutes: *benchDays * 1440, Tags: 40}
	var tags strings.Builder
	if err := bulk.WriteTags(&tags); err != nil {
		b.Fatal(err)
	}
	p, err := plant.Load("plant.toml", strings.NewReader("name = \"bulk\"\ntime_zone = \"America/Denver\"\n"), "tags.csv", strings.NewReader(tags.String()))
	if err != nil {
		b.Fatal(err)
	}
	path := filepath.Join(*benchDir, fmt.Sprintf("weirbook-bulk-%s-%dd.csv", layout, *benchDays))
	st, err := os.Stat(path)
	if err != nil {
		f, err := os.Create(path)
		if err != nil {
			b.Fatal(err)
		}
		w := bufio.NewWriterSize(f, 1<<20)
		if layout == "long" {
			err = bulk.WriteLong(w)
		} else {
			err = bulk.WriteWide(w)
		}
		if err != nil {
			b.Fatal(err)
		}
		w.Flush()
		f.Close()
		if st, err = os.Stat(path); err != nil {
			b.Fatal(err)
		}
	}
	file := export.File{Name: filepath.Base(path), Size: st.Size(), Open: func() (io.ReadCloser, error) { return os.Open(path) }}
	b.SetBytes(st.Size())
	b.ReportAllocs()
	for b.Loop() {
		r, err := analysis.Run(context.Background(), analysis.Input{Plant: p, Files: []export.File{file}, Hash: hash})
		if err != nil {
			b.Fatal(err)
		}
		if len(r.Hourly.Columns) < 40 {
			b.Fatalf("%d columns", len(r.Hourly.Columns))
		}
	}
}
