package simulate

import (
	"bufio"
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"time"
)

// Stamps is how an export writes its times.
type Stamps uint8

// Ways to write a time.
const (
	LocalStamps  Stamps = iota // 2026-03-08 03:00, the plant's clock, no offset
	WinterStamps               // the same, but the clock never goes to summer time
	OffsetStamps               // 2026-03-08T03:00:00-06:00
	UTCStamps                  // 2026-03-08T09:00:00Z
)

// QualityStyle is how an export writes quality.
type QualityStyle uint8

// Quality styles.
const (
	QualityWords QualityStyle = iota // good, uncertain, bad
	QualityOPC                       // 192, 64, 0
)

// Export says what an export holds and how it is written.
type Export struct {
	Tags    []string // in this order; nil: all of the month's
	Stamps  Stamps
	Quality QualityStyle // long exports only
	Every   int          // minutes between rows; 0 is 1
	// Changes writes on-change tags only when their value or quality changes,
	// and once an hour.
	Changes bool
	// Twice repeats the rows from minute Twice[0] up to Twice[1] right after
	// them, as a re-sent block does. Long exports only.
	Twice [2]int
}

func (x Export) tags(m *Month) []*Tag {
	var out []*Tag
	if x.Tags == nil {
		for i := range m.Tags {
			out = append(out, &m.Tags[i])
		}
		return out
	}
	for _, name := range x.Tags {
		if t := m.Tag(name); t != nil {
			out = append(out, t)
		}
	}
	return out
}

// stamper writes minute stamps; the calendar is asked once an hour.
type stamper struct {
	how    Stamps
	loc    *time.Location
	hour   int64
	prefix []byte // up to the minutes
	suffix []byte
}

func newStamper(how Stamps, loc *time.Location) *stamper {
	switch how {
	case UTCStamps:
		loc = time.UTC
	case WinterStamps:
		// The standard offset: that of January or July, whichever is the smaller.
		_, jan := time.Date(2026, 1, 1, 0, 0, 0, 0, loc).Zone()
		_, jul := time.Date(2026, 7, 1, 0, 0, 0, 0, loc).Zone()
		loc = time.FixedZone("", min(jan, jul))
	}
	return &stamper{how: how, loc: loc, hour: math.MinInt64}
}

func (s *stamper) append(b []byte, unix int64) []byte {
	// Zones whose offset is not a whole number of hours still share minutes of
	// the quarter; ask anew each quarter of an hour.
	q := unix - unix%900
	if q != s.hour {
		s.hour = q
		t := time.Unix(q, 0).In(s.loc)
		switch s.how {
		case OffsetStamps:
			s.prefix = t.AppendFormat(s.prefix[:0], "2006-01-02T15:")
			s.suffix = t.AppendFormat(s.suffix[:0], ":05-07:00")
		case UTCStamps:
			s.prefix = t.AppendFormat(s.prefix[:0], "2006-01-02T15:")
			s.suffix = append(s.suffix[:0], ":00Z"...)
		default:
			s.prefix = t.AppendFormat(s.prefix[:0], "2006-01-02 15:")
			s.suffix = s.suffix[:0]
		}
	}
	_, off := 0, 0
	if s.how == LocalStamps || s.how == OffsetStamps || s.how == WinterStamps {
		_, off = time.Unix(q, 0).In(s.loc).Zone()
	}
	min := (unix + int64(off)) / 60 % 60
	b = append(b, s.prefix...)
	b = append(b, byte('0'+min/10), byte('0'+min%10))
	return append(b, s.suffix...)
}

func appendValue(b []byte, v float64, dec int) []byte {
	if math.IsNaN(v) {
		return b
	}
	return strconv.AppendFloat(b, v, 'f', dec, 64)
}

// decimalsAt keeps the digits of values that a unit mix-up made small.
func decimalsAt(t *Tag, v float64) int {
	if t.Decimals < 4 && v != 0 && math.Abs(v) < 1 && t.Unit == "mV" {
		return 4
	}
	return t.Decimals
}

// WriteLong writes `timestamp,tag,value,quality`, a row per tag and minute, in
// time order. Missing readings have no row; Bad ones have whatever number the
// system put there, often 0.
func (m *Month) WriteLong(w io.Writer, x Export) error {
	bw := bufio.NewWriterSize(w, 1<<16)
	tags := x.tags(m)
	st := newStamper(x.Stamps, m.Loc)
	every := max(x.Every, 1)
	bw.WriteString("timestamp,tag,value,quality\n")
	var line, stamp []byte
	row := func(i int) {
		stamp = st.append(stamp[:0], m.Start+60*int64(i))
		for _, t := range tags {
			if t.Q[i] == Missing {
				continue
			}
			if x.Changes && t.Reading == "on-change" && i > 0 && i%60 != 0 && t.V[i] == t.V[i-1] && t.Q[i] == t.Q[i-1] {
				continue
			}
			line = append(line[:0], stamp...)
			line = append(line, ',')
			line = append(line, t.Name...)
			line = append(line, ',')
			line = appendValue(line, t.V[i], decimalsAt(t, t.V[i]))
			line = append(line, ',')
			if x.Quality == QualityOPC {
				line = strconv.AppendInt(line, int64(t.Q[i].OPCDA()), 10)
			} else {
				line = append(line, t.Q[i].Word()...)
			}
			line = append(line, '\n')
			bw.Write(line)
		}
	}
	for i := 0; i < m.N; i += every {
		row(i)
		if x.Twice[1] > x.Twice[0] && i < x.Twice[1] && i+every >= x.Twice[1] {
			for j := x.Twice[0]; j < x.Twice[1]; j += every {
				row(j)
			}
		}
	}
	return bw.Flush()
}

// WriteWide writes a heading row with the tag names, a row with their units,
// and a row a minute with a column per tag. A Missing or Bad reading is an empty
// cell, for there is no room for its quality.
func (m *Month) WriteWide(w io.Writer, x Export) error {
	bw := bufio.NewWriterSize(w, 1<<16)
	tags := x.tags(m)
	st := newStamper(x.Stamps, m.Loc)
	bw.WriteString("timestamp")
	for _, t := range tags {
		bw.WriteString("," + t.Name)
	}
	bw.WriteString("\n")
	for _, t := range tags {
		bw.WriteString("," + t.Unit)
	}
	bw.WriteString("\n")
	var line []byte
	for i := 0; i < m.N; i += max(x.Every, 1) {
		line = st.append(line[:0], m.Start+60*int64(i))
		for _, t := range tags {
			line = append(line, ',')
			if t.Q[i] > Bad {
				line = appendValue(line, t.V[i], decimalsAt(t, t.V[i]))
			}
		}
		line = append(line, '\n')
		bw.Write(line)
	}
	return bw.Flush()
}

// WriteLab writes the laboratory sheet:
// `sampled,tag,result,unit,sample`, results as written down, "<1" included.
func (m *Month) WriteLab(w io.Writer) error {
	cw := csv.NewWriter(w)
	cw.Write([]string{"sampled", "tag", "result", "unit", "sample"})
	for _, l := range m.Lab {
		cw.Write([]string{l.Time.Format("2006-01-02 15:04"), l.Tag,
			l.Qualifier + strconv.FormatFloat(l.Value, 'f', l.Decimals, 64), l.Unit, l.Reading})
	}
	cw.Flush()
	return cw.Error()
}
