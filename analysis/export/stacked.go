package export

import (
	"fmt"
	"strings"
)

// stacked warns where nearly all rows of a tag share their time with an earlier one
// while a column stands by that was not used: the time of day, most likely.
func (r *reader) stacked(t *table) {
	var tag string
	rows, lost := 0, 0
	for _, k := range t.tracks {
		if k == nil || !k.spec.ruled || k.led.Rows < 4 {
			continue
		}
		n := k.led.Aside[Repeated] + k.led.Aside[Conflicting]
		if n*10 >= k.led.Rows*7 && n > lost {
			tag, rows, lost = k.spec.name, k.led.Rows, n
		}
	}
	if lost == 0 {
		return
	}
	var headed, unused []string
	for i := range t.f.cols {
		c := &t.f.cols[i]
		if c.head == "" || c.role != roleSkip && (c.role != roleValue || t.f.layout == long || r.spec(t, c.name, c.head, c.unit, c.desc).ruled && r.opt.Rules != nil) {
			continue
		}
		if b := bare(c.head); isTimeHead(c.head) || clockHeads[b] || minuteHeads[b] || strings.Contains(b, "hour") {
			headed = append(headed, c.head)
		} else if c.role == roleSkip || r.opt.Rules != nil {
			unused = append(unused, c.head)
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
	r.message(Warning, t.m.name, 0, fmt.Sprintf("%d of %d rows of %s stand at the same time as an earlier row. If the time of day stands in a column that was not used (%s), export date and time in one column, or head that column Time and write it as 06:15 or 0615",
		lost, rows, tag, strings.Join(unused, ", ")))
}
