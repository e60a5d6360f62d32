package draft

import (
	"regexp"
	"strings"

	"weirbook/analysis/quantity"
)

// loopTag is an instrument's name after ISA-5.1: letters, the first of which is
// the measured variable, and a loop number.
var loopTag = regexp.MustCompile(`(?:^|[^A-Za-z])([AFLPST])(D?I?Q?[TCREISVXYZ]{1,2})[A-D]?[-_. ]?[0-9]{1,5}[A-Za-z]?$`)

// instrument gives the letter of the measured variable; "" where the name is none
// of an instrument loop.
func instrument(tag string) (letter string, controls bool) {
	if m := loopTag.FindStringSubmatch(strings.ToUpper(strings.TrimSpace(tag))); m != nil {
		return m[1], strings.ContainsAny(m[2], "CV")
	}
	return "", false
}

// wrongLetter is taken off a kind that the letter does not stand for.
const wrongLetter = -4.0

// letterFits weighs a kind against the letter of the measured variable: A analysis,
// F flow, L level, P pressure, S speed, T temperature (ISA-5.1).
func letterFits(letter string, controls bool, k quantity.Kind, l looks) float64 {
	of := "A"
	switch k {
	case quantity.Flow, quantity.FlowTotal:
		of = "F"
	case quantity.HypochloriteFeed, quantity.BisulfiteFeed, quantity.ChlorineFeed, quantity.SulfurDioxideFeed:
		of = "F S"
	case quantity.Level, quantity.TankVolume:
		of = "L"
	case quantity.Temp:
		of = "T"
	case quantity.RunStatus:
		return 0
	}
	if !strings.Contains(of, letter) {
		return wrongLetter
	}
	switch {
	case of == "F S" && controls:
		return 2 // what a controller or a valve gives is dosed
	case of == "F S" && letter == "F":
		return -1 // without a word, rather a stream
	case k == quantity.Flow && controls:
		return 0
	case k == quantity.Flow || k == quantity.Temp || k == quantity.Level:
		return 2
	case letter != "A" || l.n == 0:
		return 0
	}
	switch {
	case k == quantity.PH && l.p5 > 5.5 && l.p95 < 9 && l.p95-l.p5 < 2:
		return 1.5
	case isResidual(Guess{Measures: k}) && l.p50 > 5:
		return -1.5
	case k == quantity.ChlorineTotal:
		return 1.2 // at these plants rather than anything else in mg/L
	case k == quantity.ORP && l.p5 >= 60 && l.p50 > 150 && l.p95 <= 950:
		return 2.5
	}
	return 0
}
