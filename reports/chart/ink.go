package chart

import (
	"image/color"
	"math"
)

// The colours of Okabe and Ito ("Color Universal Design: how to make figures
// and presentations that are friendly to colorblind people", 2008), from memory.
var (
	black  = color.NRGBA{0x00, 0x00, 0x00, 0xff}
	orange = color.NRGBA{0xe6, 0x9f, 0x00, 0xff}
	sky    = color.NRGBA{0x56, 0xb4, 0xe9, 0xff}
	green  = color.NRGBA{0x00, 0x9e, 0x73, 0xff}
	blue   = color.NRGBA{0x00, 0x72, 0xb2, 0xff}
	red    = color.NRGBA{0xd5, 0x5e, 0x00, 0xff} // vermillion
	purple = color.NRGBA{0xcc, 0x79, 0xa7, 0xff}
)

// Greys for everything that is not data.
var (
	white    = color.NRGBA{0xff, 0xff, 0xff, 0xff}
	ink      = color.NRGBA{0x22, 0x22, 0x22, 0xff} // text
	softInk  = color.NRGBA{0x55, 0x55, 0x55, 0xff} // lesser text, axes
	gridInk  = color.NRGBA{0xe3, 0xe3, 0xe3, 0xff}
	faint    = color.NRGBA{0xf1, 0xf1, 0xf1, 0xff}
	shortInk = color.NRGBA{0x9c, 0x3f, 0x00, 0xff} // vermillion, darkened until it is dark in grey too
	hatchInk = color.NRGBA{0x77, 0x77, 0x77, 0xff}
)

// withAlpha is a colour made see-through, a from 0 to 1.
func withAlpha(c color.NRGBA, a float64) color.NRGBA {
	c.A = uint8(math.Round(a * 255))
	return c
}

// A Marker is the shape of a point.
type Marker int

// Markers. Auto takes the next in order.
const (
	MarkAuto Marker = iota
	MarkCircle
	MarkTriangle
	MarkSquare
	MarkDiamond
	MarkCross
	MarkPlus
	MarkDown // a triangle on its point
)

// look is how one series or group is told apart: colour and shape together.
type look struct {
	col  color.NRGBA
	mark Marker
	dash []float64
}

// looks are the looks in the order in which they are given out. The first line
// has no markers; every later one has its own.
var looks = []look{
	{blue, MarkCircle, nil},
	{red, MarkTriangle, nil},
	{green, MarkSquare, nil},
	{purple, MarkDiamond, nil},
	{orange, MarkDown, nil},
	{black, MarkPlus, nil},
	{sky, MarkCross, nil},
}

func lookAt(i int) look { return looks[i%len(looks)] }

// Colour is what a series measures, so that it has the same colour in every chart.
type Colour int

// Colours; in a panel with two of one sort the second takes one that is free.
const (
	ColourAuto     Colour = iota // the first that is free
	ColourTotal                  // total residual, CT and what comes from it
	ColourFree                   // free residual
	ColourFeed                   // feeds, dose and demand
	ColourORP                    // ORP
	ColourNitrogen               // ammonia, nitrite
	ColourFlow                   // flow
	ColourOther
)

// colours gives each series of a panel its place in looks.
func (p *Panel) colours() []int {
	out := make([]int, len(p.Series))
	taken := map[int]bool{}
	for i, s := range p.Series {
		k := int(s.Colour) - 1
		if k < 0 || taken[k] && !s.Faint {
			for k = 0; taken[k] && k < len(looks)-1; k++ {
			}
		}
		taken[k] = taken[k] || !s.Faint // what is pale behind shares its colour
		out[i] = k
	}
	return out
}

// pen is how a line is stroked: width and dashes in px.
type pen struct {
	col   color.NRGBA
	width float64
	dash  []float64
}

var (
	dashLimit = []float64{7, 4}
	dashMark  = []float64{2, 3}
	dashCurve = []float64{10, 3, 2, 3}
)

// marker draws a shape of about r px around x, y. Filled shapes get a white
// edge so that they stand off a line; open ones are white inside.
func (s *sheet) marker(m Marker, x, y, r float64, col color.NRGBA, open bool) {
	var pts []xy
	switch m {
	case MarkCross:
		r *= 0.85
		s.line(pen{col, 1.8, nil}, xy{x - r, y - r}, xy{x + r, y + r})
		s.line(pen{col, 1.8, nil}, xy{x - r, y + r}, xy{x + r, y - r})
		return
	case MarkPlus:
		s.line(pen{col, 1.8, nil}, xy{x - r, y}, xy{x + r, y})
		s.line(pen{col, 1.8, nil}, xy{x, y - r}, xy{x, y + r})
		return
	case MarkTriangle:
		pts = []xy{{x - r, y + r*0.8}, {x + r, y + r*0.8}, {x, y - r}}
	case MarkDown:
		pts = []xy{{x - r, y - r*0.8}, {x + r, y - r*0.8}, {x, y + r}}
	case MarkSquare:
		q := r * 0.85
		pts = []xy{{x - q, y - q}, {x + q, y - q}, {x + q, y + q}, {x - q, y + q}}
	case MarkDiamond:
		q := r * 1.15
		pts = []xy{{x - q, y}, {x, y - q}, {x + q, y}, {x, y + q}}
	default:
		for i := range 16 {
			a := 2 * math.Pi * float64(i) / 16
			pts = append(pts, xy{x + r*math.Cos(a), y + r*math.Sin(a)})
		}
	}
	if open {
		s.fill(white, pts)
		s.loop(pen{col, 1.5, nil}, pts)
		return
	}
	s.fill(col, pts)
	if r >= 3 {
		s.loop(pen{white, 0.7, nil}, pts)
	}
}
