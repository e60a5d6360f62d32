package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"sort"
	"strings"

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

var severities = []simulate.Severity{simulate.Slight, simulate.Plain, simulate.Gross}

// report prints the score.
func report(w io.Writer, ts []tally) {
	var os []outcome
	var cs []claim
	clean, falseH, over := 0.0, 0.0, 0.0
	falseN := 0
	for _, t := range ts {
		os = append(os, t.outcomes...)
		cs = append(cs, t.claims...)
		clean += t.cleanHours
		falseH += t.falseHours
		over += t.overhang
	}
	for _, c := range cs {
		if c.false {
			falseN++
		}
	}
	fmt.Fprintf(w, "clean hours %.0f; false alarms %d, %.1f h: %.2f h per 1000 clean h; overhang of matched findings %.0f h\n\n",
		clean, falseN, falseH, 1000*falseH/math.Max(clean, 1), over)

	fmt.Fprintln(w, "by severity            events  recall  at_fault right of matched")
	for _, s := range severities {
		line(w, string(s), pick(os, func(o outcome) bool { return o.severity == s }))
	}
	line(w, "plain and gross", pick(os, func(o outcome) bool { return o.severity != simulate.Slight }))
	line(w, "all", os)

	fmt.Fprintln(w, "\nby kind                events  recall  right   slight plain gross   onset err h  alarm delay h (medians)")
	for _, k := range simulate.Kinds() {
		of := pick(os, func(o outcome) bool { return o.kind == k })
		if len(of) == 0 {
			continue
		}
		n, found, right := count(of)
		fmt.Fprintf(w, "%-22s %6d  %6.2f  %5s  ", k, n, ratio(found, n), ratioText(right, found))
		for _, s := range severities {
			n, found, _ := count(pick(of, func(o outcome) bool { return o.severity == s }))
			fmt.Fprintf(w, " %2d/%-2d", found, n)
		}
		hit := pick(of, func(o outcome) bool { return o.found })
		fmt.Fprintf(w, "   %8.1f  %8.1f\n", med(hit, func(o outcome) float64 { return o.onset }), med(hit, func(o outcome) float64 { return o.delay }))
	}

	fmt.Fprintln(w, "\nby plant                                   events  recall  right")
	classes := map[string]bool{}
	for _, o := range os {
		classes[o.class] = true
	}
	for _, c := range sorted(classes) {
		n, found, right := count(pick(os, func(o outcome) bool { return o.class == c }))
		fmt.Fprintf(w, "%-42s %6d  %6.2f  %5s\n", c, n, ratio(found, n), ratioText(right, found))
	}

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
		missed := 0
		for _, o := range of {
			if !o.found {
				missed++
			}
		}
		for _, q := range parties {
			fmt.Fprintf(w, " %9d", len(pick(of, func(o outcome) bool { return o.found && o.said == q })))
		}
		fmt.Fprintf(w, " %9d\n", missed)
	}

	fmt.Fprintln(w, "\ndelay of the alarm after the event's start, h      median   75 %   90 %      n")
	delays(w, "abrupt, plain and gross", pick(os, func(o outcome) bool { return o.found && o.abrupt && o.severity != simulate.Slight }))
	delays(w, "abrupt, slight", pick(os, func(o outcome) bool { return o.found && o.abrupt && o.severity == simulate.Slight }))
	delays(w, "drift, plain (100 mV or 40 % in five days)", pick(os, func(o outcome) bool {
		return o.found && (o.kind == simulate.ORPFouling || o.kind == simulate.ReagentDrift) && o.severity == simulate.Plain
	}))
	delays(w, "drift, slight", pick(os, func(o outcome) bool {
		return o.found && (o.kind == simulate.ORPFouling || o.kind == simulate.ReagentDrift) && o.severity == simulate.Slight
	}))
	hit := pick(os, func(o outcome) bool { return o.found })
	within := func(f func(o outcome) float64) float64 {
		return ratio(len(pick(hit, func(o outcome) bool { return math.Abs(f(o)) <= 0.2*o.hours })), len(hit))
	}
	fmt.Fprintf(w, "\nstart within 20 %% of the event's length: %.2f of matched; end: %.2f\n",
		within(func(o outcome) float64 { return o.onset }), within(func(o outcome) float64 { return o.end }))

	fmt.Fprintln(w, "\nstated confidence      findings  mean stated  right  off by")
	for d := 0; d < 10; d++ {
		lo, hi := float64(d)/10, float64(d+1)/10
		var n, right int
		sum := 0.0
		for _, c := range cs {
			if c.conf >= lo && (c.conf < hi || d == 9) {
				n++
				sum += c.conf
				if c.right {
					right++
				}
			}
		}
		if n > 0 {
			few := ""
			if n < 20 {
				few = "  (fewer than 20)"
			}
			fmt.Fprintf(w, "%.1f to %.1f             %6d  %11.2f  %5.2f  %+6.2f%s\n", lo, hi, n, sum/float64(n), ratio(right, n), sum/float64(n)-ratio(right, n), few)
		}
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
			if o.said == o.truth {
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
	n, found, right := count(os)
	fmt.Fprintf(w, "%-22s %6d  %6.2f  %6s\n", name, n, ratio(found, n), ratioText(right, found))
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
			case !o.found:
				state = "MISSED"
			case o.said != o.truth:
				state = "WRONG"
			}
			if wrong && state == "ok" {
				continue
			}
			fmt.Fprintf(w, "%-6s %-38s %-21s %-6s %s %5.1f h", state, o.month, o.kind, o.severity, o.where, o.hours)
			if o.found {
				fmt.Fprintf(w, "  said %s (%s) %.2f onset %+.1f end %+.1f alarm %+.1f", o.said, o.saidKind, o.conf, o.onset, o.end, o.delay)
			}
			fmt.Fprintln(w)
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
	fmt.Fprintln(f, "month,where,kind,party,hours,confidence,right,false")
	for _, t := range ts {
		for _, c := range t.claims {
			fmt.Fprintf(f, "%s,%s,%s,%s,%.2f,%.4f,%t,%t\n", strings.ReplaceAll(c.month, ",", ";"), c.where, c.kind, c.party, c.hours, c.conf, c.right, c.false)
		}
	}
	return f.Close()
}
