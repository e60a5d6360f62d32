package chart

// State is how an hour or a day stands against what is required of it.
type State int

const (
	NotDetermined State = iota // not enough data to say
	Met
	Near        // met, but by less than the margin that the report names
	Short       // not met
	NotRequired // nothing was required: no discharge, out of season
)

// String names the state as the legends do.
func (s State) String() string {
	switch s {
	case Met:
		return "met"
	case Near:
		return "near"
	case Short:
		return "short"
	case NotRequired:
		return "not required"
	}
	return "not determined"
}

// stateCell fills a cell so that states differ in lightness and in sign, not
// only in colour: met is light and empty, near is middling with a dot, short is
// dark with a cross, not determined is hatched on white, not required is blank.
func (s *sheet) stateCell(st State, b box) {
	mx, my := (b.x0+b.x1)/2, (b.y0+b.y1)/2
	r := min(b.w(), b.h())
	switch st {
	case Met:
		s.rect(withAlpha(sky, 0.40), b)
	case Near:
		s.rect(withAlpha(orange, 0.85), b)
		if r >= 5 {
			s.marker(MarkCircle, mx, my, max(1.3, r*0.16), ink, false)
		}
	case Short:
		s.rect(shortInk, b)
		if r >= 5 {
			d := r * 0.24
			s.line(pen{white, 1.6, nil}, xy{mx - d, my - d}, xy{mx + d, my + d})
			s.line(pen{white, 1.6, nil}, xy{mx - d, my + d}, xy{mx + d, my - d})
		}
	case NotRequired:
		s.frame(pen{gridInk, 0.8, nil}, b)
	default:
		s.rect(white, b)
		s.hatch(pen{softInk, 0.8, nil}, b, 4, 1)
	}
}

// stateLegend is the legend of the states that occur.
func stateLegend(seen map[State]bool, meaning map[State]string) []legendItem {
	var out []legendItem
	for _, st := range []State{Met, Near, Short, NotDetermined, NotRequired} {
		if !seen[st] {
			continue
		}
		text := st.String()
		if m := meaning[st]; m != "" {
			text = m
		}
		out = append(out, legendItem{kind: swatchState, n: int(st), text: text})
	}
	return out
}
