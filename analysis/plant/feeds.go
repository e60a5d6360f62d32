package plant

import (
	"math"
	"slices"
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

// Chemicals that a feed may carry.
var chemicals = []string{"hypochlorite", "chlorine", "bisulfite", "metabisulfite", "sulfite", "sulfur_dioxide"}

// Chlorinates says that the feed adds chlorine; otherwise it takes it out.
func (f Feed) Chlorinates() bool { return f.Chemical == "hypochlorite" || f.Chemical == "chlorine" }

// Gas says that the feed is a gas weighed in pounds, without strength or volume.
func (f Feed) Gas() bool { return f.Chemical == "chlorine" || f.Chemical == "sulfur_dioxide" }

func buildFeeds(c *checker, p *Plant, fs []fileFeed) {
	seen := map[string]bool{}
	for i, f := range fs {
		d := Feed{
			Name: f.Name, Title: f.Title, Tag: f.Tag, LevelTag: f.LevelTag, DosesAt: f.DosesAt, Basin: f.Basin,
			FlowAt: f.FlowAt, StrengthTag: f.StrengthTag, PriceUnit: f.PriceUnit, Currency: f.Currency,
			Chemical:         c.oneOf("feed", i, "chemical", f.Chemical, "", chemicals...),
			Strength:         c.number("feed", i, "strength", f.Strength, 0, 1000),
			SpecificGravity:  c.number("feed", i, "specific_gravity", f.SpecificGravity, 0.8, 2),
			HalfLifeDays:     c.number("feed", i, "half_life_days", f.HalfLifeDays, 1, 1e5),
			Ratio:            c.number("feed", i, "ratio", f.Ratio, 0.1, 20),
			Price:            c.number("feed", i, "price", f.Price, 0, 1e6),
			Storage:          c.in("feed", i, "storage", f.Storage, "gal"),
			TankArea:         c.in("feed", i, "tank_area", f.TankArea, "ft²"),
			StrokeTag:        f.StrokeTag,
			StrengthAccuracy: c.percent("feed", i, "strength_accuracy", f.StrengthAccuracy),
		}
		if d.Title == "" {
			d.Title = d.Name
		}
		if d.Name == "" || seen[d.Name] {
			c.fail("feed", i, "name", "feed %q: every feed needs a name of its own", d.Name)
		}
		seen[d.Name] = true
		if d.Chemical == "" && f.Chemical == "" {
			c.fail("feed", i, "chemical", "feed %s names no chemical", d.Name)
		}
		rate := "gal/h"
		if d.Gas() {
			rate = "lb/d"
		}
		d.FullStroke = c.in("feed", i, "full_stroke", f.FullStroke, rate)
		d.Calibration = calibration(c, i, d, f, rate)
		d.Delivered = deliveries(c, i, d, f.Delivered)
		d.Capacity = c.in("feed", i, "capacity", f.Capacity, rate)
		checkFeedTags(c, p, i, d)
		if d.Gas() {
			d.StrengthAs = ""
		} else {
			checkStrength(c, i, &d, f.StrengthAs)
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
		p.Feeds = append(p.Feeds, d)
	}
}

func checkFeedTags(c *checker, p *Plant, i int, d Feed) {
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

func checkStrength(c *checker, i int, d *Feed, as string) {
	words := []string{TradePercent, WeightChlorine, WeightHypochlorit, VolumeHypochlorit, GramsPerLitre}
	dflt := TradePercent
	if !d.Chlorinates() {
		words = []string{WeightPercent, GramsPerLitre}
		dflt = WeightPercent
	}
	d.StrengthAs = c.oneOf("feed", i, "strength_as", as, dflt, words...)
	if math.IsNaN(d.Strength) && d.StrengthTag == "" {
		c.fail("feed", i, "strength", "feed %s states no strength; write strength and strength_as (%s)", d.Name, dflt)
	}
	if as == "" && !math.IsNaN(d.Strength) && d.Chlorinates() {
		c.fail("feed", i, "strength", "feed %s: say what strength = %g is: strength_as = \"trade percent\" (g/L available chlorine / 10), \"weight percent available chlorine\", \"weight percent NaOCl\", \"weight/volume percent NaOCl\" or \"g/L\"; they differ by 15 percent and more", d.Name, d.Strength)
	}
	byWeight := d.StrengthAs == WeightChlorine || d.StrengthAs == WeightHypochlorit || d.StrengthAs == WeightPercent
	if byWeight && math.IsNaN(d.SpecificGravity) {
		c.fail("feed", i, "specific_gravity", "feed %s: a strength by weight needs specific_gravity", d.Name)
	}
}

// calibration reads a pump's draw-down test into the feed's own rate.
func calibration(c *checker, i int, d Feed, f fileFeed, rate string) [][2]float64 {
	if len(f.Calibration) == 0 {
		if f.CalibrationUnit != "" {
			c.fail("feed", i, "pump_calibration_unit", "feed %s: pump_calibration_unit without pump_calibration", d.Name)
		}
		return nil
	}
	if !math.IsNaN(d.FullStroke) {
		c.fail("feed", i, "pump_calibration", "feed %s states full_stroke and pump_calibration; keep one", d.Name)
	}
	want := quantity.MustUnit(rate)
	unit := want
	if f.CalibrationUnit != "" {
		u, err := quantity.ParseUnit(f.CalibrationUnit)
		if err != nil || u.Dimension != want.Dimension {
			c.fail("feed", i, "pump_calibration_unit", "feed %s: pump_calibration_unit = %q is no unit of a feed here; write one such as %q", d.Name, f.CalibrationUnit, rate)
			return nil
		}
		unit = u
	}
	var out [][2]float64
	for k, p := range f.Calibration {
		if p[0] <= 0 || k > 0 && p[0] <= f.Calibration[k-1][0] || p[1] < 0 {
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

// deliveries reads the days on which a tank was filled, in order.
func deliveries(c *checker, i int, d Feed, words []string) []time.Time {
	var out []time.Time
	for _, s := range words {
		t, err := ParseTime(s, c.zone)
		if err != nil {
			c.fail("feed", i, "delivered", "feed %s: delivered: %v", d.Name, err)
			continue
		}
		out = append(out, t)
	}
	slices.SortFunc(out, time.Time.Compare)
	if len(out) > 0 && math.IsNaN(d.HalfLifeDays) {
		c.fail("feed", i, "delivered", "feed %s: delivered without half_life_days changes nothing; write the days in which the strength halves in storage", d.Name)
	}
	return out
}
