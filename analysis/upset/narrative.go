package upset

import (
	"fmt"
	"strings"
)

// Narrative drafts the incident narrative in Markdown, for the process lead to
// edit and send. It says nothing that the record does not show, and marks what
// only the plant can add.
func Narrative(in Input, x Explanation) string {
	var b strings.Builder
	p := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	e := &x.Episode
	ref := e.Start
	p("# Draft incident narrative: %s", in.Plant)
	p("")
	p("Draft from the plant's exported readings, for a person to check, complete and sign. Times are on the plant's clock. [Square brackets] mark what the record cannot say.")
	p("")
	p("## What happened")
	p("")
	for _, s := range Headline(&in, &x) {
		p("- %s", s)
	}
	p("")
	p("## What moved, in order")
	p("")
	if len(x.Moves) == 0 {
		p("No signal left its normal range in the %s before the episode or during it.", span(x.Settings.Look.Milliseconds()))
	} else {
		p("Normal is the same hours of %s. The order is that of the water at the basin outlet: a change upstream is moved on by its travel time. Moves less than %s apart are told in the order of the water's way, because the data cannot tell them apart.", NormalDays(&x), span(x.Settings.Tie.Milliseconds()))
		p("")
		for i, m := range x.Moves {
			p("%d. %s", i+1, MoveLine(&in, &x, m))
		}
	}
	for i, m := range x.Aside {
		if i == 0 {
			p("")
			p("Also moved, but neither cause nor result of this:")
			p("")
		}
		p("- %s.", m.Words(ref, in.Loc))
	}
	p("")
	p("## Likely cause")
	p("")
	p("%s How sure: %s.", x.Cause.Says, x.Cause.Level)
	for _, s := range x.Cause.For {
		p("- For: %s.", strings.TrimRight(s, "."))
	}
	for _, s := range x.Cause.Against {
		p("- Against: %s.", strings.TrimRight(s, "."))
	}
	p("")
	if len(x.Split.Parts) > 0 {
		p("## Where the CT went")
		p("")
		for _, s := range SplitLines(&in, &x) {
			p("- %s", s)
		}
		p("")
	}
	p("## Checked and ruled out")
	p("")
	any := false
	for _, c := range x.Ruled {
		if c.Ruled {
			any = true
			p("- %s.", upperFirst(c.Says))
		}
	}
	if !any {
		p("Nothing could be ruled out.")
	}
	p("")
	p("## Were the instruments to be trusted")
	p("")
	for _, s := range TrustLines(&in, &x) {
		p("- %s", s)
	}
	p("")
	p("## Receiving water")
	p("")
	for _, s := range ReceivingLines(&in, &x) {
		p("- %s", s)
	}
	if ss := samplesIn(&in, &x); len(ss) > 0 {
		for _, s := range ss {
			p("- E. coli %s%s at %s (limit %s).", s.Qualifier, with(s.Value, s.Unit), clock(s.At, ref, in.Loc), num(s.Limit))
		}
	}
	p("")
	p("## Response seen in the record")
	p("")
	for _, s := range ResponseLines(&in, &x) {
		p("- %s", s)
	}
	p("- [What people did, who was called and when.]")
	p("")
	if log := x.Logged(&in); len(log) > 0 {
		p("## What the plant's log says")
		p("")
		for _, n := range log {
			p("- %s", n.Says)
		}
		p("")
	}
	p("## Not known")
	p("")
	for _, s := range x.Unknown {
		p("- %s", upperFirst(s))
	}
	p("- [Weather, maintenance, deliveries, discharges by others at the time.]")
	p("")
	p("## To be added by the plant")
	p("")
	p("- [Whether and when the permit authority and downstream users were told, as the permit asks.]")
	p("- [What has been done so that it does not happen again.]")
	p("- [Name and licence of the person who checked this draft.]")
	p("")
	p("The figures come from exported readings and are advisory. Whether a permit condition was met is for the permit and the permit authority to say.")
	return b.String()
}

// NormalDays says which days the normal was taken from.
func NormalDays(x *Explanation) string {
	d := x.Normal.Days
	kind := "days"
	if x.Normal.Like != "" {
		kind = x.Normal.Like
	}
	switch {
	case len(d) == 0:
		return "no clean day (none was found)"
	case x.Normal.After:
		return fmt.Sprintf("%d clean %s around it (%s)", len(d), kind, list(d))
	case len(d) == 1:
		return "the one clean day before (" + d[0] + ")"
	}
	return fmt.Sprintf("the %d clean %s before (%s to %s)", len(d), kind, d[0], d[len(d)-1])
}

func list(s []string) string { return strings.Join(s, ", ") }
