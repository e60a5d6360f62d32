// Package chart draws the report's charts. A chart is data first: a plain
// struct that says what is to be seen and what it means, in units, on the
// plant's clock. Drawing it decides nothing.
//
// Every chart is 800 px wide by design and written at 2.5 times that, 2000 px:
// 300 dots an inch where it is printed 6.5 inches wide. Colours are the set that
// Okabe and Ito published for colour-blind readers ("Color Universal Design",
// 2008); nothing is told by colour alone: lines carry markers, states carry
// signs and hatching, limits carry their name and value.
//
// This is the only package that imports gonum/plot.
package chart

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"math"

	"git.sr.ht/~sbinet/gg"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
)

// Width is the design width of every chart, px.
const Width = 800

// scale is how many picture pixels one design pixel takes.
const scale = 2.5

// A Chart is one of this package's chart structs: Timeline, Scatter,
// DailyRange, DayHour, DayBands, Coverage, Waterfall, Probability, Monthly.
type Chart interface {
	// Alt is the alternative text: the chart's message in words.
	Alt() string

	check() error
	height() float64
	draw(*sheet)
}

// PNG draws the chart as a PNG picture, 2000 px wide. The same chart gives the
// same bytes. An error says which part of the chart's data does not fit
// together.
func PNG(c Chart) ([]byte, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	h := Height(c)
	px := image.NewRGBA(image.Rect(0, 0, Width*scale, int(h*scale+0.5)))
	ctx := gg.NewContextForRGBA(px) // vgimg's own would copy the picture
	ctx.SetLineCapButt()
	ctx.InvertY()
	c.draw(newSheet(vgimg.NewWith(vgimg.UseImageWithContext(px, ctx), vgimg.UseDPI(72*scale)), Width, h))
	var buf bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := enc.Encode(&buf, fewColours(px)); err != nil {
		return nil, fmt.Errorf("chart: %w", err)
	}
	return buf.Bytes(), nil
}

// Draw draws the chart on a canvas of gonum/plot, such as a recorder. The
// canvas must be Width by Height(c) points.
func Draw(dst vg.Canvas, c Chart) error {
	if err := c.check(); err != nil {
		return err
	}
	c.draw(newSheet(dst, Width, Height(c)))
	return nil
}

// Height is the design height of a chart, px: what its contents need, in whole
// pixels of its picture.
func Height(c Chart) float64 { return 2 * math.Ceil(c.height()/2) }
