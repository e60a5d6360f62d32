package export

import (
	"bytes"
	"fmt"
)

// markCounts counts what numbers say about the decimal mark of their file. 2,386
// with three digits behind a single mark fits both: 2.386, or 2386 with a mark
// between thousands.
type markCounts struct {
	comma, point   int // only fit with a decimal comma, a decimal point
	comma3, point3 int // fit both, written with a comma, a point
	byTag          map[int]*groupLooks
	example        string // the first that fits both; of the sample only
}

// groupLooks tells how a tag's numbers would look with points between thousands:
// those below a thousand without a point, the others with one.
type groupLooks struct{ small, grouped, other int }

// add takes a cell of a tag, or of a column, into account.
func (m *markCounts) add(tag int, cell []byte) {
	t := cell
	if len(t) > 0 && t[0]-'0' > 9 { // nearly all begin with a digit
		t = bytes.TrimLeft(t, "+-<>=(~ \t")
	}
	var b [32]byte // without blanks between thousands
	e := 0
	for i := 0; i < len(t); i++ {
		if n := thinSpace(t[i:]); n > 0 && i > 0 && i+n < len(t) && t[i+n]-'0' <= 9 {
			i += n
		}
		if t[i]-'0' > 9 && t[i] != ',' && t[i] != '.' {
			break
		}
		if e == len(b) {
			return
		}
		b[e] = t[i]
		e++
	}
	if t = b[:e]; e == 0 {
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
			m.comma++
		} else {
			m.point++
		}
	case commas > 1 || points > 1: // tells nothing, or is a date
	case commas == 1 && eitherWay(t):
		m.comma3++
	case commas == 1:
		m.comma++
	case eitherWay(t):
		m.point3++
	default:
		m.point++
	}
	if m.example == "" && m.comma3+m.point3 > 0 {
		m.example = string(t)
	}
}

func (m *markCounts) looks(tag int, t []byte, points int) {
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

func (m *markCounts) of(tag int) *groupLooks {
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

func (m *markCounts) join(o *markCounts) {
	m.comma += o.comma
	m.point += o.point
	m.comma3 += o.comma3
	m.point3 += o.point3
	for tag, g := range o.byTag {
		h := m.of(tag)
		h.small += g.small
		h.grouped += g.grouped
		h.other += g.other
	}
}

func (m *markCounts) met() bool { return m.comma+m.point+m.comma3+m.point3 > 0 }

// decide gives the decimal mark of a file with that separator. It is sure when
// some number fits only one. Else the plausible one is taken: where no comma
// separates fields, commas alone are decimal marks, as in countries that write
// them, and points alone are so unless a tag's numbers below a thousand do without.
// Common practice, no source.
func (m *markCounts) decide(sep byte) (dec byte, sure bool) {
	switch {
	case m.comma > m.point:
		return ',', true
	case m.point > 0:
		return '.', true
	case sep == ',':
		return '.', m.comma3 == 0
	case m.comma3 > 0 && (m.point3 == 0 || sep == ';'):
		return ',', false
	case m.point3 > 0 && m.comma3 == 0 && m.grouped():
		return ',', false
	}
	return '.', m.comma3+m.point3 == 0
}

// grouped says that points look as if they stood between thousands.
func (m *markCounts) grouped() bool {
	for _, g := range m.byTag {
		if g.small > 0 && g.grouped > 0 && g.other == 0 {
			return true
		}
	}
	return false
}

// settleDecimal decides the decimal mark over the whole file, where its first rows
// did not. It says whether the file is to be read again.
func (r *reader) settleDecimal(t *table, p *passed) (again bool) {
	f := t.f
	if f.decSure {
		return false
	}
	m := &p.marks
	if !f.weigh {
		// The first rows held no mark at all. Only what does not read as a plain
		// number was looked at, and every comma is among it.
		f.dec, f.decSure = m.decide(f.sep)
		f.decSure = m.comma+m.comma3 == 0
		f.weigh = !f.decSure
		return f.weigh
	}
	was := f.dec
	var sure bool
	f.dec, sure = m.decide(f.sep)
	switch {
	case !sure && f.asked == f.dec: // of a table before, in the same file
	case !sure:
		f.askDecimal(m)
		f.asked = f.dec
	case m.comma > 0 && m.point > 0:
		f.note(Warning, 0, "%d numbers only fit a decimal comma and %d only a decimal point; read with a decimal %s. Split the file, or write decimal = \",\" or \".\" under [[source]] in plant.toml", m.comma, m.point, markNames[f.dec])
	}
	f.decSure, f.weigh = true, false
	return f.dec != was
}

var markNames = map[byte]string{',': "comma", '.': "point"}

// askDecimal says that every number fits both ways, and which was taken.
func (f *format) askDecimal(m *markCounts) {
	e := f.decExample
	if e == "" {
		e = "2,386"
		if m.comma3 == 0 {
			e = "2.386"
		}
	}
	v, n := parseNumber([]byte(e), f.dec)
	if n < len(e) {
		v, _ = groupedNumber([]byte(e), f.dec)
	}
	other := map[byte]string{',': ".", '.': ","}[f.dec]
	f.note(Warning, 0, "every number with a mark has three digits behind it, so it fits with a decimal comma as well as with a decimal point; the file is read with a decimal %s: %s is %s. Write decimal = %q for it under [[source]] in plant.toml if that is wrong, and decimal = %q if it is right",
		markNames[f.dec], e, fmt.Sprint(v), other, string(f.dec))
}
