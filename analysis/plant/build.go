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

func build(name, text, tagsName string, tags []Tag) (*Plant, error) {
	lines, err := places(name, text)
	if err != nil {
		return nil, err
	}
	c := &checker{name: name, rows: strings.Split(text, "\n"), lines: lines, zone: time.UTC}
	p := &Plant{Tags: tags}
	if !decode(c, text, p) {
		return nil, errors.Join(c.errs...)
	}
	if p.Name == "" {
		c.fail("", 0, "name", "the plant has no name; write name = \"…\"")
	}
	p.Zone, p.ZoneName = c.zone, c.zone.String()
	checkPoints(c, p)
	checkBasins(c, p)
	checkFeeds(c, p)
	checkLimits(c, p)
	checkSources(c, p)
	checkStateWords(c, p)
	checkProcesses(c, p)
	checkReporting(c, p)
	checkLabs(c, p)
	checkCodes(c, p)
	checkProbes(c, p)
	checkTags(c, p, tagsName)
	if len(c.errs) > 0 {
		return nil, errors.Join(c.errs...)
	}
	return p, nil
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

func checkPoints(c *checker, p *Plant) {
	twice := map[string]bool{}
	for i, q := range p.Points {
		if q.Name == "" {
			c.fail("point", i, "name", "a point has no name")
		}
		if twice[q.Name] {
			c.fail("point", i, "name", "point %q stands twice", q.Name)
		}
		twice[q.Name] = true
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

func checkProbes(c *checker, p *Plant) {
	for i, q := range p.Probes {
		t, ok := p.Tag(q.Tag)
		if !ok || t.Measures != quantity.ORP {
			c.fail("probe", i, "tag", "probe tag %q is not an ORP tag of tags.csv", q.Tag)
		}
	}
}

func checkSources(c *checker, p *Plant) {
	for i := range p.Sources {
		s := &p.Sources[i]
		// A blank says that no column is a quality; no key leaves it to the reader.
		if _, written := c.entry("source", i)["quality_column"]; written && strings.TrimSpace(s.Quality) == "" {
			s.Quality = "none"
		}
		means := map[string]string{}
		for _, list := range []struct {
			key   string
			words []string
		}{{"good_words", s.GoodWords}, {"uncertain_words", s.UncertainWords}, {"bad_words", s.BadWords}} {
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
		if len(s.Files) == 0 {
			c.fail("source", i, "files", "source %q names no files; write files = [\"*.csv\"]", s.Name)
		}
		s.Zone = c.zone
		if s.ZoneName != "" {
			s.Zone = c.loc("source", i, "time_zone", s.ZoneName)
		}
	}
}

// checkStateWords sees that none of the words of state tags means two things.
func checkStateWords(c *checker, p *Plant) {
	seen := map[string]string{}
	for _, l := range []struct {
		key   string
		words []string
	}{{"on", p.StateWords.On}, {"off", p.StateWords.Off}, {"bad", p.StateWords.Bad}} {
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
}

func checkProcesses(c *checker, p *Plant) {
	for i := range p.Processes {
		q := &p.Processes[i]
		if q.Name == "" {
			c.fail("process", i, "name", "a process has no name")
		}
		if q.Title == "" {
			q.Title = strings.ReplaceAll(q.Name, "_", " ")
		}
		if q.LoadAt == "" {
			q.LoadAt = q.FlowAt
		}
		if !p.hasFlow(q.FlowAt) {
			c.fail("process", i, "flow_at", "process %s: no tag measures flow at %q; write flow_at, the point whose flow loads it", q.Name, q.FlowAt)
		}
		for _, d := range []struct {
			key   string
			rates map[string]float64
		}{{"design_average", q.DesignAverage}, {"design_peak", q.DesignPeak}} {
			for _, word := range slices.Sorted(maps.Keys(d.rates)) {
				if !slices.Contains(ProcessRates(), word) {
					c.fail("process", i, d.key, "process %s: %q is no loading rate; write one of %s", q.Name, word, strings.Join(ProcessRates(), ", "))
				}
			}
		}
	}
}
