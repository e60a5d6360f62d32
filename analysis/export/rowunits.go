package export

import (
	"fmt"
	"strings"

	"weirbook/analysis/quantity"
)

// unitPlan says how the units that the rows of one file state for a tag are
// taken. It is made of all of them, after a pass over the file.
type unitPlan struct {
	byRow bool   // they differ: each row is converted from its own
	base  string // the unit that the tag then counts in, where tags.csv states none
	blank string // the unit of rows that state none
	ask   bool   // rows that state none are set aside
	rows  bool   // a tag's declared unit is that of its rows, not of a heading
}

// unitPlans looks at the units that a pass met; nil where each tag has one and
// all its rows state it.
func (r *reader) unitPlans(t *table, p *passed) map[string]unitPlan {
	if t.f.count(roleUnit) == 0 {
		return nil
	}
	met := map[string]map[string]bool{}
	specs := map[string]*tagSpec{}
	for id, s := range p.tab.specs {
		if id >= len(p.stats) || p.stats[id] == nil {
			continue
		}
		specs[s.name] = s
		if met[s.name] == nil {
			met[s.name] = map[string]bool{}
		}
		if t.f.layout == long {
			met[s.name][s.declared] = true
			continue
		}
		for u := range p.units[id] {
			if u == "" {
				u = s.declared // of the heading
			}
			met[s.name][u] = true
		}
	}
	var plans map[string]unitPlan
	for _, name := range sortedKeys(met) {
		s := specs[name]
		if !s.ruled {
			continue
		}
		blank := met[name][""]
		delete(met[name], "")
		list := sortedKeys(met[name])
		var known []quantity.Unit
		base := ""
		for _, w := range list {
			u, err := quantity.ParseUnit(w)
			if err != nil {
				continue
			}
			if base == "" {
				base = w
			}
			same := false
			for _, k := range known {
				same = same || k == u
			}
			if !same {
				known = append(known, u)
			}
		}
		plan := unitPlan{base: base}
		plan.byRow = len(known) > 1 || len(known) == 1 && len(known) < len(list)
		stated := s.rule.HasUnit
		if t.f.layout == wide && len(known) == 1 && s.kind != quantity.Other && r.opt.Rules != nil {
			heading, err := quantity.ParseUnit(s.declared)
			switch {
			case stated && s.rule.Unit != known[0] && !s.rowUnit:
				r.message(Warning, t.m.name, t.f.skip, fmt.Sprintf("tag %s: the rows say %s, tags.csv says %s; read as %s. Correct whichever is wrong", name, base, s.rule.Unit.Symbol, s.rule.Unit.Symbol))
			case !stated && s.declared != "" && (err != nil || heading != known[0]):
				plan.byRow = true
			}
		}
		switch {
		case stated: // of rows that state none, too
		case plan.byRow:
			plan.ask = blank
		case len(known) == 1 && (blank || t.f.layout == wide && s.declared == ""):
			plan.blank = base
		}
		if !plan.byRow && plan.blank == "" {
			continue
		}
		if plan.byRow {
			text := "tag " + name + ": its rows state units that differ (" + strings.Join(list, ", ") + "); "
			switch {
			case r.opt.Rules == nil:
				text += "they are not converted here, only once tags.csv says what the tag measures"
			case s.kind == quantity.Other:
				text += "as tags.csv says that it measures \"other\", none is converted. Write what it measures"
			default:
				text += "each row is converted from its own"
				if plan.ask && blank {
					text += "; rows that state none are set aside. Write the unit in tags.csv if they all have one"
				}
			}
			r.message(Warning, t.m.name, t.f.skip, text)
		} else if blank {
			r.message(Note, t.m.name, t.f.skip, fmt.Sprintf("tag %s: rows that state no unit are taken in %s, as its others are", name, base))
		}
		if r.opt.Rules == nil || s.kind == quantity.Other {
			continue
		}
		if plans == nil {
			plans = map[string]unitPlan{}
		}
		plans[name] = plan
	}
	return plans
}

// meetUnit notes a unit that stands in a column beside a wide file's values.
func (w *worker) meetUnit(tag int, unit []byte) {
	for len(w.unitsMet) <= tag {
		w.unitsMet = append(w.unitsMet, nil)
	}
	if w.unitsMet[tag][string(unit)] {
		return
	}
	if w.unitsMet[tag] == nil {
		w.unitsMet[tag] = map[string]bool{}
	}
	if len(w.unitsMet[tag]) < 100 {
		w.unitsMet[tag][cleanName(unit)] = true
	}
}

// metUnits gathers what the workers met.
func metUnits(ws []*worker) map[int]map[string]bool {
	out := map[int]map[string]bool{}
	for _, w := range ws {
		for tag, m := range w.unitsMet {
			if len(m) > 0 && out[tag] == nil {
				out[tag] = map[string]bool{}
			}
			for u := range m {
				out[tag][u] = true
			}
		}
	}
	return out
}
