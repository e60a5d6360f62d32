package discharge

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// HalfRule says where a 5 followed by nothing goes.
type HalfRule string

// The two rules in use. Half up: EPA Water Supply Guidance 21 (April 1981), 5
// to 9 round up. Half to even: Standard Methods 1050B and ASTM E29 (from
// memory).
const (
	HalfUp   HalfRule = "half-up"
	HalfEven HalfRule = "half-even"
)

// cleanFigures is how many significant figures of a computed number are taken
// as meant. Results have at most some seven figures and months some thousand
// values, so a mean that is not a tie differs from one by more than 1e-11 of
// itself; what lies below is the noise of binary arithmetic (0.0105, 2.35 and
// 5.896 have no exact binary form), and is taken off before the decision.
const cleanFigures = 13

// Places says to which digit a result is rounded: so many significant figures,
// or so many decimals.
type Places struct {
	Figures  int // significant figures; 0: by decimals
	Decimals int // with Figures 0
	// MaxDecimals cuts the decimals at what the laboratory gave; -1: no cut.
	MaxDecimals int
}

// String says it in words.
func (p Places) String() string {
	var s string
	if p.Figures > 0 {
		s = fmt.Sprintf("%d significant figure%s", p.Figures, plural(p.Figures))
	} else {
		s = fmt.Sprintf("%d decimal%s", p.Decimals, plural(p.Decimals))
	}
	if p.MaxDecimals >= 0 {
		s += fmt.Sprintf(", at most the laboratory's %d decimal%s", p.MaxDecimals, plural(p.MaxDecimals))
	}
	return s
}

func plural(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}

// Round gives v as it is reported, in plain decimal notation with the zeros
// that carry meaning ("5.90"). Anything but a finite number gives "".
//
// Source: the significant figures of the limit, not more than the laboratory
// gave, New York DEC reporting guidance.
func Round(v float64, p Places, rule HalfRule) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	digits, exp := decimal(v)
	last := -p.Decimals // power of ten of the last digit kept
	if p.Figures > 0 {
		last = exp - p.Figures + 1
		if p.MaxDecimals >= 0 && -last > p.MaxDecimals {
			last = -p.MaxDecimals
		}
		up, upExp := roundDigits(digits, exp, last, rule)
		if up != "" && upExp > exp && len(up) > p.Figures {
			// 9.96 to two figures is 10, not 10.0.
			last = max(last, upExp-p.Figures+1)
		}
	} else if p.MaxDecimals >= 0 && p.Decimals > p.MaxDecimals {
		last = -p.MaxDecimals
	}
	kept, keptExp := roundDigits(digits, exp, last, rule)
	s := place(kept, keptExp, last)
	if v < 0 && strings.Trim(s, "0.") != "" {
		s = "-" + s
	}
	return s
}

// smallest is the least that counts as more than nothing: below it a float no
// longer carries the figures that rounding keeps, and no method measures it.
const smallest = 1e-290

// decimal gives the significant digits of |v|, noise taken off, and the power
// of ten of the first one.
func decimal(v float64) (digits string, exp int) {
	if math.Abs(v) < smallest {
		return "0", 0
	}
	s := strconv.FormatFloat(math.Abs(v), 'e', cleanFigures-1, 64)
	mant, e, _ := strings.Cut(s, "e")
	exp, _ = strconv.Atoi(e)
	digits = strings.TrimRight(strings.Replace(mant, ".", "", 1), "0")
	if digits == "" {
		digits = "0"
	}
	return digits, exp
}

// roundDigits keeps the digits down to power of ten last. The digits kept end
// at that power; "" is zero.
func roundDigits(digits string, exp, last int, rule HalfRule) (string, int) {
	n := exp - last + 1 // digits to keep
	if n >= len(digits) {
		return digits + strings.Repeat("0", n-len(digits)), exp
	}
	if n < 0 {
		return "", last
	}
	kept, rest := []byte(digits[:n]), digits[n:]
	up := rest[0] > '5' || rest[0] == '5' && len(rest) > 1
	if rest == "5" {
		odd := n > 0 && (kept[n-1]-'0')%2 == 1
		up = rule == HalfUp || odd
	}
	if !up {
		return string(kept), exp
	}
	for i := n - 1; i >= 0; i-- {
		if kept[i] < '9' {
			kept[i]++
			return string(kept), exp
		}
		kept[i] = '0'
	}
	return "1" + string(kept), exp + 1
}

// place writes digits, the last of which stands at power of ten last, in plain
// decimal notation.
func place(digits string, _, last int) string {
	if last >= 0 {
		s := strings.TrimLeft(digits, "0")
		if s == "" {
			return "0"
		}
		return s + strings.Repeat("0", last)
	}
	if need := -last + 1 - len(digits); need > 0 {
		digits = strings.Repeat("0", need) + digits
	}
	cut := len(digits) + last
	whole := strings.TrimLeft(digits[:cut], "0")
	if whole == "" {
		whole = "0"
	}
	return whole + "." + digits[cut:]
}

// Figures counts the significant figures of a number as written: ".067" has
// two, "0.7" one, "0.10" two, "30" two. Zeros at the end of a whole number
// count: a permit that means fewer can say so. Zero itself has one.
func Figures(written string) int {
	mant, _, _ := strings.Cut(strings.ToLower(strings.TrimLeft(written, "+-")), "e")
	d := strings.TrimLeft(strings.Replace(mant, ".", "", 1), "0")
	return max(len(d), 1)
}

// DecimalsOf counts the digits after the point of a number as written.
func DecimalsOf(written string) int {
	mant, e, _ := strings.Cut(strings.ToLower(written), "e")
	n := 0
	if _, frac, ok := strings.Cut(mant, "."); ok {
		n = len(frac)
	}
	if k, err := strconv.Atoi(e); err == nil {
		n -= k
	}
	return max(n, 0)
}

// shortest writes a number with no more digits than it needs, noise taken off.
func shortest(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	d, exp := decimal(v)
	last := exp - len(d) + 1
	s := place(d, exp, min(last, 0))
	if last > 0 {
		s = place(d, exp, last)
	}
	if v < 0 && d != "0" {
		s = "-" + s
	}
	return s
}
