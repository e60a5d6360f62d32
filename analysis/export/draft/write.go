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

// gapRow is a row of tags.csv with the longest stretch to bridge.
type gapRow struct {
	plant.TagRow
	MaxGap string `csv:"max_gap"`
}

func writeTags(gs []Guess) []byte {
	var rows []gapRow
	gaps := false
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
		gap := ""
		if g.MaxGap > 0 {
			gap = fmt.Sprintf("%d min", g.MaxGap)
			gaps = true
		}
		rows = append(rows, gapRow{MaxGap: gap, TagRow: plant.TagRow{Tag: g.Tag, Measures: string(g.Measures), At: g.At, Unit: unit, Reading: g.Reading.String(), Low: num(g.Low), High: num(g.High), Note: note}})
	}
	text, err := sheet.Rows(rows, nil)
	if !gaps {
		var short []plant.TagRow
		for _, r := range rows {
			short = append(short, r.TagRow)
		}
		text, err = sheet.Rows(short, nil)
	}
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
	p("# A first description of the plant, drafted from its exports. Where a question mark")
	p("# stands an answer is wanted: write it, and take the # off its block. Or let")
	p("# weirbook ask put the questions one by one; what is not known stays as it is.")
	p("# The rows of tags.csv were guessed too: their notes say why, and CHECK asks.")
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
	p("# --- chemical feeds: dose needs the strength ---")
	for i := range waters {
		writeFeeds(p, d, &waters[i])
	}
	writeProbes(p, d)
	writeLimits(p, d)
	writeLabs(p, d, r)
	writeSources(p, d, r)
	return b.Bytes()
}

// chemicalOf is the chemical of a kind of feed; "" of other kinds.
func chemicalOf(k quantity.Kind) string {
	switch k {
	case quantity.HypochloriteFeed:
		return "hypochlorite"
	case quantity.BisulfiteFeed:
		return "bisulfite"
	case quantity.ChlorineFeed:
		return "chlorine"
	case quantity.SulfurDioxideFeed:
		return "sulfur_dioxide"
	}
	return ""
}

// feedBlock is a feed's block of plant.toml, as a comment; nil of other kinds.
func feedBlock(tag, name string, k quantity.Kind, at, flowAt string) []string {
	chemical := chemicalOf(k)
	if chemical == "" {
		return nil
	}
	out := []string{"#[[feed]]", fmt.Sprintf("#name = %q", name), fmt.Sprintf("#chemical = %q", chemical), fmt.Sprintf("#tag = %q", tag), fmt.Sprintf("#doses_at = %q", at)}
	if flowAt != "" {
		out = append(out, fmt.Sprintf("#flow_at = %q", flowAt))
	}
	switch k {
	case quantity.HypochloriteFeed:
		out = append(out, `#strength = "?"            # as delivered; trade percent is g/L available chlorine / 10`, `#strength_as = "trade percent"`)
	case quantity.BisulfiteFeed:
		out = append(out, `#strength = "?"            # as delivered, percent NaHSO3 by weight`, `#strength_as = "weight percent"`, `#specific_gravity = "?"    # from the delivery note`)
	}
	return out
}

func writeFeeds(p printer, d *Draft, w *water) {
	names := map[string]int{}
	for _, g := range w.gs {
		name := chemicalOf(g.Measures)
		if name == "" {
			continue
		}
		chemical := name
		if w.train != nil {
			name = w.train.name + "_" + chemical
		}
		if names[chemical]++; names[chemical] > 1 {
			name += fmt.Sprintf("_%d", names[chemical])
		}
		p("")
		for _, line := range feedBlock(g.Tag, name, g.Measures, g.At, w.flowAt) {
			p("%s", line)
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
			p("#date_order = \"?\"   # mdy (month first), dmy (day first) or ymd")
		}
		if strings.Contains(m.Text, "Write decimal = ") {
			p("#[[source]]")
			p("#files = [%q]", m.File)
			p("#decimal = \"?\"   # the sign before the decimals: , or .")
		}
	}
	for _, q := range d.Questions {
		if strings.HasPrefix(q, "clocks: ") {
			p("# ? %s", strings.TrimPrefix(q, "clocks: "))
		}
	}
}
