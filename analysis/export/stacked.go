package export

import (
	"fmt"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/sample"
)

// stacked warns where nearly all rows of a tag share their time with an earlier one
// while a column stands by that was not used: the time of day, most likely.
func (r *reader) stacked(t *table) {
	var tag string
	rows, lost := 0, 0
	for _, k := range t.Tracks {
		if k == nil || !k.Spec.Ruled || k.Led.Rows < 4 {
			continue
		}
		n := k.Led.Aside[ledger.Repeated] + k.Led.Aside[ledger.Conflicting]
		if n*10 >= k.Led.Rows*7 && n > lost {
			tag, rows, lost = k.Spec.Name, k.Led.Rows, n
		}
	}
	if lost == 0 {
		return
	}
	var headed, unused []string
	for i := range t.F.Cols {
		c := &t.F.Cols[i]
		if c.Head == "" || c.Role != layout.RoleSkip && (c.Role != layout.RoleValue || t.F.Shape == layout.Long || r.spec(t, c.Name, c.Head, c.Unit, c.Desc).Ruled && r.opt.Rules != nil) {
			continue
		}
		if b := cell.Bare(c.Head); sample.IsTimeHead(c.Head) || sample.ClockHeads[b] || sample.MinuteHeads[b] || strings.Contains(b, "hour") {
			headed = append(headed, c.Head)
		} else if c.Role == layout.RoleSkip || r.opt.Rules != nil {
			unused = append(unused, c.Head)
		}
	}
	if len(headed) > 0 {
		unused = headed
	}
	if len(unused) == 0 {
		return
	}
	if len(unused) > 6 {
		unused = append(unused[:6:6], "…")
	}
	r.message(ledger.Warning, t.M.Name, 0, fmt.Sprintf("%d of %d rows of %s stand at the same time as an earlier row. If the time of day stands in a column that was not used (%s), export date and time in one column, or head that column Time and write it as 06:15 or 0615",
		lost, rows, tag, strings.Join(unused, ", ")))
}
