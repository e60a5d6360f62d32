package draft

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"

	"weirbook/analysis/export"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

func writeTags(gs []Guess) []byte {
	var b bytes.Buffer
	// With a byte order mark a spreadsheet on Windows takes the sheet for UTF-8,
	// shows °C and m³/d as they are and saves them so.
	b.WriteString("\ufeff")
	w := csv.NewWriter(&b)
	w.Write([]string{"tag", "measures", "at", "unit", "reading", "low", "high", "note"})
	num := func(v float64) string {
		if math.IsNaN(v) {
			return ""
		}
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	for _, g := range gs {
		note := strings.Join(g.Why, "; ")
		if g.Ask != "" {
			note = "CHECK: " + g.Ask + " (" + note + ")"
		}
		unit := g.Unit
		if g.Measures == quantity.Other {
			unit = ""
		}
		w.Write([]string{g.Tag, string(g.Measures), g.At, unit, g.Reading.String(), num(g.Low), num(g.High), note})
	}
	w.Flush()
	return b.Bytes()
}

// writePlant writes plant.toml. What only the plant can know stands as a
// comment with a question, so that the file loads as it is.
func writePlant(d *Draft, r *export.Result, opt Options) []byte {
	var b bytes.Buffer
	p := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	name := opt.PlantName
	if name == "" {
		name = "My plant"
	}
	p("# A first description of the plant, drafted from its exports. Lines that begin")
	p("# with a question mark behind # want an answer from you; everything else can stay.")
	p("# The rows of tags.csv were guessed too: read their notes, above all those that")
	p("# begin with CHECK.")
	p("")
	p("name = %q", name)
	if opt.ZoneName == "" {
		p("# ? In which time zone are the exports written? UTC is only a placeholder.")
		p("time_zone = \"UTC\"")
	} else {
		p("time_zone = %q", opt.ZoneName)
	}
	p("units = \"us\"   # or \"metric\"")
	p("")
	p("# --- where things are measured ---")
	flowAt := ""
	points := map[string]bool{}
	for _, g := range d.Guesses {
		points[g.At] = true
		if g.Measures == quantity.Flow && (flowAt == "" || g.At == basinOutlet) {
			flowAt = g.At
		}
	}
	for _, q := range []struct{ name, title, more string }{
		{influent, "influent", "influent = true"},
		{secondary, "after secondary treatment", ""},
		{basinInlet, "basin inlet", ""},
		{basinMiddle, "middle of the basin", ""},
		{basinOutlet, "basin outlet", ""},
		{outfall, "outfall", "outfall = true"},
	} {
		if !points[q.name] {
			continue
		}
		p("")
		p("[[point]]")
		p("name = %q", q.name)
		p("title = %q", q.title)
		if flowAt != "" && q.name != flowAt && q.name != influent {
			p("flow_at = %q", flowAt)
		}
		if q.more != "" {
			p("%s", q.more)
		}
		if q.name == outfall {
			dechlorinated := false
			for _, g := range d.Guesses {
				dechlorinated = dechlorinated || g.Measures == quantity.BisulfiteFeed || g.Measures == quantity.SulfurDioxideFeed ||
					g.At == outfall && g.Measures == quantity.ChlorineTotal && g.looks.p50 < 0.1
			}
			if dechlorinated {
				p("dechlorinated = true")
			} else {
				p("# ? Is the water dechlorinated before the outfall? Then write: dechlorinated = true")
			}
		}
	}
	p("")
	p("# --- contact basin ---")
	p("# ? How large is the chlorine contact basin, and how well is it baffled? Take the")
	p("# ? # off the lines below and write your figures: contact time and CT need them.")
	p("# ? The baffling factor T10/T comes from a tracer test or from the basin's shape.")
	p("#[[basin]]")
	p("#name = \"contact_basin\"")
	p("#title = \"chlorine contact basin\"")
	p("#outlet = %q", basinOutlet)
	if flowAt != "" {
		p("#flow_at = %q", flowAt)
	} else {
		p("#flow_at = \"?\"   # no flow was found in the exports; contact time needs one")
	}
	p("#volume = \"? gal\"")
	p("#baffling_factor = 0.3   # ? 0.3 is poor, 0.5 average, 0.7 superior")
	p("#[basin.require]")
	p("#ct = \"? mg·min/L\"        # ? what the permit or the design asks")
	p("#residual = \"chlorine_total\"")
	p("#source = \"? where it is written\"")
	writeFeeds(p, d, flowAt)
	p("")
	p("# --- ORP probes ---")
	for _, g := range d.Guesses {
		if g.Measures == quantity.ORP && g.Reading != series.Grab {
			p("# ? Which reference electrode has %s?", g.Tag)
			p("#[[probe]]")
			p("#tag = %q", g.Tag)
			p("#reference_electrode = \"Ag/AgCl 3 M KCl\"")
		}
	}
	writeSources(p, d, r)
	return b.Bytes()
}

func writeFeeds(p func(string, ...any), d *Draft, flowAt string) {
	p("")
	p("# --- chemical feeds ---")
	for _, g := range d.Guesses {
		var chemical, strength string
		switch g.Measures {
		case quantity.HypochloriteFeed:
			chemical, strength = "hypochlorite", "#strength = 12.5\n#strength_as = \"trade percent\""
		case quantity.BisulfiteFeed:
			chemical, strength = "bisulfite", "#strength = 38\n#strength_as = \"weight percent\"\n#specific_gravity = 1.33"
		case quantity.ChlorineFeed:
			chemical = "chlorine"
		case quantity.SulfurDioxideFeed:
			chemical = "sulfur_dioxide"
		default:
			continue
		}
		p("# ? How strong is the %s that %s meters? Dose needs it.", strings.ReplaceAll(chemical, "_", " "), g.Tag)
		p("#[[feed]]")
		p("#name = %q", chemical)
		p("#chemical = %q", chemical)
		p("#tag = %q", g.Tag)
		p("#doses_at = %q", g.At)
		if flowAt != "" {
			p("#flow_at = %q", flowAt)
		}
		if strength != "" {
			p("%s", strength)
		}
	}
}

// writeSources shows how each file was read, and asks where the reader asked.
func writeSources(p func(string, ...any), d *Draft, r *export.Result) {
	p("")
	p("# --- how the exports were read ---")
	for _, f := range r.Files {
		p("# %s: %s; clock %s", f.Name, f.Format, f.Zone)
	}
	for _, m := range r.Messages {
		if m.File == "" || m.Severity == export.Note {
			continue
		}
		p("# ? %s: %s", m.File, strings.ReplaceAll(m.Text, "\n", " "))
		if strings.Contains(m.Text, "date_order") {
			p("#[[source]]")
			p("#files = [%q]", m.File)
			p("#date_order = \"mdy\"   # or \"dmy\"")
		}
	}
	for _, q := range d.Questions {
		if strings.HasPrefix(q, "clocks: ") {
			p("# ? %s", strings.TrimPrefix(q, "clocks: "))
		}
	}
}
