package export

import (
	"fmt"
	"sort"
	"time"

	"weirbook/analysis/export/stamp"
	"weirbook/analysis/quantity"
)

// ClockQuestions asks about files whose related signals do not line up: the
// same flow met by two systems, or a feed and the flow that paces it, in two
// files. Of two files' related signals, the pair that goes together best
// speaks. Nothing is moved; what to write in plant.toml stands in the question.
func ClockQuestions(r *Result, kinds map[string]quantity.Kind, set LagSettings) []string {
	file := map[string]string{}
	for _, l := range r.Ledger {
		if l.Tag != "" && file[l.Tag] == "" {
			file[l.Tag] = l.File
		}
	}
	var tags []string
	for tag, k := range kinds {
		if file[tag] != "" && r.Series[tag] != nil && (k == quantity.Flow || isFeed(k)) {
			tags = append(tags, tag)
		}
	}
	sort.Strings(tags)
	type best struct {
		a, b string
		lag  Lag
	}
	pairs := map[string]best{}
	for i, a := range tags {
		for _, b := range tags[i+1:] {
			if file[a] == file[b] || isFeed(kinds[a]) && isFeed(kinds[b]) {
				continue
			}
			x, y := a, b
			if file[y] < file[x] {
				x, y = y, x
			}
			l := EstimateLag(r.Series[x], r.Series[y], set)
			pair := file[x] + "|" + file[y]
			if p, ok := pairs[pair]; l.Days > 0 && (!ok || l.Correlation > p.lag.Correlation) {
				pairs[pair] = best{x, y, l}
			}
		}
	}
	keys := make([]string, 0, len(pairs))
	for k := range pairs {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	var out []string
	for _, k := range keys {
		p := pairs[k]
		if q := winterQuestion(r, p.a, p.b, file, set); q != "" {
			out = append(out, q)
			continue
		}
		if !p.lag.Ask {
			continue
		}
		out = append(out, fmt.Sprintf("clocks: %s (%s) lines up best with %s (%s) when %d min are added to its times (%d of %d days agree, correlation %.2f against %.2f as it stands). Is one of the clocks off? Then state clock_offset for its files under [[source]]; nothing was moved",
			p.b, file[p.b], p.a, file[p.a], p.lag.Minutes, p.lag.Agree, p.lag.Days, p.lag.Correlation, p.lag.AtZero))
	}
	return out
}

// winterQuestion asks whether one of two files' clocks was left on winter time; ""
// where nothing says so.
func winterQuestion(r *Result, a, b string, file map[string]string, set LagSettings) string {
	loc := r.clocks[file[b]]
	if other := r.clocks[file[a]]; loc == nil || other == nil || loc.String() != other.String() {
		return ""
	}
	s, l, behind, winterMet, ok := winterLag(r.Series[a], r.Series[b], loc, set)
	if !ok {
		return ""
	}
	if !behind {
		a, b = b, a
	}
	first := "lines up"
	if !winterMet {
		first = "lines up best"
	}
	how := fmt.Sprintf("clocks: %s (%s) %s with %s (%s) ", b, file[b], first, a, file[a])
	size := max(l.Minutes, -l.Minutes)
	if winterMet {
		how += fmt.Sprintf("in winter and stands %d min behind it in summer, from %s on", size, time.UnixMilli(s.from).In(loc).Format("2006-01-02"))
	} else {
		how += fmt.Sprintf("when %d min are added to its times, all of summer", size)
	}
	return how + fmt.Sprintf(" (%d of %d days agree, correlation %.2f against %.2f as it stands). Was the clock of %s left on winter time? Then write %s for its files under [[source]] in plant.toml; nothing was moved",
		l.Agree, l.Days, l.Correlation, l.AtZero, file[b], stamp.StayingAt(s.winter))
}

func isFeed(k quantity.Kind) bool {
	return k == quantity.HypochloriteFeed || k == quantity.BisulfiteFeed || k == quantity.ChlorineFeed || k == quantity.SulfurDioxideFeed
}
