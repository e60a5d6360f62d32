package upset

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"weirbook/analysis/finding"

	"weirbook/analysis/align"
	"weirbook/analysis/series"
)

func stretchOf(w align.Window) series.Stretch { return series.Stretch{Start: w.Start, End: w.End} }

// percent writes a share, 0…1.
func percent(x float64) string { return strconv.Itoa(int(math.Round(100*x))) + " %" }

// num writes a value with three significant figures and no exponent, and a true
// minus sign; NaN is "not known".
func num(v float64) string {
	if isNaN(v) {
		return "not known"
	}
	if math.IsInf(v, 0) {
		return "beyond any number"
	}
	a := math.Abs(v)
	d := 2
	switch {
	case a >= 100:
		d = 0
	case a >= 10:
		d = 1
	case a < 0.0005:
		d = 0
	case a < 0.1:
		d = 3
	}
	t := strconv.FormatFloat(a, 'f', d, 64)
	if strings.Contains(t, ".") {
		t = strings.TrimRight(strings.TrimRight(t, "0"), ".")
	}
	if v < 0 && t != "0" {
		t = "−" + t
	}
	return t
}

// Num writes a value as the sentences do: three significant figures, no exponent.
func Num(v float64) string { return num(v) }

// with writes a value with its unit.
func with(v float64, unit string) string {
	if unit == "" || isNaN(v) {
		return num(v)
	}
	return num(v) + " " + unit
}

// span writes a length of time.
func span(ms int64) string { return finding.Length(time.Duration(ms) * time.Millisecond) }

// clock writes a time on the plant's clock; the date only where it differs from
// that of ref.
func clock(ms, ref int64, loc *time.Location) string {
	t, r := time.UnixMilli(ms).In(loc), time.UnixMilli(ref).In(loc)
	if t.YearDay() == r.YearDay() && t.Year() == r.Year() {
		return t.Format("15:04")
	}
	return t.Format("2 January 15:04")
}

// moment writes a time with its date and the clock's name.
func moment(ms int64, loc *time.Location) string {
	return time.UnixMilli(ms).In(loc).Format("Monday 2 January 2006, 15:04 MST")
}

func lowerFirst(s string) string {
	if len(s) > 1 && s[0] >= 'A' && s[0] <= 'Z' && !(s[1] >= 'A' && s[1] <= 'Z') && s[1] != '.' && s[1] != ' ' {
		return strings.ToLower(s[:1]) + s[1:]
	}
	return s
}

func upperFirst(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' && !strings.HasPrefix(s, "pH") {
		return strings.ToUpper(s[:1]) + s[1:]
	}
	return s
}

// Words tells a move in one sentence: "04:10 ammonia after secondary rose from
// 0.3 to 4.8 mg/L".
func (m *Move) Words(ref int64, loc *time.Location) string {
	verb := "fell"
	if m.To > m.From {
		verb = "rose"
	}
	text := ""
	away := math.Abs(m.To - m.From)
	switch {
	case isNaN(m.From) || isNaN(m.To) || (m.To-m.From)*m.Size < 0 || away < math.Abs(m.Size)/3:
		// Against the day's pattern: the level hardly changed, or the other way,
		// where normal would have moved.
		side := "above"
		if m.Size < 0 {
			side = "below"
		}
		text = fmt.Sprintf("%s went %s %s what is normal for the hour, to %s", lowerFirst(m.Title), with(math.Abs(m.Size), m.Unit), side, with(m.To, m.Unit))
	default:
		text = fmt.Sprintf("%s %s from %s to %s", lowerFirst(m.Title), verb, num(m.From), with(m.To, m.Unit))
		if !isNaN(m.NormalAt) {
			text += fmt.Sprintf(" (normal for the hour: %s)", num(m.NormalAt))
		}
	}
	if m.Doubted {
		text += "; its instrument was in doubt then"
	}
	if m.Since != 0 {
		return fmt.Sprintf("between %s and %s, while readings were missing, %s", clock(m.Since, ref, loc), clock(m.At, ref, loc), text)
	}
	return clock(m.At, ref, loc) + " " + text
}
