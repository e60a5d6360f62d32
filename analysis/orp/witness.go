package orp

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"weirbook/analysis/finding"
)

// votes tells what each witness said about an episode, heaviest first. Its weight
// is by how much it prefers the winner to the best explanation of another party.
func (w *work) votes(e *episode) []finding.Vote {
	rival := e.rivals[0]
	for _, r := range e.rivals {
		if r.h.party != e.h.party {
			rival = r
			break
		}
	}
	var out []finding.Vote
	say := func(name, says string, a amount, m, u, m2, u2 float64) {
		if !a.ok {
			return
		}
		v := finding.Vote{Witness: name, Says: says}
		d := charge(a.size, a.sd, m, u) - charge(a.size, a.sd, m2, u2)
		switch {
		case d > 0.5:
			v.For, v.Weight = e.h.party, d
		case d < -0.5:
			v.For, v.Weight = rival.h.party, -d
		}
		out = append(out, v)
	}
	for s, a := range e.sizes {
		m, u := e.h.effect(s, e.theta)
		m2, u2 := rival.h.effect(s, rival.theta)
		say(w.streams[s].name, w.sentence(s, a, m, m2, e.h, rival.h), a, m, u, m2, u2)
	}
	for k, a := range e.grabSizes {
		if !a.ok {
			continue
		}
		m, u := e.h.grab(w.grabs[k].free, e.theta)
		m2, u2 := rival.h.grab(w.grabs[k].free, rival.theta)
		name, tag := "DPD grabs, total", w.in.Total.Tag
		if w.grabs[k].free {
			name, tag = "DPD grabs, free", w.in.Free.Tag
		}
		n := fmt.Sprintf("%d grabs", a.n)
		if a.n == 1 {
			n = "one grab"
		}
		says := fmt.Sprintf("%s: %s reads %s against them (give or take %.0f %%); if it is %s, %s.", n, tag, share(percent(a.size)),
			230*a.sd, e.h.name(), share(percent(m)))
		say(name, says, a, m, u, m2, u2)
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Weight > out[j].Weight })
	return out
}

// name is the cause in a sentence.
func (h *hypothesis) name() string {
	switch h.cause {
	case causeProbe:
		return "probe " + h.subject
	case causeAnalyser:
		return "analyser " + h.subject
	case causeFlow:
		return "flow meter " + h.subject
	case causeChemistry:
		return "the chemistry (ammonia)"
	case causeDemand:
		return "chlorine demand or feed"
	}
	return "nothing"
}

// sentence tells what a stream's own estimate is and what the two best
// explanations would have made of it, in the stream's unit.
func (w *work) sentence(s int, a amount, m, m2 float64, h, rival *hypothesis) string {
	tail := func(f func(float64) string) string {
		if f(m) == f(m2) {
			return fmt.Sprintf("; %s and %s both expect %s of it and differ in the scatter that they allow.", h.name(), rival.name(), f(m))
		}
		return fmt.Sprintf("; %s would make it %s, %s %s.", h.name(), f(m), rival.name(), f(m2))
	}
	switch {
	case w.isR(s):
		mv := func(x float64) string { return signed(x, 0) + " mV" }
		return fmt.Sprintf("reading less expectation moved by %s (give or take %.0f)", mv(a.size), math.Max(1, a.sd)) + tail(mv)
	case s == w.phiAt:
		x := func(x float64) string { return share(percent(x)) }
		return fmt.Sprintf("total over free changed by %s", x(a.size)) + tail(x)
	case s == w.mAt:
		x := func(x float64) string { return signed(x, 2) + " mg/L" }
		return fmt.Sprintf("dose less residual changed by %s (give or take %.2f)", x(a.size), a.sd) + tail(x)
	case s == w.nAt:
		x := func(x float64) string { return share(percent(x)) }
		return fmt.Sprintf("ammonia ahead of the chlorine changed by %s", x(a.size)) + tail(x)
	case s == w.qAt:
		x := func(x float64) string { return share(100 * (math.Exp(x) - 1)) }
		return fmt.Sprintf("flow over influent flow changed by %s", x(a.size)) + tail(x)
	}
	return ""
}

// signed writes a change with its sign, and none for what rounds to nothing.
func signed(x float64, decimals int) string {
	t := fmt.Sprintf("%.*f", decimals, math.Abs(x))
	if strings.Trim(t, "0.") == "" {
		return "0"
	}
	if x < 0 {
		return "−" + t
	}
	return "+" + t
}

// share writes a change in percent as people take it in: a rise to many times the
// value is said in times.
func share(percent float64) string {
	if percent >= 400 {
		return fmt.Sprintf("%.0f times as much", math.Min(percent/100+1, 1000))
	}
	return signed(percent, 0) + " %"
}
