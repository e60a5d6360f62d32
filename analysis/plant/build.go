package plant

import (
	"errors"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"weirbook/analysis/quantity"
)

// Defaults for what plant.toml leaves open. Common practice, no source.
const (
	DefaultHourCoverage = 0.75
	DefaultDayCoverage  = 0.75
	DefaultMaxGap       = 15 * time.Minute
)

func build(name, text, tagsName string, tags []Tag) (*Plant, error) {
	c := &checker{name: name, lines: strings.Split(text, "\n"), zone: time.UTC}
	f, ok := decode(c, text)
	if !ok {
		return nil, errors.Join(c.errs...)
	}
	p := &Plant{Name: f.Name, ZoneName: f.TimeZone, Screen: f.Screen, ORP: f.ORP, Tags: tags}
	if p.Name == "" {
		c.fail("", 0, "name", "the plant has no name; write name = \"…\"")
	}
	if f.TimeZone == "" {
		c.fail("", 0, "time_zone", "no time_zone; write one such as time_zone = \"America/Denver\"")
	} else {
		c.zone = c.loc("", 0, "time_zone", f.TimeZone)
	}
	p.Zone = c.zone
	p.Units = System(c.oneOf("", 0, "units", f.Units, "us", "us", "metric"))
	p.HourCoverage = orDefault(c.number("", 0, "hour_coverage", f.HourCoverage, 0.01, 1), DefaultHourCoverage)
	p.DayCoverage = orDefault(c.number("", 0, "day_coverage", f.DayCoverage, 0.01, 1), DefaultDayCoverage)
	p.MaxGap = DefaultMaxGap
	if f.MaxGap != "" {
		d, err := parseDuration(f.MaxGap)
		if err != nil {
			c.fail("", 0, "max_gap", "max_gap: %v", err)
		}
		p.MaxGap = d
	}
	p.Reference = c.spans("", 0, "reference", f.Reference)
	buildPoints(c, p, f.Points)
	buildBasins(c, p, f.Basins)
	buildFeeds(c, p, f.Feeds)
	buildLimits(c, p, f.Limits)
	buildSources(c, p, f.Sources)
	buildStateWords(c, p, f.StateWords)
	buildProcesses(c, p, f.Processes)
	buildReporting(c, p, f.Reporting)
	buildLabs(c, p, f.Labs)
	buildCodes(c, p, f.Codes)
	buildProbes(c, p, f.Probes)
	checkTags(c, p, tagsName)
	if len(c.errs) > 0 {
		return nil, errors.Join(c.errs...)
	}
	return p, nil
}

func orDefault(v, d float64) float64 {
	if math.IsNaN(v) {
		return d
	}
	return v
}

// checkTags makes sure that every point named in tags.csv is described. Points
// without an entry of their own in plant.toml are taken as plain points: only
// points with something to say need one.
func checkTags(c *checker, p *Plant, tagsName string) {
	for _, t := range p.Tags {
		if _, ok := p.Point(t.At); !ok {
			p.Points = append(p.Points, Point{Name: t.At, Title: strings.ReplaceAll(t.At, "_", " "), Fraction: math.NaN()})
		}
	}
	for i, b := range p.Basins {
		if _, ok := p.Tag(b.RunTag); !ok && b.RunTag != "" {
			c.fail("basin", i, "run_tag", "run_tag = %q is not in %s", b.RunTag, tagsName)
		}
		for _, kp := range [][2]string{{"outlet", b.Outlet}, {"flow_at", b.FlowAt}} {
			key, point := kp[0], kp[1]
			if point == "" {
				continue
			}
			if _, ok := p.Point(point); !ok {
				c.fail("basin", i, key, "%s = %q: no such point here, and no tag in %s is at it", key, point, tagsName)
			}
		}
		if !p.hasFlow(b.FlowAt) && b.FlowAt != "" {
			c.fail("basin", i, "flow_at", "basin %s: no tag in %s measures flow at %q", b.Name, tagsName, b.FlowAt)
		}
	}
	for i, l := range p.Limits {
		if _, ok := p.Point(l.At); !ok {
			c.fail("limit", i, "at", "at = %q: no such point here, and no tag in %s is at it", l.At, tagsName)
		}
	}
}

func buildPoints(c *checker, p *Plant, fs []filePoint) {
	for i, f := range fs {
		if f.Name == "" {
			c.fail("point", i, "name", "a point has no name")
		}
		if _, twice := p.Point(f.Name); twice {
			c.fail("point", i, "name", "point %q stands twice", f.Name)
		}
		p.Points = append(p.Points, Point{
			Name: f.Name, Title: f.Title, FlowAt: f.FlowAt, Basin: f.Basin, Train: f.Train,
			Fraction:      c.number("point", i, "fraction", f.Fraction, 0, 1),
			Dechlorinated: f.Dechlorinated, Outfall: f.Outfall, Influent: f.Influent,
		})
	}
	for i, q := range p.Points {
		seen := map[string]bool{q.Name: true}
		for at := q.FlowAt; at != ""; {
			if seen[at] {
				if at != q.Name || q.FlowAt != q.Name {
					c.fail("point", i, "flow_at", "flow_at of %q leads in a circle", q.Name)
				}
				break
			}
			seen[at] = true
			next, _ := p.Point(at)
			at = next.FlowAt
		}
	}
}

func buildProbes(c *checker, p *Plant, fs []fileProbe) {
	for i, f := range fs {
		t, ok := p.Tag(f.Tag)
		if !ok || t.Measures != quantity.ORP {
			c.fail("probe", i, "tag", "probe tag %q is not an ORP tag of tags.csv", f.Tag)
		}
		q := Probe{Tag: f.Tag, Reference: f.Reference}
		for _, s := range f.Cleaned {
			at, err := ParseTime(s, c.zone)
			if err != nil {
				c.fail("probe", i, "cleaned", "cleaned: %v", err)
				continue
			}
			q.Cleaned = append(q.Cleaned, at)
		}
		p.Probes = append(p.Probes, q)
	}
}

func buildSources(c *checker, p *Plant, fs []fileSource) {
	for i, f := range fs {
		s := Source{Name: f.Name, Files: f.Files, ZoneName: f.TimeZone, Encoding: f.Encoding,
			Tag: f.Tag, TimeColumn: f.TimeColumn, TagColumn: f.TagColumn, ValueColumn: f.ValueColumn,
			GoodWords: f.GoodWords, UncertainWords: f.Uncertain, BadWords: f.BadWords,
			DateOrder: c.oneOf("source", i, "date_order", f.DateOrder, "", "ymd", "dmy", "mdy"),
			Decimal:   c.oneOf("source", i, "decimal", f.Decimal, "", ".", ","),
			Layout:    c.oneOf("source", i, "layout", f.Layout, "", "long", "wide"),
			Codes:     c.oneOf("source", i, "quality_codes", f.Codes, "", "opc-da", "opc-ua", "zero-good", "one-good"),
			Zone:      c.zone,
		}
		switch {
		case f.Quality == nil:
		case strings.TrimSpace(*f.Quality) == "":
			s.Quality = "none"
		default:
			s.Quality = *f.Quality
		}
		means := map[string]string{}
		for _, list := range []struct {
			key   string
			words []string
		}{{"good_words", f.GoodWords}, {"uncertain_words", f.Uncertain}, {"bad_words", f.BadWords}} {
			for _, w := range list.words {
				k := strings.ToLower(strings.TrimSpace(w))
				if k == "" {
					c.fail("source", i, list.key, "%s holds an empty word", list.key)
				} else if other, twice := means[k]; twice && other != list.key {
					c.fail("source", i, list.key, "%q stands in %s and in %s; leave it in one", w, other, list.key)
				}
				means[k] = list.key
			}
		}
		if len(f.Files) == 0 {
			c.fail("source", i, "files", "source %q names no files; write files = [\"*.csv\"]", f.Name)
		}
		if f.TimeZone != "" {
			s.Zone = c.loc("source", i, "time_zone", f.TimeZone)
		}
		if f.ClockOffset != "" {
			neg := strings.HasPrefix(f.ClockOffset, "-") || strings.HasPrefix(f.ClockOffset, "−")
			d, err := parseDuration(strings.TrimLeft(f.ClockOffset, "-−+ "))
			if err != nil {
				c.fail("source", i, "clock_offset", "clock_offset: %v", err)
			}
			if neg {
				d = -d
			}
			s.ClockOffset = d
		}
		p.Sources = append(p.Sources, s)
	}
}

// buildStateWords takes the words of state tags; none may mean two things.
func buildStateWords(c *checker, p *Plant, f fileStateWords) {
	seen := map[string]string{}
	for _, l := range []struct {
		key   string
		words []string
	}{{"on", f.On}, {"off", f.Off}, {"bad", f.Bad}} {
		for _, w := range l.words {
			k := normalWords(w)
			switch other, twice := seen[k]; {
			case k == "":
				c.fail("state_words", 0, l.key, "state_words: an empty word under %s; blank cells say nothing", l.key)
			case twice && other != l.key:
				c.fail("state_words", 0, l.key, "state_words: %q stands under %s and under %s", w, other, l.key)
			}
			seen[k] = l.key
		}
	}
	p.StateWords = StateWords(f)
}

func buildProcesses(c *checker, p *Plant, fs []fileProcess) {
	for i, f := range fs {
		if f.Name == "" {
			c.fail("process", i, "name", "a process has no name")
		}
		if f.Title == "" {
			f.Title = strings.ReplaceAll(f.Name, "_", " ")
		}
		if f.LoadAt == "" {
			f.LoadAt = f.FlowAt
		}
		if !p.hasFlow(f.FlowAt) {
			c.fail("process", i, "flow_at", "process %s: no tag measures flow at %q; write flow_at, the point whose flow loads it", f.Name, f.FlowAt)
		}
		for _, d := range []map[string]float64{f.DesignAverage, f.DesignPeak} {
			for _, word := range slices.Sorted(maps.Keys(d)) {
				if !slices.Contains(ProcessRates(), word) {
					c.fail("process", i, "design_average", "process %s: %q is no loading rate; write one of %s", f.Name, word, strings.Join(ProcessRates(), ", "))
				}
			}
		}
		p.Processes = append(p.Processes, Process{
			Name: f.Name, Title: f.Title, FlowAt: f.FlowAt, LoadAt: f.LoadAt,
			Area:          c.in("process", i, "area", f.Area, "ft²"),
			Volume:        c.in("process", i, "volume", f.Volume, "gal"),
			WeirLength:    c.in("process", i, "weir_length", f.WeirLength, "ft"),
			MediaVolume:   c.in("process", i, "media_volume", f.MediaVolume, "ft³"),
			DesignAverage: f.DesignAverage, DesignPeak: f.DesignPeak,
		})
	}
}
