package cell

import (
	"bytes"

	"weirbook/analysis/export/lex"
)

// MarkCounts counts what numbers say about the decimal mark of their file. 2,386
// with three digits behind a single mark fits both: 2.386, or 2386 with a mark
// between thousands.
type MarkCounts struct {
	Comma, Point   int // only fit with a decimal comma, a decimal point
	Comma3, point3 int // fit both, written with a comma, a point
	byTag          map[int]*groupLooks
	Example        string // the first that fits both; of the sample only
}

// groupLooks tells how a tag's numbers would look with points between thousands:
// those below a thousand without a point, the others with one.
type groupLooks struct{ small, grouped, other int }

// Add takes a cell of a tag, or of a column, into account.
func (m *MarkCounts) Add(tag int, cell []byte) {
	t := lex.Narrow(cell)
	if len(t) > 0 && t[0]-'0' > 9 { // nearly all begin with a digit
		t = bytes.TrimLeft(t, "+-<>=(~ \t")
	}
	var b [32]byte
	if t = figures(b[:0], t); len(t) == 0 {
		return
	}
	commas, points := bytes.Count(t, []byte{','}), bytes.Count(t, []byte{'.'})
	if commas == 0 && points < 2 {
		m.looks(tag, t, points)
	}
	switch {
	case commas+points == 0:
	case commas > 0 && points > 0: // the last one is the decimal mark
		if bytes.LastIndexByte(t, ',') > bytes.LastIndexByte(t, '.') {
			m.Comma++
		} else {
			m.Point++
		}
	case commas > 1 || points > 1: // tells nothing, or is a date
	case commas == 1 && eitherWay(t):
		m.Comma3++
	case commas == 1:
		m.Comma++
	case eitherWay(t):
		m.point3++
	default:
		m.Point++
	}
	if m.Example == "" && m.Comma3+m.point3 > 0 {
		m.Example = string(t)
	}
}

// figures are the digits and marks that a cell begins with, without blanks between
// thousands; none where there are too many for a number.
func figures(dst, t []byte) []byte {
	for i := 0; i < len(t); i++ {
		if n := lex.ThinSpace(t[i:]); n > 0 && len(dst) > 0 && i+n < len(t) && t[i+n]-'0' <= 9 {
			i += n
		}
		if t[i]-'0' > 9 && t[i] != ',' && t[i] != '.' {
			break
		}
		if len(dst) == cap(dst) {
			return nil
		}
		dst = append(dst, t[i])
	}
	return dst
}

func (m *MarkCounts) looks(tag int, t []byte, points int) {
	g := m.of(tag)
	switch {
	case points == 0 && len(t) <= 3:
		g.small++
	case points == 1 && eitherWay(t):
		g.grouped++
	default:
		g.other++
	}
}

func (m *MarkCounts) of(tag int) *groupLooks {
	if m.byTag == nil {
		m.byTag = map[int]*groupLooks{}
	}
	g := m.byTag[tag]
	if g == nil {
		g = &groupLooks{}
		m.byTag[tag] = g
	}
	return g
}

// eitherWay says whether a number with one mark can be one with a mark between
// thousands: one to three digits, no leading zero, then three.
func eitherWay(t []byte) bool {
	at := bytes.IndexByte(t, ',')
	if at < 0 {
		at = bytes.IndexByte(t, '.')
	}
	return at >= 1 && at <= 3 && len(t) == at+4 && t[0] != '0'
}

// EitherWay says the same of a cell.
func EitherWay(b []byte) bool {
	t := bytes.TrimLeft(lex.Trim(b), "+-<>=(~ ")
	for i, c := range t {
		if c-'0' > 9 && c != ',' && c != '.' {
			t = t[:i]
			break
		}
	}
	return bytes.Count(t, []byte{','})+bytes.Count(t, []byte{'.'}) == 1 && eitherWay(t)
}

// Thousandfold says that points alone were met, each of which fits as well between
// thousands, in a file whose fields semicolons separate: where these do, a comma is
// mostly the decimal mark, and the point is none. Common practice, no source.
func (m *MarkCounts) Thousandfold(sep byte) bool {
	return sep == ';' && m.point3 > 0 && m.Comma+m.Point+m.Comma3 == 0 && !m.grouped()
}

func (m *MarkCounts) Join(o *MarkCounts) {
	m.Comma += o.Comma
	m.Point += o.Point
	m.Comma3 += o.Comma3
	m.point3 += o.point3
	for tag, g := range o.byTag {
		h := m.of(tag)
		h.small += g.small
		h.grouped += g.grouped
		h.other += g.other
	}
}

func (m *MarkCounts) Met() bool { return m.Comma+m.Point+m.Comma3+m.point3 > 0 }

// Decide gives the decimal mark of a file with that separator. It is sure when
// some number fits only one. Else the plausible one is taken: where no comma
// separates fields, commas alone are decimal marks, as in countries that write
// them, and points alone are so unless a tag's numbers below a thousand do without.
// Common practice, no source.
func (m *MarkCounts) Decide(sep byte) (dec byte, sure bool) {
	switch {
	case m.Comma > m.Point:
		return ',', true
	case m.Point > 0:
		return '.', true
	case sep == ',':
		return '.', m.Comma3 == 0
	case m.Comma3 > 0 && (m.point3 == 0 || sep == ';'):
		return ',', false
	case m.point3 > 0 && m.Comma3 == 0 && m.grouped():
		return ',', false
	}
	return '.', m.Comma3+m.point3 == 0
}

// grouped says that points look as if they stood between thousands.
func (m *MarkCounts) grouped() bool {
	for _, g := range m.byTag {
		if g.small > 0 && g.grouped > 0 && g.other == 0 {
			return true
		}
	}
	return false
}

var MarkNames = map[byte]string{',': "comma", '.': "point"}
