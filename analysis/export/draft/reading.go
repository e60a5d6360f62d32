package draft

import (
	"fmt"
	"math"
	"regexp"
	"strings"

	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// unitList names units of things that play no part here.
type unitList map[string]string

var elsewhere = unitList{
	"psi": "a pressure", "psig": "a pressure", "psia": "a pressure", "bar": "a pressure", "mbar": "a pressure", "kpa": "a pressure", "inh2o": "a pressure", "mh2o": "a pressure", "inwc": "a pressure",
	"a": "a current", "amp": "a current", "amps": "a current", "kw": "a power", "kwh": "an energy", "hp": "a power", "hz": "a frequency", "rpm": "a speed",
	"scfm": "an air flow", "nm3/h": "an air flow", "nm³/h": "an air flow", "sm3/h": "an air flow", "h": "running hours", "hr": "running hours", "hrs": "running hours", "hours": "running hours",
	"mw/cm2": "a UV intensity", "w/m2": "a UV intensity", "mj/cm2": "a UV dose", "%t": "a UV transmittance", "%uvt": "a UV transmittance", "uvt": "a UV transmittance",
}

func (u unitList) of(unit string) string {
	return u[strings.ToLower(strings.ReplaceAll(strings.TrimSpace(unit), " ", ""))]
}

// besideWords name things that play no part here where no unit says so.
var besideWords = list("amps amp kw kwh psi psig bar mbar kpa rpm hz torque vibration rain rainfall uvt uvi blower blowers valve pressure druck presion pression strom leistung energia energie setpoint setpt sollwert consigna consigne alarm alm scrub* odor odour digest* faulturm faulung generator* boiler* nonpot* leak*")

// setPoint ends the name of a set point; SP elsewhere may be a sampling point.
var setPoint = regexp.MustCompile(`(?i)[._ -](?:SP|SPT)$`)

// pumpUnit are units in which metering pumps are read and streams are not.
var pumpUnit = map[string]bool{"gal/h": true, "L/h": true, "mL/min": true, "mL/h": true, "gal/d": true, "L/d": true}

var (
	compositeWords = list("comp composite comp24 24h 24hr mischprobe misch compuest* integrad* moyen* composto composta")
	grabWords      = list("grab stichprobe puntual ponctuel* simples")
)

// reading settles how its values come about.
func reading(g Guess, l looks) series.Reading {
	switch {
	case l.likeState() && (g.Measures == quantity.RunStatus || g.Measures == quantity.Other):
		return series.State
	case g.Measures == quantity.FlowTotal:
		return series.Counter
	case l.likeGrab():
		return laboratory(g, l)
	case l.onChange():
		return series.OnChange
	}
	return series.Continuous
}

// laboratory tells a composite from a grab: by its name, by what is determined,
// and by when it was taken. A composite bears one time of day and one result a day.
func laboratory(g Guess, l looks) series.Reading {
	words := tokens(g.Tag)
	switch {
	case compositeWords.in(words) != "":
		return series.Composite
	case grabWords.in(words) != "":
		return series.Grab
	}
	switch g.Measures {
	case quantity.BOD5, quantity.CBOD5, quantity.TSS, quantity.TKN, quantity.COD, quantity.Phosphorus:
		if l.perDay <= 1.3 {
			return series.Composite
		}
	case quantity.AmmoniaN, quantity.NitrateN, quantity.NitriteN, quantity.Alkalinity:
		if l.sameHour && l.perDay <= 1.3 && l.n > 3 {
			return series.Composite
		}
	}
	return series.Grab
}

// thinned: not every reading was stored. The steps differ in length, and a value
// that stands twice in a row stands there only because the longest step (the
// heartbeat) was over.
func (l looks) thinned() bool {
	return l.cadence > 0 && l.ragged > 0.3 && l.stillSoon < 0.15
}

// onChange: thinned by a deadband, so that a value holds until the next. Thinned by
// another rule (the ends of straight stretches are stored, as a swinging door does)
// changes may be as small as any, and the line between two readings is right.
func (l looks) onChange() bool { return l.thinned() && l.edge }

// maxGap in minutes is how long nothing may be stored of a thinned signal; 0 where
// the plant's own is enough.
func (l looks) maxGap() int {
	if !l.thinned() || l.heartbeat <= 600 {
		return 0
	}
	return int(math.Ceil((1.5*l.heartbeat/60+5)/5)) * 5
}

// storage says how a tag that is stored by exception seems to be stored.
func (l looks) storage() string {
	s := "stored when it changes"
	if !l.edge {
		s = "stored where it bends"
	}
	if l.edge && l.deadband > 0 {
		s += fmt.Sprintf(" by about %.2g", l.deadband)
	}
	if l.heartbeat > 0 {
		s += fmt.Sprintf(", at least every %.0f min", l.heartbeat/60)
	}
	return s
}
