package chart

import (
	"bytes"
	"flag"
	"image/png"
	"maps"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// pictures, when given, is a folder into which the samples are drawn so that a
// person can look at them: go test ./reports/chart -args -pictures DIR
var pictures = flag.String("pictures", "", "folder to draw the sample charts into")

func TestPNGIs2000Wide(t *testing.T) {
	if testing.Short() {
		t.Skip("every chart drawn; the tests without -short have it")
	}
	all := samples()
	if *pictures != "" {
		maps.Copy(all, crowded())
	}
	for name, c := range all {
		data, err := PNG(c)
		require.NoError(t, err, name)
		cfg, err := png.DecodeConfig(bytes.NewReader(data))
		require.NoError(t, err, name)
		require.Equal(t, 2000, cfg.Width, name)
		require.Equal(t, int(Height(c)*scale+0.5), cfg.Height, name)
		require.NotEmpty(t, c.Alt(), name)
		if *pictures != "" {
			require.NoError(t, os.WriteFile(filepath.Join(*pictures, name+".png"), data, 0o644))
		}
	}
}

func BenchmarkPNG(b *testing.B) {
	all := samples()
	// A year of minutes, the most that a person will ask for at once.
	all["year"] = timeline("a year", at("2026-01-01 00:00"), at("2027-01-01 00:00"), at("2026-03-19 04:10"))
	for name, c := range all {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := PNG(c); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
