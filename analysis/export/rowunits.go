package export

import (
	"fmt"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/merge"
	"weirbook/analysis/quantity"
)

// unitPlans looks at the units that a pass met; nil where each tag has one and
// all its rows state it.
func (r *reader) unitPlans(t *table, p *merge.PassResult) map[string]cell.UnitPlan {
	if t.F.Count(layout.RoleUnit) == 0 {
		return nil
	}
	met := map[string]map[string]bool{}
	specs := map[string]*cell.TagSpec{}
	for id, s := range p.Tab.Specs {
		if id >= len(p.Stats) || p.Stats[id] == nil {
			continue
		}
		specs[s.Name] = s
		if met[s.Name] == nil {
			met[s.Name] = map[string]bool{}
		}
		if t.F.Shape == layout.Long {
			met[s.Name][s.Declared] = true
			continue
		}
		for u := range p.Units[id] {
			if u == "" {
				u = s.Declared // of the heading
			}
			met[s.Name][u] = true
		}
	}
	var plans map[string]cell.UnitPlan
	for _, name := range lex.SortedKeys(met) {
		s := specs[name]
		if !s.Ruled {
			continue
		}
		blank := met[name][""]
		delete(met[name], "")
		list := lex.SortedKeys(met[name])
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
		plan := cell.UnitPlan{Base: base}
		plan.ByRow = len(known) > 1 || len(known) == 1 && len(known) < len(list)
		stated := s.Rule.HasUnit
		if t.F.Shape == layout.Wide && len(known) == 1 && s.Kind != quantity.Other && r.opt.Rules != nil {
			heading, err := quantity.ParseUnit(s.Declared)
			switch {
			case stated && s.Rule.Unit != known[0] && !s.RowUnit:
				r.message(ledger.Warning, t.M.Name, t.F.Skip, fmt.Sprintf("tag %s: the rows say %s, tags.csv says %s; read as %s. Correct whichever is wrong", name, base, s.Rule.Unit.Symbol, s.Rule.Unit.Symbol))
			case !stated && s.Declared != "" && (err != nil || heading != known[0]):
				plan.ByRow = true
			}
		}
		switch {
		case stated: // of rows that state none, too
		case plan.ByRow:
			plan.Ask = blank
		case len(known) == 1 && (blank || t.F.Shape == layout.Wide && s.Declared == ""):
			plan.Blank = base
		}
		if !plan.ByRow && plan.Blank == "" {
			continue
		}
		if plan.ByRow {
			text := "tag " + name + ": its rows state units that differ (" + strings.Join(list, ", ") + "); "
			switch {
			case r.opt.Rules == nil:
				text += "they are not converted here, only once tags.csv says what the tag measures"
			case s.Kind == quantity.Other:
				text += "as tags.csv says that it measures \"other\", none is converted. Write what it measures"
			default:
				text += "each row is converted from its own"
				if plan.Ask && blank {
					text += "; rows that state none are set aside. Write the unit in tags.csv if they all have one"
				}
			}
			r.message(ledger.Warning, t.M.Name, t.F.Skip, text)
		} else if blank {
			r.message(ledger.Note, t.M.Name, t.F.Skip, fmt.Sprintf("tag %s: rows that state no unit are taken in %s, as its others are", name, base))
		}
		if r.opt.Rules == nil || s.Kind == quantity.Other {
			continue
		}
		if plans == nil {
			plans = map[string]cell.UnitPlan{}
		}
		plans[name] = plan
	}
	return plans
}

// unitsDiffer says whether another table of the same file states another unit that is
// known in a tag's heading.
func (r *reader) unitsDiffer(t *table, name, declared string) bool {
	u, err := quantity.ParseUnit(declared)
	if err != nil || declared == "" || t.file == "" && t.next == nil {
		return false
	}
	differs := func(o *table) bool {
		if o == nil || o == t || o.F == nil {
			return false
		}
		for i := range o.F.Cols {
			c := &o.F.Cols[i]
			if c.Role == layout.RoleValue && (c.Name == name || c.Head == name) && c.Unit != "" {
				if v, err := quantity.ParseUnit(c.Unit); err == nil && v != u {
					return true
				}
			}
		}
		return false
	}
	if differs(t.next) {
		return true
	}
	for _, o := range r.tables {
		if o.baseFile() == t.baseFile() && differs(o) {
			return true
		}
	}
	return false
}

// baseFile is the name of the file that a table stands in.
func (t *table) baseFile() string {
	if t.file != "" {
		return t.file
	}
	return t.M.Name
}
