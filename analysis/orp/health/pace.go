package health

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// A tag that is stored when it changes says nothing by standing still for a while; it
// says something by the changes that did not come. pace is how many changes each hour
// of the day usually brings (on the grid's own clock; the pattern need only repeat
// daily), and where they came.
type pace struct {
	step   float64   // the usual size of a change
	share  float64   // of stored readings that bring any change
	rate   []float64 // changes a minute, by hour of the day
	cum    []float64 // expected changes before each minute, over known minutes
	change []bool    // minutes that brought a change of at least half the usual step
}

const dayMin = 24 * 60

// paceOf counts the changes of a column.
func paceOf(c *signal.Column) pace {
	n := len(c.V)
	p := pace{rate: make([]float64, 24), cum: make([]float64, n+1), change: make([]bool, n)}
	change := make([]float64, n) // by minute with a stored reading; NaN elsewhere
	var steps []float64
	seen, last := 0, math.NaN()
	for i := range n {
		change[i] = math.NaN()
		switch {
		case !c.Usable(i):
			last = math.NaN()
		case c.Stored(i):
			change[i], last = math.Abs(c.V[i]-last), c.V[i]
			if signal.Known(change[i]) {
				seen++
				if change[i] > 0 {
					steps = append(steps, change[i])
				}
			}
		}
	}
	p.step = robust.Median(steps)
	p.share = float64(len(steps)) / math.Max(1, float64(seen))
	days := n/dayMin + 1
	var by [24][]float64
	for d := range days {
		for h := range 24 {
			known, changes := 0, 0
			for i := d*dayMin + h*60; i < min(n, d*dayMin+(h+1)*60); i++ {
				if c.Usable(i) {
					known++
				}
				if change[i] > 0 && change[i] >= p.step/2 {
					changes++
					p.change[i] = true
				}
			}
			if known >= 45 {
				by[h] = append(by[h], float64(changes)/float64(known))
			}
		}
	}
	all := make([]float64, 0, days*24)
	for h := range by {
		all = append(all, by[h]...)
	}
	middle := robust.Median(all)
	for h := range by {
		p.rate[h] = middle
		if len(by[h]) >= 5 {
			p.rate[h] = robust.Median(by[h])
		}
	}
	for i := range n {
		p.cum[i+1] = p.cum[i]
		if r := p.rate[i/60%24]; c.Usable(i) && r > 0 {
			p.cum[i+1] += r
		}
	}
	return p
}

// apart is how many minutes a stop may be told late: the time in which three changes
// usually come.
func (p *pace) apart() int {
	r := robust.Median(p.rate)
	if !(r > 0) {
		return 0
	}
	return int(math.Min(3/r, 90))
}

// missed is how many changes should have come in a span.
func (p *pace) missed(t signal.Span) float64 { return p.cum[t.To] - p.cum[t.From] }

// rests lists the spans without a change, from the change before to the change after,
// that should have brought least of them or more. What lies before a hole is only the
// last value carried forward: carried minutes of it are cut.
func (p *pace) rests(c *signal.Column, least float64, carried int) []signal.Span {
	n := len(c.V)
	var out []signal.Span
	end := func(from, to int) {
		if to < n && !c.Usable(to) {
			to -= carried
		}
		if t := signal.Between(from, to); to > from && p.missed(t) >= least {
			out = append(out, t)
		}
	}
	from := -1
	for i := range n {
		switch {
		case !c.Usable(i):
			if from >= 0 {
				end(from, i)
			}
			from = -1
		case from < 0:
			from = i
		case p.change[i]:
			end(from, i)
			from = i
		}
	}
	if from >= 0 {
		end(from, n)
	}
	return out
}

// longest is the law of how many changes the longest rest of each day misses: changes
// that come in flocks leave longer rests than chance would.
func (p *pace) longest(c *signal.Column, s *Settings) signal.Gumbel {
	days := make([]float64, len(p.change)/dayMin+1)
	for _, t := range p.rests(c, 0, s.CarriedMin) {
		d := (t.From + t.Len()/2) / dayMin
		days[d] = math.Max(days[d], p.missed(t))
	}
	return signal.GumbelOf(days)
}

// byChanges says whether stillness of a column is told by changes that did not come:
// it is stored on change, or comes in steps so coarse that it often stands still.
func byChanges(c *signal.Column, p *pace, s *Settings) bool {
	return c.OnChange || c.Point != nil || p.share < s.CoarseShare
}

// stopped finds where such a column stopped: changes enough to tell did not come.
func stopped(c *signal.Column, p *pace, least float64, s *Settings) []Trouble {
	low := s.NearNothing * robust.Quantile(c.V, 0.75) // near nothing a signal hardly moves
	least = math.Max(least, p.longest(c, s).Over(s.MissedScales))
	var out []Trouble
	for _, t := range p.rests(c, least, s.CarriedMin) {
		if t.Len() < s.MissedMin || offScale(c, c.V[t.From]) || c.V[t.From] < low {
			continue
		}
		alarm := t.From + s.MissedMin
		for alarm < t.To && p.missed(signal.Between(t.From, alarm)) < least {
			alarm++
		}
		if alarm-t.From > s.MissedMaxMin {
			continue
		}
		out = append(out, Trouble{Span: t, Kind: Frozen, Alarm: alarm, Size: p.missed(t), Usual: p.step})
	}
	return out
}

// offScale says that a value stands at an end of its stated span: it means at least
// (or at most) that much, and standing there is no stillness.
func offScale(c *signal.Column, v float64) bool {
	if !(c.High > c.Low) {
		return false
	}
	margin := 0.003 * (c.High - c.Low)
	return v >= c.High-margin || v <= c.Low+margin
}
