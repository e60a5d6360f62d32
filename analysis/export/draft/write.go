package draft

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"weirbook/analysis/export"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/sheet"
)

func writeTags(gs []Guess) []byte {
	var rows []plant.TagRow
	num := func(v float64) string {
		if math.IsNaN(v) {
			return ""
		}
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	for _, g := range gs {
		note := strings.Join(append(g.Why, g.shows()), "; ")
		if g.spanned {
			note += "; span is a guess: write the instrument's"
		}
		if g.Ask != "" {
			note = "CHECK: " + g.Ask + " (" + note + ")"
		}
		unit := g.Unit
		if g.Measures == quantity.Other {
			unit = ""
		}
		rows = append(rows, plant.TagRow{Tag: g.Tag, Measures: string(g.Measures), At: g.At, Unit: unit, Reading: g.Reading.String(), Low: num(g.Low), High: num(g.High), Note: note})
	}
	text, err := sheet.Rows(rows, nil)
	if err != nil {
		panic(err) // a struct of strings, written to memory
	}
	// Always with a byte order mark, whatever is in it now: a spreadsheet on Windows
	// then saves the °C and m³/d that somebody adds as UTF-8.
	return append([]byte("\ufeff"), bytes.TrimPrefix(text, []byte("\ufeff"))...)
}

// shows says what the readings are like, for whoever answers.
func (g Guess) shows() string {
	l := g.looks
	if l.n == 0 {
		return "no reading"
	}
	if l.p1 == l.p999 {
		return fmt.Sprintf("reads %.4g", l.p50)
	}
	return fmt.Sprintf("reads %.4g to %.4g, middle %.4g", l.p1, l.p999, l.p50)
}

// printer writes a line.
type printer func(format string, a ...any)

// writePlant writes plant.toml. What only the plant can know stands as a
// comment with a question, so that the file loads as it is.
func writePlant(d *Draft, r *export.Result, opt Options) []byte {
	var b bytes.Buffer
	p := printer(func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) })
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
	waters := d.waters()
	if len(d.trains) > 0 {
		for _, line := range folded(question(d.trains, d.Guesses)) {
			p("# ? %s", line)
		}
	}
	for i := range waters {
		writePoints(p, &waters[i], len(d.trains) > 0)
	}
	p("")
	writeBasins(p, waters)
	p("")
	p("# --- chemical feeds ---")
	asked := map[quantity.Kind]bool{}
	for i := range waters {
		writeFeeds(p, d, &waters[i], asked)
	}
	writeProbes(p, d)
	writeLabs(p, d, r)
	writeSources(p, d, r)
	return b.Bytes()
}

func writeFeeds(p printer, d *Draft, w *water, asked map[quantity.Kind]bool) {
	names := map[string]int{}
	for _, g := range w.gs {
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
		// Of several trains the question is asked once, of the first.
		if title := strings.ReplaceAll(chemical, "_", " "); len(d.trains) == 0 {
			p("# ? How strong is the %s that %s meters? Dose needs it.", title, g.Tag)
		} else if !asked[g.Measures] {
			asked[g.Measures] = true
			p("# ? How strong is the %s that %s meters, and that of the other trains? Dose needs it.", title, g.Tag)
		}
		name := chemical
		if w.train != nil {
			name = w.train.name + "_" + chemical
		}
		if names[chemical]++; names[chemical] > 1 && len(d.trains) > 0 {
			name += fmt.Sprintf("_%d", names[chemical])
		}
		p("#[[feed]]")
		p("#name = %q", name)
		p("#chemical = %q", chemical)
		p("#tag = %q", g.Tag)
		p("#doses_at = %q", g.At)
		if w.flowAt != "" {
			p("#flow_at = %q", w.flowAt)
		}
		if strength != "" {
			p("%s", strength)
		}
	}
}

// writeSources shows how each file was read, and asks where the reader asked.
func writeSources(p printer, d *Draft, r *export.Result) {
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
		if strings.Contains(m.Text, "Write decimal = ") {
			p("#[[source]]")
			p("#files = [%q]", m.File)
			p("#decimal = \",\"   # or \".\"")
		}
	}
	for _, q := range d.Questions {
		if strings.HasPrefix(q, "clocks: ") {
			p("# ? %s", strings.TrimPrefix(q, "clocks: "))
		}
	}
}
