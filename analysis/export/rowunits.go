package export

import (
	"fmt"
	"slices"
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
		if !specs[name].Ruled {
			continue
		}
		blank := met[name][""]
		delete(met[name], "")
		list := lex.SortedKeys(met[name])
		plan := r.unitPlan(t, specs[name], list, blank)
		if !plan.ByRow && plan.Blank == "" {
			continue
		}
		r.reportUnits(t, specs[name], list, plan, blank)
		if r.opt.Rules == nil || specs[name].Kind == quantity.Other {
			continue
		}
		if plans == nil {
			plans = map[string]cell.UnitPlan{}
		}
		plans[name] = plan
	}
	return plans
}

// unitPlan decides how the units that a tag's rows state are taken; blank says that some
// state none.
func (r *reader) unitPlan(t *table, s *cell.TagSpec, list []string, blank bool) cell.UnitPlan {
	var known []quantity.Unit
	plan := cell.UnitPlan{}
	for _, w := range list {
		u, err := quantity.ParseUnit(w)
		if err != nil {
			continue
		}
		if plan.Base == "" {
			plan.Base = w
		}
		if !slices.Contains(known, u) {
			known = append(known, u)
		}
	}
	plan.ByRow = len(known) > 1 || len(known) == 1 && len(known) < len(list)
	stated := s.Rule.HasUnit
	if t.F.Shape == layout.Wide && len(known) == 1 && s.Kind != quantity.Other && r.opt.Rules != nil {
		heading, err := quantity.ParseUnit(s.Declared)
		switch {
		case stated && s.Rule.Unit != known[0] && !s.RowUnit:
			r.message(ledger.Warning, t.M.Name, t.F.Skip, fmt.Sprintf("tag %s: the rows say %s, tags.csv says %s; read as %s. Correct whichever is wrong", s.Name, plan.Base, s.Rule.Unit.Symbol, s.Rule.Unit.Symbol))
		case !stated && s.Declared != "" && (err != nil || heading != known[0]):
			plan.ByRow = true
		}
	}
	switch {
	case stated: // of rows that state none, too
	case plan.ByRow:
		plan.Ask = blank
	case len(known) == 1 && (blank || t.F.Shape == layout.Wide && s.Declared == ""):
		plan.Blank = plan.Base
	}
	return plan
}

// reportUnits says how the units of a tag's rows are taken.
func (r *reader) reportUnits(t *table, s *cell.TagSpec, list []string, plan cell.UnitPlan, blank bool) {
	if !plan.ByRow {
		if blank {
			r.message(ledger.Note, t.M.Name, t.F.Skip, fmt.Sprintf("tag %s: rows that state no unit are taken in %s, as its others are", s.Name, plan.Base))
		}
		return
	}
	text := "tag " + s.Name + ": its rows state units that differ (" + strings.Join(list, ", ") + "); "
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

// unstatedUnits names the tags whose unit neither tags.csv nor an export states, of kinds
// that are measured in several: they are read in the usual one.
func (r *reader) unstatedUnits() {
	var read []string
	for _, name := range lex.SortedKeys(r.opt.Rules) {
		rule, i := r.opt.Rules[name], r.info[name]
		info, ok := quantity.Of(rule.Kind)
		if !ok || rule.HasUnit || i == nil || i.units || i.Numbers == 0 || !severalUnits(info) {
			continue
		}
		read = append(read, name+" as "+info.Working.Symbol)
	}
	const most = 12
	more := ""
	if n := len(read); n > most {
		read, more = read[:most], fmt.Sprintf(" and %d more", n-most)
	}
	if len(read) > 0 {
		r.message(ledger.Warning, "", 0, "neither tags.csv nor an export states the unit of these tags; they are read in the usual one: "+strings.Join(read, ", ")+more+". Write the units in tags.csv")
	}
}

// severalUnits says whether plants measure a kind in units that are easily mistaken.
func severalUnits(i quantity.Info) bool {
	if i.Kind == quantity.ChlorineTotal || i.Kind == quantity.ChlorineFree { // mg/L, and µg/L at an outfall
		return true
	}
	return slices.ContainsFunc(i.Accepts, func(d quantity.Dimension) bool {
		return d == quantity.VolumeRate || d == quantity.MassRate || d == quantity.Volume || d == quantity.Temperature || d == quantity.Length
	})
}
