package chart

import (
	"image/color"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/recorder"
)

// drawn is what a chart put on paper, read back from a recorder.
type drawn struct {
	h       float64
	texts   []drawnText
	strokes []drawnLine
	fills   []drawnLine
}

type drawnText struct {
	text string
	at   box // px from the top left, capitals and small letters without tails
}

type drawnLine struct {
	pts   []xy
	col   color.Color
	width float64
	dash  int
}

// record draws a chart on a recorder. It knows translation and quarter turns,
// which is all that charts use.
func record(t *testing.T, c Chart) *drawn {
	t.Helper()
	rec := &recorder.Canvas{}
	require.NoError(t, Draw(rec, c))
	d := &drawn{h: Height(c)}
	type state struct {
		at    vg.Point
		turn  bool
		col   color.Color
		width float64
		dash  int
	}
	cur, stack := state{}, []state{}
	path := func(p vg.Path) []xy {
		var out []xy
		for _, k := range p {
			if k.Type != vg.CloseComp {
				out = append(out, xy{float64(k.Pos.X), d.h - float64(k.Pos.Y)})
			}
		}
		return out
	}
	for _, a := range rec.Actions {
		switch a := a.(type) {
		case *recorder.Push:
			stack = append(stack, cur)
		case *recorder.Pop:
			cur, stack = stack[len(stack)-1], stack[:len(stack)-1]
		case *recorder.Translate:
			cur.at = cur.at.Add(a.Point)
		case *recorder.Rotate:
			require.InDelta(t, math.Pi/2, a.Angle, 1e-9)
			cur.turn = true
		case *recorder.SetColor:
			cur.col = a.Color
		case *recorder.SetLineWidth:
			cur.width = float64(a.Width)
		case *recorder.SetLineDash:
			cur.dash = len(a.Dashes)
		case *recorder.Stroke:
			d.strokes = append(d.strokes, drawnLine{path(a.Path), cur.col, cur.width, cur.dash})
		case *recorder.Fill:
			d.fills = append(d.fills, drawnLine{path(a.Path), cur.col, 0, 0})
		case *recorder.FillString:
			face := faces.Lookup(a.Font, font.Length(a.Size))
			w, size := float64(face.Width(a.String)), float64(a.Size)
			x, y := float64(cur.at.X+a.Point.X), d.h-float64(cur.at.Y+a.Point.Y)
			b := box{x, y - capHeight*size, x + w, y}
			if cur.turn { // the point moves upwards along the text
				x, y = float64(cur.at.X-a.Point.Y), d.h-float64(cur.at.Y+a.Point.X)
				b = box{x - capHeight*size, y - w, x, y}
			}
			d.texts = append(d.texts, drawnText{a.String, b})
		}
	}
	require.Empty(t, stack)
	return d
}

func (d *drawn) has(text string) bool {
	for _, k := range d.texts {
		if k.text == text {
			return true
		}
	}
	return false
}

func (d *drawn) words() []string {
	var out []string
	for _, k := range d.texts {
		out = append(out, k.text)
	}
	return out
}

// requireTidy fails if a text runs over another or over the edge of the sheet.
func (d *drawn) requireTidy(t *testing.T, name string) {
	t.Helper()
	require.NotEmpty(t, d.texts, name)
	for i, a := range d.texts {
		require.Truef(t, a.at.x0 >= 0 && a.at.x1 <= Width && a.at.y0 >= 0 && a.at.y1 <= d.h, "%s: %q leaves the sheet at %v of %v", name, a.text, a.at, d.h)
		for _, b := range d.texts[:i] {
			meet := a.at.x0 < b.at.x1 && b.at.x0 < a.at.x1 && a.at.y0 < b.at.y1 && b.at.y0 < a.at.y1
			require.Falsef(t, meet, "%s: %q %v runs over %q %v", name, a.text, a.at, b.text, b.at)
		}
	}
}
