package upsets

import (
	"fmt"
	"math"
	"time"

	"weirbook/analysis/upset"
	"weirbook/examples/simulate"
)

// Case is one invented upset.
type Case struct {
	Name     string
	Kind     simulate.Kind
	Severity simulate.Severity
	Config   simulate.Config
}

// Cases gives upsets of every kind that disturbs the process, at plants of one
// regime and three sizes, at differing hours; firstSeed makes another set of them.
func Cases(firstSeed uint64, rounds int, regime simulate.Regime) []Case {
	kinds := []simulate.Kind{simulate.FeedLost, simulate.Ammonia, simulate.Storm, simulate.DemandSpike, simulate.FeedShort,
		simulate.StrengthLoss, simulate.BisulfiteLost}
	severities := []simulate.Severity{simulate.Plain, simulate.Gross}
	var out []Case
	seed := firstSeed
	for round := 0; round < rounds; round++ {
		for _, k := range kinds {
			for _, s := range severities {
				seed++
				p := simulate.DefaultPlant(regime)
				switch seed % 3 {
				case 1:
					resize(&p, 0.4, 1.1)
				case 2:
					resize(&p, 2, 1.07)
					p.Probes = 1
				}
				start := time.Date(2026, 3, 2+int(seed%60), 0, 0, 0, 0, time.UTC)
				loc, _ := time.LoadLocation("America/Denver")
				hour := int(seed*7) % 24
				begin := time.Date(start.Year(), start.Month(), start.Day()+9, hour, int(seed*13)%60, 0, 0, loc)
				long := time.Duration(simulate.UsualHours(k, s) * float64(time.Hour))
				out = append(out, Case{Name: fmt.Sprintf("%s %s seed %d", s, k, seed), Kind: k, Severity: s, Config: simulate.Config{
					Seed: seed, Start: start, Days: 12, Plant: p,
					Events: []simulate.Event{{Start: begin, End: begin.Add(long), Kind: k, Severity: s}},
				}})
			}
		}
	}
	return out
}

// resize makes a plant so many times as large, its basin roomier by the factor
// room.
func resize(p *simulate.Plant, size, room float64) {
	p.DesignFlowMGD *= size
	p.BasinGal *= size * room
	p.HypoMaxGPH *= size
	p.SulfiteMaxGPH *= size
}

// Outcome is what became of a case.
type Outcome struct {
	Case       Case
	Episode    bool   // the event led to an episode
	First      string // tag named as first mover
	FirstRight bool
	OrderKnown bool // at least three columns moved in truth
	OrderRight bool
	Told, True []string // the first columns in order, with times
	Late       float64  // minutes from the true onset of the first mover to the told one
	Cause      upset.Likely
}

// Tie is how close two true onsets may lie for either order to be right.
const Tie = 15 * time.Minute

// Run explains one case and holds it against what really happened.
func Run(c Case, s upset.Settings) (Outcome, error) {
	out := Outcome{Case: c, Late: math.NaN()}
	with, err := simulate.Run(c.Config)
	if err != nil {
		return out, err
	}
	quiet := c.Config
	quiet.Events = nil
	without, err := simulate.Run(quiet)
	if err != nil {
		return out, err
	}
	base, err := Input(without, math.NaN(), 0.1)
	if err != nil {
		return out, err
	}
	required := 0.9 * Low(base.Basin.CT, 0.05)
	in, err := Input(with, required, 0.1)
	if err != nil {
		return out, err
	}
	all, err := upset.Find(in, s)
	if err != nil {
		return out, err
	}
	e := c.Config.Events[0]
	var this *upset.Episode
	for k := range all {
		x := &all[k]
		if x.End > e.Start.UnixMilli() && x.Start < e.End.Add(2*time.Hour).UnixMilli() {
			if main := x.Main().What; (c.Kind == simulate.BisulfiteLost) == (main == upset.FinalHigh) && broughtAbout(&in, &base, x) {
				this = x
				break
			}
		}
	}
	if this == nil {
		return out, nil
	}
	out.Episode = true
	x, err := upset.Explain(in, *this, all, s)
	if err != nil {
		return out, err
	}
	out.Cause = x.Cause
	truth := Onsets(in, base, with, with.Events[0])
	if m, ok := x.First(); ok {
		out.First = m.Tag
		for _, t := range FirstOf(c.Kind) {
			out.FirstRight = out.FirstRight || t == m.Tag
		}
		for _, o := range truth {
			if o.Tag == m.Tag {
				out.Late = float64(m.At-o.At) / 60_000
			}
		}
	}
	at := map[string]int64{}
	for _, o := range truth {
		at[o.Tag] = o.Outlet
		out.True = append(out.True, fmt.Sprintf("%s %s", o.Tag, time.UnixMilli(o.Outlet).In(in.Loc).Format("15:04")))
	}
	seen := map[string]bool{}
	var told []string
	for _, m := range x.Moves {
		if !seen[m.Tag] {
			seen[m.Tag] = true
			told = append(told, m.Tag)
			out.Told = append(out.Told, fmt.Sprintf("%s %s", m.Tag, time.UnixMilli(m.AtOutlet).In(in.Loc).Format("15:04")))
		}
	}
	out.OrderKnown = len(truth) >= 3
	out.OrderRight = out.OrderKnown && orderRight(told, at)
	return out, nil
}

// broughtAbout reports whether the event made the episode: of its minutes outside
// what is required no more than three in ten would have been outside without it.
func broughtAbout(with, without *upset.Input, e *upset.Episode) bool {
	k := 0
	if e.Main().What == upset.FinalHigh {
		k = 1
	}
	j, o := &with.Judged[k], &without.Judged[k]
	outside := func(v float64) bool { return v < j.Limit[0] == (k == 0) && v != j.Limit[0] && !math.IsNaN(v) }
	all, anyway := 0, 0
	for i := max(with.Grid.Index(e.Start), 0); i < min(with.Grid.Index(e.End), with.Grid.N); i++ {
		if outside(j.V[i]) {
			all++
			if outside(o.V[i]) {
				anyway++
			}
		}
	}
	return all > 0 && float64(anyway) <= 0.3*float64(all)
}

// orderRight reports whether the first three columns told could be the first
// three in truth: each must have moved, and no column still to come may have
// moved more than Tie before it.
func orderRight(told []string, at map[string]int64) bool {
	if len(told) < 3 {
		return false
	}
	left := map[string]int64{}
	for k, v := range at {
		left[k] = v
	}
	for _, t := range told[:3] {
		mine, ok := left[t]
		if !ok {
			return false
		}
		delete(left, t)
		for _, other := range left {
			if other+Tie.Milliseconds() < mine {
				return false
			}
		}
	}
	return true
}
