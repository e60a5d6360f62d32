package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"sort"
	"strings"

	"weirbook/analysis/finding"
	"weirbook/examples/simulate"
)

func contains(s, part string) bool { return strings.Contains(s, part) }

// plantClass names a plant by what it has.
func plantClass(p simulate.Plant) string {
	s := string(p.Regime)
	if p.Probes < 2 {
		s += fmt.Sprintf(", %d probe", p.Probes)
	}
	if !p.HasFree {
		s += ", no free"
	}
	if !p.HasTotal {
		s += ", no total"
	}
	if !p.HasAmmonia {
		s += ", no ammonia"
	}
	if p.GrabsPerDay == 0 {
		s += ", no grabs"
	}
	return s
}

var severities = []string{full, half, string(simulate.Slight), string(simulate.Plain), string(simulate.Gross)}

// report prints the score.
func report(w io.Writer, ts []tally) {
	var os []outcome
	var cs []claim
	excused := map[string]int{}
	clean, over := 0.0, 0.0
	for _, t := range ts {
		for _, o := range t.outcomes {
			if o.excused == "" {
				os = append(os, o)
			} else {
				excused[o.excused]++
			}
		}
		for _, c := range t.claims {
			if !c.void {
				cs = append(cs, c)
			}
		}
		clean += t.cleanHours
		over += t.overhang
	}
	fmt.Fprintf(w, "clean hours %.0f; overhang of matched findings %.0f h\n\n", clean, over)
	reasons := map[string]bool{}
	for why := range excused {
		reasons[why] = true
	}
	for _, why := range sorted(reasons) {
		fmt.Fprintf(w, "events that cannot be told and do not count: %d, %s\n", excused[why], why)
	}
	falseAlarms(w, ts)
	foundText(w, os)
	named(w, os)
	late(w, os)
	earned(w, cs)
	explained(w, ts)
}

// falseAlarms prints hours of findings where nothing is, for 1000 clean hours.
func falseAlarms(w io.Writer, ts []tally) {
	alarm := func(_ *tally, c *claim) bool { return !c.slow }
	slow := func(_ *tally, c *claim) bool { return c.slow }
	fmt.Fprintf(w, "%-36s %-22s %-22s\n", "false hours per 1000 clean hours", "alarms", "suspicions")
	row := func(name string, of func(*tally) bool) {
		a, an := falsePer1000(ts, alarm, of)
		s, sn := falsePer1000(ts, slow, of)
		fmt.Fprintf(w, "%-36s %7.2f  (%d)%10s %7.2f  (%d)\n", name, a, an, "", s, sn)
	}
	row("all", func(*tally) bool { return true })
	row("stored by exception", func(t *tally) bool { return t.exception })
	row("scanned", func(t *tally) bool { return !t.exception })
	row("records without events", func(t *tally) bool { return len(t.outcomes) == 0 })
	classes := map[string]bool{}
	for _, t := range ts {
		classes[t.class] = true
	}
	for _, c := range sorted(classes) {
		row("  "+c, func(t *tally) bool { return t.class == c })
	}
	byKind := map[string]float64{}
	for _, t := range ts {
		for _, c := range t.claims {
			if c.false {
				byKind[c.kind] += c.hours
			}
		}
	}
	kinds := make([]string, 0, len(byKind))
	for k := range byKind {
		kinds = append(kinds, k)
	}
	sort.Slice(kinds, func(a, b int) bool {
		if byKind[kinds[a]] != byKind[kinds[b]] {
			return byKind[kinds[a]] > byKind[kinds[b]]
		}
		return kinds[a] < kinds[b]
	})
	fmt.Fprint(w, "false hours by kind:")
	for _, k := range kinds {
		fmt.Fprintf(w, " %s %.1f;", k, byKind[k])
	}
	fmt.Fprint(w, "\n\n")
}

// foundText prints what was found, and of all events the share found and right.
func foundText(w io.Writer, os []outcome) {
	fmt.Fprintln(w, "by size                                events  found  right of found  found and right")
	for _, s := range severities {
		if of := pick(os, func(o outcome) bool { return o.severity == s }); len(of) > 0 {
			line(w, s, of)
		}
	}
	line(w, "all", os)
	fmt.Fprintln(w, "\nby kind                                events  found  right of found  found and right   onset err h  alarm delay h (medians)")
	kinds := map[string]bool{}
	for _, o := range os {
		kinds[o.kind] = true
	}
	for _, k := range sorted(kinds) {
		of := pick(os, func(o outcome) bool { return o.kind == k })
		hit := pick(of, func(o outcome) bool { return o.found })
		lineText(w, k, of)
		fmt.Fprintf(w, "         %8.1f  %8.1f\n", med(hit, func(o outcome) float64 { return o.onset }), med(hit, func(o outcome) float64 { return o.delay }))
	}
	fmt.Fprintln(w, "\nby type of plant                       events  found  right of found  found and right")
	classes := map[string]bool{}
	for _, o := range os {
		classes[o.class] = true
	}
	for _, c := range sorted(classes) {
		line(w, c, pick(os, func(o outcome) bool { return o.class == c }))
	}
}

// named prints who was named for whom.
func named(w io.Writer, os []outcome) {
	fmt.Fprintln(w, "\nwho was named (rows: truth)")
	parties := []string{"orp-probe", "residual-analyser", "flow-meter", "process", "data", "undecided"}
	fmt.Fprintf(w, "%-18s", "")
	for _, p := range parties {
		fmt.Fprintf(w, " %9.9s", p)
	}
	fmt.Fprintf(w, " %9s\n", "missed")
	for _, p := range parties[:5] {
		fmt.Fprintf(w, "%-18s", p)
		of := pick(os, func(o outcome) bool { return o.truth == p })
		for _, q := range parties {
			fmt.Fprintf(w, " %9d", len(pick(of, func(o outcome) bool { return o.found && o.party == q })))
		}
		fmt.Fprintf(w, " %9d\n", len(pick(of, func(o outcome) bool { return !o.found })))
	}
}

// late prints how long after its start an event was told, and how well its ends
// were placed.
func late(w io.Writer, os []outcome) {
	small := func(o outcome) bool { return o.severity == half || o.severity == string(simulate.Slight) }
	fmt.Fprintln(w, "\ndelay of the alarm after the event's start, h      median   75 %   90 %      n")
	delays(w, "abrupt, full size", pick(os, func(o outcome) bool { return o.found && o.abrupt && !small(o) }))
	delays(w, "abrupt, half-size or slight", pick(os, func(o outcome) bool { return o.found && o.abrupt && small(o) }))
	delays(w, "slow, full size", pick(os, func(o outcome) bool { return o.found && !o.abrupt && !small(o) }))
	delays(w, "slow, half-size or slight", pick(os, func(o outcome) bool { return o.found && !o.abrupt && small(o) }))
	hit := pick(os, func(o outcome) bool { return o.found })
	within := func(f func(o outcome) float64) float64 {
		return ratio(len(pick(hit, func(o outcome) bool { return math.Abs(f(o)) <= 0.2*o.hours })), len(hit))
	}
	fmt.Fprintf(w, "\nstart within 20 %% of the event's length: %.2f of matched; end: %.2f\n",
		within(func(o outcome) float64 { return o.onset }), within(func(o outcome) float64 { return o.end }))
}

// earned prints stated confidence beside the share that was right.
func earned(w io.Writer, cs []claim) {
	fmt.Fprintln(w, "\nstated confidence      findings  mean stated  right  off by")
	row := func(name string, keep func(c claim) bool) {
		var n, right int
		sum := 0.0
		for _, c := range cs {
			if keep(c) {
				n++
				sum += c.conf
				if c.right {
					right++
				}
			}
		}
		if n == 0 {
			return
		}
		few := ""
		if n < 20 {
			few = "  (fewer than 20)"
		}
		fmt.Fprintf(w, "%-20s %8d  %11.2f  %5.2f  %+6.2f%s\n", name, n, sum/float64(n), ratio(right, n), sum/float64(n)-ratio(right, n), few)
	}
	for d := range 10 {
		lo, hi := float64(d)/10, float64(d+1)/10
		row(fmt.Sprintf("%.1f to %.1f", lo, hi), func(c claim) bool { return c.conf >= lo && (c.conf < hi || d == 9) })
	}
	row("alarms", func(c claim) bool { return !c.slow })
	row("suspicions", func(c claim) bool { return c.slow })
	for _, w := range []string{finding.Sure, finding.Likely, finding.Look} {
		row("word: "+w, func(c claim) bool { return c.word == w })
	}
}

func pick(os []outcome, keep func(outcome) bool) []outcome {
	var out []outcome
	for _, o := range os {
		if keep(o) {
			out = append(out, o)
		}
	}
	return out
}

func count(os []outcome) (n, found, right int) {
	for _, o := range os {
		n++
		if o.found {
			found++
			if o.right {
				right++
			}
		}
	}
	return
}

func ratio(a, b int) float64 {
	if b == 0 {
		return math.NaN()
	}
	return float64(a) / float64(b)
}

func ratioText(a, b int) string {
	if b == 0 {
		return "-"
	}
	return fmt.Sprintf("%.2f", ratio(a, b))
}

func line(w io.Writer, name string, os []outcome) {
	lineText(w, name, os)
	fmt.Fprintln(w)
}

func lineText(w io.Writer, name string, os []outcome) {
	n, found, right := count(os)
	fmt.Fprintf(w, "%-38s %6d  %5.2f  %14s  %15.2f", name, n, ratio(found, n), ratioText(right, found), ratio(right, n))
}

func med(os []outcome, f func(outcome) float64) float64 { return quantile(os, f, 0.5) }

func quantile(os []outcome, f func(outcome) float64, q float64) float64 {
	var v []float64
	for _, o := range os {
		v = append(v, f(o))
	}
	if len(v) == 0 {
		return math.NaN()
	}
	slices.Sort(v)
	return v[int(q*float64(len(v)-1)+0.5)]
}

func delays(w io.Writer, name string, os []outcome) {
	f := func(o outcome) float64 { return o.delay }
	fmt.Fprintf(w, "%-48s %8.2f %6.1f %6.1f %6d\n", name, quantile(os, f, 0.5), quantile(os, f, 0.75), quantile(os, f, 0.9), len(os))
}

func sorted(m map[string]bool) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

// detail lists events and false alarms.
func detail(w io.Writer, ts []tally, wrong bool) {
	for _, t := range ts {
		for _, o := range t.outcomes {
			state := "ok"
			switch {
			case o.excused != "":
				state = "EXCUSED"
			case !o.found:
				state = "MISSED"
			case !o.right:
				state = "WRONG"
			}
			if wrong && (state == "ok" || state == "EXCUSED") {
				continue
			}
			fmt.Fprintf(w, "%-6s %-38s %-21s %-6s %s %5.1f h", state, o.month, o.kind, o.severity, o.where, o.hours)
			if o.found {
				fmt.Fprintf(w, "  party %s (%s) %.2f onset %+.1f end %+.1f alarm %+.1f", o.party, o.foundKind, o.conf, o.onset, o.end, o.delay)
			}
			if o.excused != "" {
				fmt.Fprintf(w, "  (%s)", o.excused)
			}
			fmt.Fprintln(w)
		}
		for _, s := range t.stories {
			if s.verdict != "right" || !wrong {
				fmt.Fprintf(w, "STORY  %-38s %-21s %s  %s: %s\n", s.month, s.kind, s.where, s.verdict, s.cause)
			}
		}
		for _, c := range t.claims {
			if c.false {
				fmt.Fprintf(w, "FALSE  %-38s %-21s %s %s %s %.1f h %.2f\n", c.month, c.kind, c.party, c.tag, c.where, c.hours, c.conf)
			}
		}
	}
}

// writeClaims writes what the confidence is calibrated on.
func writeClaims(path string, ts []tally) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	fmt.Fprintln(f, "month,where,kind,party,hours,confidence,right,false,slow")
	for _, t := range ts {
		for _, c := range t.claims {
			fmt.Fprintf(f, "%s,%s,%s,%s,%.2f,%.4f,%t,%t,%t\n", strings.ReplaceAll(c.month, ",", ";"), c.where, c.kind, c.party, c.hours, c.conf, c.right, c.false, c.slow)
		}
	}
	return f.Close()
}
