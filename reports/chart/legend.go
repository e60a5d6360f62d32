package chart

// The kinds of samples in a legend.
type swatch int

const (
	swatchNone swatch = iota
	swatchLine
	swatchBand
	swatchPoint
	swatchHatch
	swatchCurve
	swatchOpen
	swatchState
)

// legendItem is one entry of a legend: a sample of the drawing and its name.
type legendItem struct {
	kind  swatch
	look  look
	text  string
	plain bool // the line carries no markers
	faint bool
	bars  bool
	n     int // which hatching or state
	x     float64
	row   int
}

const swatchWidth = 24.0

// layLegend places entries from x on, and in further rows from left on, so
// that none passes right. It returns the rows used, at least one.
func layLegend(items []legendItem, x, left, right float64) ([]legendItem, int) {
	row, start := 0, x
	for i := range items {
		it := &items[i]
		it.text = bodyText.fit(it.text, right-left-swatchWidth-6)
		w := bodyText.width(it.text)
		if it.kind != swatchNone {
			w += swatchWidth + 5
		}
		if x+w > right && (row > 0 || x > start || start > left) && x > left {
			row++
			x = left
		}
		it.x, it.row = x, row
		x += w + 16
	}
	return items, row + 1
}

// legend draws placed entries; top is the upper edge of the first row.
func (s *sheet) legend(items []legendItem, top float64) {
	for _, it := range items {
		y := top + (float64(it.row)+0.5)*headLine
		x := it.x
		if it.kind != swatchNone {
			s.swatch(it, box{x, y - 6, x + swatchWidth, y + 6})
			x += swatchWidth + 5
		}
		s.text(bodyText, x, y, atLeft, it.text)
	}
}

func (s *sheet) swatch(it legendItem, b box) {
	mx, my := (b.x0+b.x1)/2, (b.y0+b.y1)/2
	switch it.kind {
	case swatchLine:
		switch {
		case it.bars:
			s.rect(withAlpha(it.look.col, 0.85), box{mx - 7, b.y0, mx - 1, b.y1})
			s.rect(withAlpha(it.look.col, 0.85), box{mx + 1, b.y0 + 4, mx + 7, b.y1})
		case it.faint:
			s.line(pen{withAlpha(it.look.col, 0.45), 0.9, nil}, xy{b.x0, my}, xy{b.x1, my})
		default:
			s.line(pen{it.look.col, 2, nil}, xy{b.x0, my}, xy{b.x1, my})
			if !it.plain {
				s.marker(it.look.mark, mx, my, 3.8, it.look.col, true)
			}
		}
	case swatchBand:
		s.rect(withAlpha(sky, 0.35), b)
		s.frame(pen{withAlpha(blue, 0.55), 0.6, nil}, b)
	case swatchPoint:
		s.marker(it.look.mark, mx, my, 4.2, it.look.col, false)
	case swatchOpen:
		s.marker(it.look.mark, mx, my, 4.2, it.look.col, true)
	case swatchHatch:
		s.hatchKind(it.n, b)
	case swatchCurve:
		s.line(pen{it.look.col, 2, it.look.dash}, xy{b.x0, my}, xy{b.x1, my})
	case swatchState:
		s.stateCell(State(it.n), box{mx - 8, my - 6.5, mx + 8, my + 6.5})
	}
}
