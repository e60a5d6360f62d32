package plant

import (
	"slices"
	"sort"
	"strings"
	"time"

	"weirbook/analysis/lab"
	"weirbook/analysis/quantity"
)

// Lab is what a laboratory's method can tell of a parameter, from a date on.
// Values are in the parameter's working unit; NaN: not stated.
type Lab struct {
	Parameter      quantity.Kind `toml:"parameter"`
	At             string        `toml:"at"` // empty: at every point
	Method         string        `toml:"method"`
	From           time.Time     `toml:"from"` // zero: always
	DetectionLimit float64       `toml:"detection_limit" unit:"later"`
	ReportingLimit float64       `toml:"reporting_limit" unit:"later"`
	MinimumLevel   float64       `toml:"minimum_level" unit:"later"`
	UpperLimit     float64       `toml:"upper_limit" unit:"later"` // of counts: the most that the method can count
	Line           int           // in plant.toml
}

// Code is a word or code of the plant's own sheets, and what the plant says it
// means.
type Code struct {
	Words  []string    `toml:"words"`
	Means  lab.Meaning `toml:"means"`
	Letter string      `toml:"letter"` // the regulator's, for the form; empty: none
	Line   int
}

func checkLabs(c *checker, p *Plant) {
	for i := range p.Labs {
		l := &p.Labs[i]
		k, err := quantity.ParseKind(string(l.Parameter))
		info, ok := quantity.Of(k)
		if err != nil || !ok {
			c.fail("lab", i, "parameter", "parameter = %q: %v", l.Parameter, err)
			continue
		}
		l.Parameter, l.Line = k, c.line(c.pathOf("lab", i, "parameter"))
		stated := false
		for _, x := range []struct {
			key  string
			into *float64
		}{{"detection_limit", &l.DetectionLimit}, {"reporting_limit", &l.ReportingLimit}, {"minimum_level", &l.MinimumLevel}, {"upper_limit", &l.UpperLimit}} {
			*x.into = c.quantity("lab", i, x.key, info.Working.Symbol)
			stated = stated || c.text("lab", i, x.key) != ""
		}
		if !stated {
			c.fail("lab", i, "parameter", "[[lab]] for %s states no limit; write reporting_limit = \"0.05 mg/L\", detection_limit, minimum_level or upper_limit", l.Parameter)
		}
		if l.DetectionLimit > l.ReportingLimit {
			c.fail("lab", i, "detection_limit", "detection_limit = %q lies above reporting_limit = %q", c.text("lab", i, "detection_limit"), c.text("lab", i, "reporting_limit"))
		}
	}
	sort.SliceStable(p.Labs, func(i, j int) bool { return p.Labs[i].From.Before(p.Labs[j].From) })
}

// LabAt gives what holds for a parameter at a point at a time: the latest entry
// that has begun, one that names the point before one that does not.
func (p *Plant) LabAt(k quantity.Kind, at string, t time.Time) (Lab, bool) {
	best := -1
	for i, l := range p.Labs {
		if l.Parameter != k || l.At != "" && l.At != at || t.Before(l.From) {
			continue
		}
		if best < 0 || l.At != "" || p.Labs[best].At == "" {
			best = i
		}
	}
	if best < 0 {
		return Lab{}, false
	}
	return p.Labs[best], true
}

func checkCodes(c *checker, p *Plant) {
	seen := map[string]bool{}
	for i := range p.Codes {
		d := &p.Codes[i]
		if len(d.Words) == 0 {
			c.fail("code", i, "means", "[[code]] names no word; write words = [\"NS\"]")
		}
		for _, w := range d.Words {
			if seen[lab.Fold(w)] {
				c.fail("code", i, "words", "the word %q stands under two [[code]]", w)
			}
			seen[lab.Fold(w)] = true
		}
		means := strings.ToLower(string(d.Means))
		switch {
		case means == "":
			c.fail("code", i, "words", "[[code]] does not say what its words mean; write means = one of %s", strings.Join(lab.Meanings(), ", "))
		case !slices.Contains(lab.Meanings(), means):
			c.fail("code", i, "means", "means = %q is unknown; write one of %s", d.Means, strings.Join(lab.Meanings(), ", "))
		}
		d.Means, d.Line = lab.Meaning(means), c.line(c.pathOf("code", i, "words"))
	}
}

// CodeOf finds what the plant says of a word.
func (p *Plant) CodeOf(word string) (Code, bool) {
	for _, c := range p.Codes {
		for _, w := range c.Words {
			if lab.Fold(w) == lab.Fold(word) {
				return c, true
			}
		}
	}
	return Code{}, false
}
