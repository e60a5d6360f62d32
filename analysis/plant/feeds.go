package plant

import (
	"math"
	"slices"
	"strings"
	"time"

	"weirbook/analysis/quantity"
)

// Words for how a chemical's strength is stated.
const (
	TradePercent      = "trade percent"                     // g/L available chlorine / 10
	WeightChlorine    = "weight percent available chlorine" // needs the specific gravity
	WeightHypochlorit = "weight percent NaOCl"              // needs the specific gravity
	VolumeHypochlorit = "weight/volume percent NaOCl"       // g NaOCl in 100 mL
	GramsPerLitre     = "g/L"                               // available chlorine, or the salt for bisulfite
	WeightPercent     = "weight percent"                    // of the salt in solution, for dechlorination; needs the specific gravity
)

// Chlorinates says that the feed adds chlorine; otherwise it takes it out.
func (f Feed) Chlorinates() bool { return f.Chemical == "hypochlorite" || f.Chemical == "chlorine" }

// Gas says that the feed is a gas weighed in pounds, without strength or volume.
func (f Feed) Gas() bool { return f.Chemical == "chlorine" || f.Chemical == "sulfur_dioxide" }

func checkFeeds(c *checker, p *Plant) {
	seen := map[string]bool{}
	for i := range p.Feeds {
		d := &p.Feeds[i]
		if d.Title == "" {
			d.Title = d.Name
		}
		if d.Name == "" || seen[d.Name] {
			c.fail("feed", i, "name", "feed %q: every feed needs a name of its own", d.Name)
		}
		seen[d.Name] = true
		if d.Chemical == "" && c.text("feed", i, "chemical") == "" {
			c.fail("feed", i, "chemical", "feed %s names no chemical", d.Name)
		}
		rate := "gal/h"
		if d.Gas() {
			rate = "lb/d"
		}
		d.FullStroke = c.quantity("feed", i, "full_stroke", rate)
		d.Capacity = c.quantity("feed", i, "capacity", rate)
		d.Calibration = calibration(c, i, d, rate)
		slices.SortFunc(d.Delivered, time.Time.Compare)
		if len(d.Delivered) > 0 && math.IsNaN(d.HalfLifeDays) {
			c.fail("feed", i, "delivered", "feed %s: delivered without half_life_days changes nothing; write the days in which the strength halves in storage", d.Name)
		}
		checkFeedTags(c, p, i, d)
		if d.Gas() {
			d.StrengthAs = ""
		} else {
			checkStrength(c, i, d)
		}
		if d.Chlorinates() && d.Basin != "" {
			if b, ok := p.Basin(d.Basin); !ok {
				c.fail("feed", i, "basin", "feed %s: no basin %q", d.Name, d.Basin)
			} else if d.FlowAt == "" {
				d.FlowAt, d.OwnFlow = b.FlowAt, true
			}
		}
		if d.FlowAt == "" {
			d.FlowAt = d.DosesAt
		}
		if d.FlowAt != "" {
			if !p.hasFlow(d.FlowAt) {
				c.fail("feed", i, "flow_at", "feed %s: no tag measures flow at %q", d.Name, d.FlowAt)
			}
		} else {
			c.fail("feed", i, "flow_at", "feed %s: write flow_at, the point whose flow it doses", d.Name)
		}
	}
}

func checkFeedTags(c *checker, p *Plant, i int, d *Feed) {
	if d.Tag == "" && d.LevelTag == "" {
		c.fail("feed", i, "tag", "feed %s names no tag; write tag (how much is fed) or level_tag (the tank it is drawn from)", d.Name)
	}
	if d.Tag != "" {
		t, ok := p.Tag(d.Tag)
		switch {
		case !ok:
			c.fail("feed", i, "tag", "feed %s: tag %q is not in tags.csv", d.Name, d.Tag)
		case t.Working.Dimension == quantity.Percent && math.IsNaN(d.FullStroke) && len(d.Calibration) == 0:
			c.fail("feed", i, "full_stroke", "feed %s: tag %s is in percent; write full_stroke, the rate at 100 %%, or pump_calibration = [[percent, rate], …]", d.Name, d.Tag)
		case t.Working.Dimension != quantity.Percent && (d.StrokeTag != "" || len(d.Calibration) > 0 || !math.IsNaN(d.FullStroke)):
			c.fail("feed", i, "tag", "feed %s: tag %s is in %s, so full_stroke, pump_calibration and stroke_tag have nothing to say; they belong to a tag in percent", d.Name, d.Tag, t.Working.Symbol)
		}
	}
	if d.LevelTag != "" {
		t, ok := p.Tag(d.LevelTag)
		switch {
		case !ok || t.Measures != quantity.TankVolume && t.Measures != quantity.Level:
			c.fail("feed", i, "level_tag", "feed %s: level_tag %q must be a tag in tags.csv that measures tank_volume, or level", d.Name, d.LevelTag)
		case t.Measures == quantity.Level && math.IsNaN(d.TankArea):
			c.fail("feed", i, "tank_area", "feed %s: level_tag %s is a level; write tank_area = \"… ft²\", the tank's area", d.Name, d.LevelTag)
		}
		if d.Gas() {
			c.fail("feed", i, "level_tag", "feed %s: a gas is weighed, it has no tank level; write tag", d.Name)
		}
	}
	if d.StrokeTag != "" {
		if t, ok := p.Tag(d.StrokeTag); !ok || t.Working.Dimension != quantity.Percent {
			c.fail("feed", i, "stroke_tag", "feed %s: stroke_tag %q must be a tag in tags.csv in percent", d.Name, d.StrokeTag)
		}
	}
	if d.StrengthTag != "" {
		if _, ok := p.Tag(d.StrengthTag); !ok {
			c.fail("feed", i, "strength_tag", "feed %s: tag %q is not in tags.csv", d.Name, d.StrengthTag)
		}
	}
}

// strengthWords are those that the feed's strength may be stated in, the usual one
// first.
func (f Feed) strengthWords() []string {
	if f.Chlorinates() {
		return []string{TradePercent, WeightChlorine, WeightHypochlorit, VolumeHypochlorit, GramsPerLitre}
	}
	return []string{WeightPercent, GramsPerLitre}
}

func byWeight(as string) bool {
	return as == WeightChlorine || as == WeightHypochlorit || as == WeightPercent
}

func checkStrength(c *checker, i int, d *Feed) {
	as := d.StrengthAs
	words := d.strengthWords()
	dflt := words[0]
	switch {
	case as == "":
		d.StrengthAs = dflt
	case !slices.Contains(words, as):
		c.fail("feed", i, "strength_as", "strength_as = %q is unknown; write one of %s%s", as, strings.Join(words, ", "), percentMeant(as, words))
	}
	if math.IsNaN(d.Strength) && d.StrengthTag == "" {
		c.fail("feed", i, "strength", "feed %s states no strength; write strength and strength_as (%s)", d.Name, dflt)
	}
	if as == "" && !math.IsNaN(d.Strength) && d.Chlorinates() {
		c.fail("feed", i, "strength", "feed %s: say what strength = %g is: strength_as = \"trade percent\" (g/L available chlorine / 10), \"weight percent available chlorine\", \"weight percent NaOCl\", \"weight/volume percent NaOCl\" or \"g/L\"; they differ by 15 percent and more", d.Name, d.Strength)
	}
	if byWeight(d.StrengthAs) && math.IsNaN(d.SpecificGravity) {
		c.fail("feed", i, "specific_gravity", "feed %s: a strength by weight needs specific_gravity", d.Name)
	}
}

// calibration reads a pump's draw-down test into the feed's own rate.
func calibration(c *checker, i int, d *Feed, rate string) [][2]float64 {
	if len(d.Calibration) == 0 {
		if d.CalibrationUnit != "" {
			c.fail("feed", i, "pump_calibration_unit", "feed %s: pump_calibration_unit without pump_calibration", d.Name)
		}
		return nil
	}
	if !math.IsNaN(d.FullStroke) {
		c.fail("feed", i, "pump_calibration", "feed %s states full_stroke and pump_calibration; keep one", d.Name)
	}
	want := quantity.MustUnit(rate)
	unit := want
	if d.CalibrationUnit != "" {
		u, err := quantity.ParseUnit(d.CalibrationUnit)
		if err != nil || u.Dimension != want.Dimension {
			c.fail("feed", i, "pump_calibration_unit", "feed %s: pump_calibration_unit = %q is no unit of a feed here; write one such as %q", d.Name, d.CalibrationUnit, rate)
			return nil
		}
		unit = u
	}
	var out [][2]float64
	for k, p := range d.Calibration {
		if p[0] <= 0 || k > 0 && p[0] <= d.Calibration[k-1][0] || p[1] < 0 {
			c.fail("feed", i, "pump_calibration", "feed %s: pump_calibration needs settings above 0 that rise, and rates of 0 or more; pair %d is [%g, %g]", d.Name, k+1, p[0], p[1])
			return nil
		}
		v, err := quantity.Convert(p[1], unit, want)
		if err != nil {
			c.fail("feed", i, "pump_calibration", "feed %s: %v", d.Name, err)
		}
		out = append(out, [2]float64{p[0], v})
	}
	return out
}
