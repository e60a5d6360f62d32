package plant

import (
	"sort"
	"strings"
	"time"

	"weirbook/analysis/lab"
	"weirbook/analysis/quantity"
)

// Lab is what a laboratory's method can tell of a parameter, from a date on.
// Values are in the parameter's working unit; NaN: not stated.
type Lab struct {
	Parameter      quantity.Kind
	At             string // empty: at every point
	Method         string
	From           time.Time // zero: always
	DetectionLimit float64
	ReportingLimit float64
	MinimumLevel   float64
	UpperLimit     float64 // of counts: the most that the method can count
	Line           int     // in plant.toml
}

// Code is a word or code of the plant's own sheets, and what the plant says it
// means.
type Code struct {
	Words  []string
	Means  lab.Meaning
	Letter string // the regulator's, for the form; empty: none
	Line   int
}

type fileLab struct {
	Parameter      string `toml:"parameter"`
	At             string `toml:"at"`
	Method         string `toml:"method"`
	From           string `toml:"from"`
	DetectionLimit string `toml:"detection_limit"`
	ReportingLimit string `toml:"reporting_limit"`
	MinimumLevel   string `toml:"minimum_level"`
	UpperLimit     string `toml:"upper_limit"`
}

type fileCode struct {
	Words  words  `toml:"words"`
	Means  string `toml:"means"`
	Letter string `toml:"letter"`
}

func buildLabs(c *checker, p *Plant, fs []fileLab) {
	for i, f := range fs {
		k, err := quantity.ParseKind(f.Parameter)
		info, ok := quantity.Of(k)
		if err != nil || !ok {
			c.fail("lab", i, "parameter", "parameter = %q: %v", f.Parameter, err)
			continue
		}
		in := func(key, s string) float64 { return c.in("lab", i, key, s, info.Working.Symbol) }
		l := Lab{Parameter: k, At: f.At, Method: f.Method, Line: c.line("lab", i, "parameter"),
			DetectionLimit: in("detection_limit", f.DetectionLimit), ReportingLimit: in("reporting_limit", f.ReportingLimit),
			MinimumLevel: in("minimum_level", f.MinimumLevel), UpperLimit: in("upper_limit", f.UpperLimit)}
		if f.From != "" {
			if l.From, err = ParseTime(f.From, c.zone); err != nil {
				c.fail("lab", i, "from", "from: %v", err)
			}
		}
		if f.DetectionLimit+f.ReportingLimit+f.MinimumLevel+f.UpperLimit == "" {
			c.fail("lab", i, "parameter", "[[lab]] for %s states no limit; write reporting_limit = \"0.05 mg/L\", detection_limit, minimum_level or upper_limit", f.Parameter)
		}
		if l.DetectionLimit > l.ReportingLimit {
			c.fail("lab", i, "detection_limit", "detection_limit = %q lies above reporting_limit = %q", f.DetectionLimit, f.ReportingLimit)
		}
		p.Labs = append(p.Labs, l)
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

func buildCodes(c *checker, p *Plant, fs []fileCode) {
	seen := map[string]bool{}
	for i, f := range fs {
		if len(f.Words) == 0 {
			c.fail("code", i, "means", "[[code]] names no word; write words = [\"NS\"]")
		}
		for _, w := range f.Words {
			if seen[lab.Fold(w)] {
				c.fail("code", i, "words", "the word %q stands under two [[code]]", w)
			}
			seen[lab.Fold(w)] = true
		}
		m := c.oneOf("code", i, "means", strings.ToLower(f.Means), "", lab.Meanings()...)
		if f.Means == "" {
			c.fail("code", i, "words", "[[code]] does not say what its words mean; write means = one of %s", strings.Join(lab.Meanings(), ", "))
		}
		p.Codes = append(p.Codes, Code{Words: f.Words, Means: lab.Meaning(m), Letter: f.Letter, Line: c.line("code", i, "words")})
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
