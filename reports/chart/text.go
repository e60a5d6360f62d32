package chart

import (
	"image/color"
	"math"
	"strconv"
	"strings"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/font/liberation"
	"gonum.org/v1/plot/vg"

	"weirbook/reports/table"
)

// faces holds the typeface; it is only ever looked up.
var faces = font.NewCache(liberation.Collection())

// lettering is a size and weight of text.
type lettering struct {
	size float64
	bold bool
	col  color.NRGBA
}

// The sizes in use, px of the 800 px design: 13.75 px are 8 points where a chart
// is printed 6.5 inches wide.
var (
	titleText = lettering{17, true, ink}
	panelText = lettering{14, true, ink}
	bodyText  = lettering{13.75, false, ink}
	boldText  = lettering{13.75, true, ink}
	tickText  = lettering{13.75, false, ink}
	noteText  = lettering{13.75, false, softInk}
)

func (l lettering) face() font.Face {
	f := font.Font{Typeface: "Liberation", Variant: "Sans"}
	if l.bold {
		f.Weight = xfont.WeightBold
	}
	return faces.Lookup(f, vg.Length(l.size))
}

// width is how wide the text is, px.
func (l lettering) width(str string) float64 {
	f := l.face()
	return float64(f.Width(str))
}

// line is the distance from one line of text to the next, px.
func (l lettering) line() float64 { return math.Ceil(l.size * 1.25) }

// Where a text sits against its point.
const (
	atLeft   = 0.0 // the point is at the text's left end
	atCentre = 0.5
	atRight  = 1.0
)

// capHeight is how tall the typeface's capitals are, in parts of its size.
const capHeight = 0.70

// text writes one line with its capitals centred on y.
func (s *sheet) text(l lettering, x, y, align float64, str string) {
	if str == "" {
		return
	}
	f := l.face()
	x -= align * float64(f.Width(str))
	s.c.SetColor(l.col)
	s.c.FillString(f, s.pt(xy{x, y + capHeight*l.size/2}), str)
}

// textUp writes one line that reads upwards, centred on x and y.
func (s *sheet) textUp(l lettering, x, y float64, str string) {
	if str == "" {
		return
	}
	f := l.face()
	s.c.Push()
	s.c.SetColor(l.col)
	s.c.Translate(s.pt(xy{x + capHeight*l.size/2, y}))
	s.c.Rotate(math.Pi / 2)
	s.c.FillString(f, vg.Point{X: -f.Width(str) / 2}, str)
	s.c.Pop()
}

// wrap breaks text into lines no wider than max px, between words; a word that
// is too wide by itself is cut and ends in an ellipsis.
func (l lettering) wrap(str string, max float64) []string {
	var out []string
	var cur string
	for _, w := range strings.Fields(str) {
		next := w
		if cur != "" {
			next = cur + " " + w
		}
		if l.width(next) <= max {
			cur = next
			continue
		}
		if cur != "" {
			out = append(out, cur)
		}
		cur = l.fit(w, max)
	}
	if cur != "" {
		out = append(out, cur)
	}
	return out
}

// fit shortens text to max px, with an ellipsis where it was cut.
func (l lettering) fit(str string, max float64) string {
	if l.width(str) <= max {
		return str
	}
	r := []rune(str)
	for len(r) > 1 {
		r = r[:len(r)-1]
		if t := strings.TrimRight(string(r), " ,;") + "…"; l.width(t) <= max {
			return t
		}
	}
	return "…"
}

// number writes a value with the given decimals and, from a thousand on,
// commas between thousands. What would be too long for an axis, no value of a
// plant, gets an exponent.
func number(v float64, decimals int) string {
	if math.Abs(v) >= 1e7 || decimals > 6 {
		return strings.Replace(strconv.FormatFloat(v, 'g', 4, 64), "-", "−", 1)
	}
	return strings.Replace(table.Group(v, decimals), "-", "−", 1)
}

// short writes a value with as few digits as tell it, four at the most.
func short(v float64) string {
	if v == 0 {
		return "0"
	}
	d := 3 - int(math.Floor(math.Log10(math.Abs(v))))
	d = min(max(d, 0), 6)
	str := strconv.FormatFloat(v, 'f', d, 64)
	_, frac, ok := strings.Cut(str, ".")
	if ok {
		d = len(strings.TrimRight(frac, "0"))
	}
	return number(v, d)
}
