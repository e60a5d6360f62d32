package chart

import (
	"bytes"
	"flag"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// pictures, when given, is a folder into which the samples are drawn so that a
// person can look at them: go test ./reports/chart -args -pictures DIR
var pictures = flag.String("pictures", "", "folder to draw the sample charts into")

func TestPNGIs1600Wide(t *testing.T) {
	for name, c := range samples() {
		data, err := PNG(c)
		require.NoError(t, err, name)
		cfg, err := png.DecodeConfig(bytes.NewReader(data))
		require.NoError(t, err, name)
		require.Equal(t, 1600, cfg.Width, name)
		require.Equal(t, int(Height(c)*2+0.5), cfg.Height, name)
		require.NotEmpty(t, c.Alt(), name)
		if *pictures != "" {
			require.NoError(t, os.WriteFile(filepath.Join(*pictures, name+".png"), data, 0o644))
		}
	}
}

func BenchmarkPNG(b *testing.B) {
	for name, c := range samples() {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := PNG(c); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
