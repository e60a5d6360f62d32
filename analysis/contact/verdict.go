package contact

import (
	"math"
	"strings"
)

// Verdict is what an hour comes to against one requirement.
type Verdict string

// Verdicts.
const (
	Short         Verdict = "short"
	ShortWithin   Verdict = "short within the instruments' accuracy"
	MetWithin     Verdict = "met within the instruments' accuracy"
	Met           Verdict = "met"
	NotDetermined Verdict = "not determined"
)

// verdictOrder from worst to best.
var verdictOrder = [...]Verdict{Short, ShortWithin, NotDetermined, MetWithin, Met}

// Rank gives 0 for the worst verdict.
func (v Verdict) Rank() int {
	for i, o := range verdictOrder {
		if o == v {
			return i
		}
	}
	return len(verdictOrder)
}

// Judged is one hour held against one requirement.
type Judged struct {
	What     string // "CT", "contact time", …
	Unit     string
	Band     Band    // the hour's figure; NaN when not determined
	Required float64 // in Unit
	Verdict  Verdict
	Why      Reason   // for "not determined"
	Beyond   bool     // a log inactivation above the end of its table
	Notes    []string // what was assumed
}

// Judge holds a value with its band against what is required. A value below the
// requirement is short; where the band reaches the requirement from either side
// the verdict says that the instruments cannot tell.
func Judge(what, unit string, b Band, required float64, why Reason) Judged {
	j := Judged{What: what, Unit: unit, Band: b, Required: required, Why: why}
	switch {
	case why != Known || math.IsNaN(b.Value) || math.IsNaN(required):
		j.Verdict, j.Band = NotDetermined, Band{nan, nan}
		if why == Known {
			j.Why = InputUnknown
		}
	case b.Value < required && b.High() < required:
		j.Verdict = Short
	case b.Value < required:
		j.Verdict = ShortWithin
	case b.Low() < required:
		j.Verdict = MetWithin
	default: // a NaN half width leaves a value that is simply met
		j.Verdict = Met
	}
	return j
}

// Worst is the worst of several verdicts; NotDetermined for none.
func Worst(js []Judged) Verdict {
	if len(js) == 0 {
		return NotDetermined
	}
	w := js[0].Verdict
	for _, j := range js[1:] {
		if j.Verdict.Rank() < w.Rank() {
			w = j.Verdict
		}
	}
	return w
}

// AtEnd takes back a verdict that rests on an instrument at the end of its scale, where
// the bound does not tell: residual says that the residual is at least what was read,
// flow that the flow is, so that contact time is at most what it came to. It says
// whether the verdict was taken back.
func (j *Judged) AtEnd(residual, flow bool) bool {
	onTime, onResidual := j.What != "residual", !strings.Contains(j.What, "contact time")
	short := j.Verdict == Short || j.Verdict == ShortWithin
	met := j.Verdict == Met || j.Verdict == MetWithin
	if short && residual && onResidual || met && flow && onTime {
		j.Verdict, j.Why = NotDetermined, OffScale
		return true
	}
	return false
}
