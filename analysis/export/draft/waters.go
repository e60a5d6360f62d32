package draft

import (
	"strings"

	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// water is a train's own water or, with train nil, that of the plant: of its only
// train, or of all its trains together.
type water struct {
	train  *train
	gs     []Guess
	flowAt string // the point whose flow passes the basin; "" where no flow was found
	shared bool   // flowAt is that of all trains
	final  bool   // nothing common is measured at the outfall
	after  bool   // of the common water: every train's is dechlorinated
}

// waters gives the trains' water, by train, and the common one last.
func (d *Draft) waters() []water {
	var out []water
	for _, t := range d.trains {
		out = append(out, water{train: t})
	}
	out = append(out, water{})
	common := &out[len(out)-1]
	for i := range out {
		w := &out[i]
		outlet := basinOutlet
		if w.train != nil {
			outlet = w.train.point(basinOutlet)
		}
		for _, g := range d.Guesses {
			if g.Train == "" && w.train != nil || w.train != nil && g.Train != w.train.label || w.train == nil && g.Train != "" {
				continue
			}
			w.gs = append(w.gs, g)
			if g.Measures == quantity.Flow && (w.flowAt == "" || g.At == outlet) {
				w.flowAt = g.At
			}
		}
	}
	for i := range out {
		if w := &out[i]; w.train != nil {
			w.final = !common.at(outfall)
			common.after = (i == 0 || common.after) && w.dechlorinated(w.train.point(outfall))
			if w.flowAt == "" && common.flowAt != "" {
				w.flowAt, w.shared = common.flowAt, true
			}
		}
	}
	return out
}

func (w *water) at(point string) bool {
	for _, g := range w.gs {
		if g.At == point {
			return true
		}
	}
	return false
}

// dechlorinated says whether a chemical or a residual near zero tells of it.
func (w *water) dechlorinated(point string) bool {
	for _, g := range w.gs {
		if g.Measures == quantity.BisulfiteFeed || g.Measures == quantity.SulfurDioxideFeed ||
			g.At == point && g.Measures == quantity.ChlorineTotal && g.looks.p50 < 0.1 {
			return true
		}
	}
	return false
}

// writePoints writes the points at which something is measured. several says
// that the plant has trains.
func writePoints(p printer, w *water, several bool) {
	for _, q := range []struct{ name, title, common, more string }{
		{influent, "influent", "influent of all trains", "influent = true"},
		{secondary, "after secondary treatment", "after secondary treatment, all trains", ""},
		{basinInlet, "basin inlet", "before the basins", ""},
		{basinMiddle, "middle of the basin", "middle of a basin, no train named", ""},
		{basinOutlet, "basin outlet", "after the basins, all trains", ""},
		{outfall, "outfall", "common outfall", "outfall = true"},
	} {
		name, title, last := q.name, q.title, q.name == outfall
		switch {
		case w.train != nil:
			name, title = w.train.point(q.name), w.train.label+" "+q.title
			if w.train.isBasin() {
				title = w.train.label + " " + strings.TrimPrefix(q.title, "basin ")
			}
			if last {
				title, q.more = w.train.label+", dechlorinated", ""
				if w.final {
					q.more = "outfall = true   # nothing was found at a common outfall"
				}
			}
		case several:
			title = q.common
		}
		// A basin needs its outlet though all may be measured elsewhere.
		if !w.at(name) && !(w.train != nil && w.train.basin && q.name == basinOutlet) {
			continue
		}
		p("")
		p("[[point]]")
		p("name = %q", name)
		p("title = %q", title)
		if w.train != nil {
			p("train = %q", w.train.label)
		}
		if w.flowAt != "" && !w.shared && name != w.flowAt && q.name != influent {
			p("flow_at = %q", w.flowAt)
		}
		if q.more != "" {
			p("%s", q.more)
		}
		if last {
			if w.after || w.dechlorinated(name) {
				p("dechlorinated = true")
			} else {
				p("#dechlorinated = \"?\"   # true where chlorine is taken out before the outfall, or false")
			}
		}
	}
}

// writeBasins writes the basins as comments: only the plant knows the volumes.
func writeBasins(p printer, waters []water) {
	if len(waters) == 1 {
		p("# --- contact basin ---")
		p("# ? How large is the chlorine contact basin, and how well is it baffled? Take the")
		p("# ? # off the lines below and write your figures: contact time and CT need them.")
	} else {
		p("# --- contact basins ---")
		p("# ? How large are the chlorine contact basins, and how well are they baffled? Take the")
		p("# ? # off the lines below and write your figures: contact time and CT need them.")
		p("# ? Where one basin takes another's water, name that in it: after = \"…\"")
	}
	p("# ? The baffling factor T10/T comes from a tracer test or from the basin's shape.")
	for i := range waters {
		w := &waters[i]
		name, title, outlet, residual := "contact_basin", "chlorine contact basin", basinOutlet, quantity.ChlorineTotal
		if len(waters) > 1 {
			if w.train == nil || !w.train.basin {
				continue
			}
			name, title, outlet = w.train.name+"_basin", w.train.label+" chlorine contact basin", w.train.point(basinOutlet)
			if w.train.isBasin() {
				name, title = w.train.name, w.train.label
			}
			residual = w.residual(outlet)
		}
		p("")
		p("#[[basin]]")
		p("#name = %q", name)
		p("#title = %q", title)
		if w.train != nil {
			p("#train = %q", w.train.label)
		}
		p("#outlet = %q", outlet)
		if w.flowAt != "" {
			p("#flow_at = %q", w.flowAt)
		} else {
			p("#flow_at = \"?\"   # no flow was found in the exports; contact time needs one")
		}
		if w.shared {
			p("#flow_share = %.2g   # ? which part of the flow of all trains passes this basin; equal parts are a guess", 1/float64(len(waters)-1))
		}
		p("#volume = \"? gal\"           # of the water in it; %s", "from drawings or the permit's application")
		p("#baffling_factor = \"?\"     # T10/T of a tracer test; without one, often 0.3 poor, 0.5 average, 0.7 superior")
		p("")
		p("#[basin.require]")
		p("#ct = \"? mg·min/L\"         # that the permit or the design asks for")
		p("#contact_time = \"? min\"    # that the permit or the design asks for")
		p("#residual_min = \"? mg/L\"   # lowest residual at the outlet that the permit or the design asks for")
		p("#residual = %q", residual)
		p("#judged_by = \"dynamic\"     # ? the water leaving; or \"steady\", the lowest residual at the hour's peak flow: which does the permit mean?")
	}
}

// residual is the one measured at a basin's outlet, the total one if both are.
func (w *water) residual(outlet string) quantity.Kind {
	free := false
	for _, g := range w.gs {
		if g.At == outlet && g.Measures == quantity.ChlorineTotal {
			return quantity.ChlorineTotal
		}
		free = free || g.At == outlet && g.Measures == quantity.ChlorineFree
	}
	if free {
		return quantity.ChlorineFree
	}
	return quantity.ChlorineTotal
}

func writeProbes(p printer, d *Draft) {
	p("")
	p("# --- ORP probes: take the # off where this is the probe's reference electrode ---")
	for _, g := range d.Guesses {
		if g.Measures == quantity.ORP && g.Reading != series.Grab {
			p("")
			p("#[[probe]]")
			p("#tag = %q", g.Tag)
			p("#reference_electrode = \"Ag/AgCl 3 M KCl\"")
		}
	}
}

// folded breaks a text into lines for a comment.
func folded(s string) []string {
	var out []string
	line := ""
	for _, w := range strings.Fields(s) {
		if line != "" && len(line)+len(w) > 76 {
			out, line = append(out, line), ""
		}
		line = strings.TrimSpace(line + " " + w)
	}
	return append(out, line)
}
