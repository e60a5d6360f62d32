package draft

import (
	"weirbook/analysis/export"
	"weirbook/analysis/lab"
	"weirbook/analysis/quantity"
)

// writeLabs asks for the limits of the laboratory's methods where the exports hold
// results that need them: ND, BDL, <RL, TNTC.
func writeLabs(p printer, d *Draft, r *export.Result) {
	kinds := map[string]quantity.Kind{}
	for _, g := range d.Guesses {
		kinds[g.Tag] = g.Measures
	}
	asked := map[quantity.Kind]bool{}
	for _, t := range r.Tags {
		k, ok := kinds[t.Name]
		info, known := quantity.Of(k)
		if !ok || !known || k == quantity.Other || asked[k] {
			continue
		}
		below, many := "", ""
		for _, w := range t.Words {
			switch m, _ := lab.Of(w.Text); {
			case m.Below():
				below = w.Text
			case m == lab.TooMany:
				many = w.Text
			}
		}
		if below == "" && many == "" {
			continue
		}
		if len(asked) == 0 {
			p("")
			p("# --- laboratory ---")
		}
		asked[k] = true
		p("#[[lab]]")
		p("#parameter = %q", k)
		if below != "" {
			p("#reporting_limit = \"? %s\"   # ? what does %q stand for", info.Working.Symbol, below)
		}
		if many != "" {
			p("#upper_limit = \"? %s\"   # ? what is the most that the method counts; %q is more", info.Working.Symbol, many)
		}
	}
}
