package draft

import (
	"regexp"
	"strings"

	"weirbook/analysis/quantity"
)

// unitInName finds a unit that an export wrote into a tag's name or
// description: "Effluent flow (gpm) avg", "ORP [mV]", "Cl2, mg/L",
// "Durchfluss m³/d", "FLOW_MGD". It is "" where there is none. Without brackets
// or a comma only what can hardly be anything but a unit is taken for one: "Tank
// L" and "Sump in" name places.
func unitInName(name string) string {
	for _, m := range bracketed.FindAllString(name, -1) {
		if u := strings.TrimSpace(m[1 : len(m)-1]); isUnit(u) {
			return u
		}
	}
	if i := strings.LastIndexByte(name, ','); i >= 0 {
		if u := strings.TrimSpace(name[i+1:]); isUnit(u) {
			return u
		}
	}
	// The unit may itself hold blanks, "mg/L as N": the longest ending counts.
	words := strings.FieldsFunc(name, func(r rune) bool { return r == ' ' || r == '\t' || r == '_' })
	for i := max(1, len(words)-3); i < len(words); i++ {
		u := strings.Join(words[i:], " ")
		if isUnit(u) && (strings.ContainsAny(u, "/%°º³") || plainUnits[strings.ToLower(u)]) {
			return u
		}
	}
	return ""
}

var bracketed = regexp.MustCompile(`\([^()]*\)|\[[^\[\]]*\]|\{[^{}]*\}`)

// plainUnits are the units in letters alone that mean nothing else in a name.
var plainUnits = map[string]bool{
	"mgd": true, "gpm": true, "gpd": true, "gph": true, "cfs": true, "cmh": true, "mld": true, "lps": true, "lpm": true, "lph": true,
	"mv": true, "ntu": true, "fnu": true, "ppm": true, "ppb": true, "ppd": true, "degc": true, "degf": true, "deg c": true, "deg f": true,
	"gal": true, "kgal": true, "m3": true, "ft": true,
}

func isUnit(s string) bool {
	u, err := quantity.ParseUnit(s)
	return err == nil && u.Dimension != quantity.Dimensionless && u.Dimension != quantity.Duration
}
