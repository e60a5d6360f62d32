package analysis

import (
	"math"

	"weirbook/analysis/contact"
	"weirbook/analysis/finding"
	"weirbook/analysis/quantity"
)

// BasinSummary counts a basin's hours over the period.
type BasinSummary struct {
	Determined, Met, MetWithin, ShortWithin, Short, NotDetermined int
	ShortInDoubt                                                  int // of the short ones, those that rest on an instrument judged at fault
	MetInDoubt                                                    int
	Worst                                                         int // index of the hour furthest below what is asked; -1: none short
}

// Summary counts the hours of a basin by state.
func (b *Basin) Summary() BasinSummary {
	s := BasinSummary{Worst: -1}
	worst := math.Inf(1)
	for i, h := range b.Hours {
		if !h.Asked {
			continue
		}
		switch h.Verdict {
		case contact.NotDetermined:
			s.NotDetermined++
			continue
		case contact.Met:
			s.Met++
		case contact.MetWithin:
			s.MetWithin++
		case contact.ShortWithin:
			s.ShortWithin++
		case contact.Short:
			s.Short++
		}
		s.Determined++
		short := h.Short()
		if h.Doubt && short {
			s.ShortInDoubt++
		} else if h.Doubt {
			s.MetInDoubt++
		}
		if short && !math.IsNaN(h.CT.Value) && h.Required > 0 {
			if q := h.CT.Value / h.Required; q < worst {
				worst, s.Worst = q, i
			}
		} else if short && s.Worst < 0 {
			s.Worst = i
		}
	}
	return s
}

// instrumentFindings are the alarms of the who-is-wrong engine in the period, without
// the episodes that rest on them.
func (r *Result) instrumentFindings() []finding.Finding {
	var out []finding.Finding
	for _, j := range r.Judgements {
		for _, f := range j.Findings {
			if f.Alarm() && f.End > r.From && f.Start < r.To {
				out = append(out, f)
			}
		}
	}
	return out
}

// Subjects names the tags that the engine holds at fault with a party, in the
// order of its findings.
func (r *Result) Subjects(p finding.Party) []string {
	var out []string
	seen := map[string]bool{}
	for _, f := range r.instrumentFindings() {
		if f.AtFault == p && !seen[f.Subject] {
			seen[f.Subject] = true
			out = append(out, f.Subject)
		}
	}
	return out
}

// Disagreement gives the hours (fractions counted) in which findings hold each
// kind of instrument at fault. Overlapping findings of one party count once.
func (r *Result) Disagreement() map[finding.Party]float64 {
	out := map[finding.Party]float64{}
	for _, party := range []finding.Party{finding.ORPProbe, finding.ResidualAnalyser, finding.FlowMeter, finding.Data, finding.Undecided} {
		covered := make([]bool, r.Grid.N)
		for _, f := range r.instrumentFindings() {
			if f.AtFault != party {
				continue
			}
			lo, hi := r.Grid.Index(max(f.Start, r.From)), r.Grid.Index(min(f.End, r.To))
			for i := max(lo, 0); i < min(hi, len(covered)); i++ {
				covered[i] = true
			}
		}
		n := 0
		for _, c := range covered {
			if c {
				n++
			}
		}
		if n > 0 {
			out[party] = float64(n) / 60
		}
	}
	return out
}

// Highest finds the highest usable reading in the period, outside its analyser's
// service, of what measures k on line at points that pick accepts: its value in working units, its time and
// tag. ok is false when there is none.
func (r *Result) Highest(k quantity.Kind, pick func(point string) bool) (v float64, at int64, tag string, ok bool) {
	for _, t := range r.Plant.Tags {
		if t.Measures != k || t.Sampled() || !pick(t.At) {
			continue
		}
		s := r.Series[t.Name]
		lo, hi := s.Between(r.From, r.To)
		for i := lo; i < hi; i++ {
			if s.Usable(i) && (!ok || s.V[i] > v) {
				v, at, tag, ok = s.V[i], s.T[i], t.Name, true
			}
		}
	}
	return v, at, tag, ok
}

// Total sums a column of hourly amounts; hours is how many of them are known.
func Total(hourly []float64) (sum float64, hours int) {
	for _, v := range hourly {
		if !math.IsNaN(v) {
			sum += v
			hours++
		}
	}
	return sum, hours
}
