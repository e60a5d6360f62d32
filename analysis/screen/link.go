package screen

import (
	"fmt"
	"sort"
	"strings"
)

// findLinks looks for frozen stretches and gaps that several tags share from
// start to end. That many probes do not fail together: the data link or the
// logger did. The stretches are renamed, so that no tag tells them as its own, and one
// message is written for all of them.
func findLinks(tags []TagReport, set Settings) []Message {
	type item struct {
		tag, stretch int
		start, end   int64
	}
	var all []item
	for k, r := range tags {
		for j, s := range r.Stretches {
			if s.Defect == FrozenAt && !s.whole || s.Defect == Gap {
				all = append(all, item{k, j, s.Start, s.End})
			}
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].start < all[j].start })
	slack := set.LinkSlack.Milliseconds()
	used := make([]bool, len(all))
	var out []Message
	for i, a := range all {
		if used[i] {
			continue
		}
		group := []int{i}
		seen := map[int]bool{a.tag: true}
		for j := i + 1; j < len(all) && all[j].start-a.start <= slack; j++ {
			d := all[j].end - a.end
			if !used[j] && !seen[all[j].tag] && d <= slack && d >= -slack {
				group = append(group, j)
				seen[all[j].tag] = true
			}
		}
		if len(group) < set.LinkTags {
			continue
		}
		// What else stood still inside that time did so for the same reason.
		for j, b := range all {
			inside := min(a.end, b.end) - max(a.start, b.start)
			if !used[j] && !seen[b.tag] && float64(inside) >= 0.8*float64(b.end-b.start) && float64(inside) >= 0.5*float64(a.end-a.start) {
				group = append(group, j)
				seen[b.tag] = true
			}
		}
		var names []string
		m := Message{Defect: DataLink, Start: a.start, End: a.end}
		frozen := 0
		for _, g := range group {
			used[g] = true
			it := all[g]
			r := &tags[it.tag]
			s := &r.Stretches[it.stretch]
			if s.Defect == FrozenAt {
				frozen++
			}
			s.Defect = DataLink
			m.Readings += s.Readings
			m.Start, m.End = min(m.Start, it.start), max(m.End, it.end)
			names = append(names, r.Tag)
		}
		sort.Strings(names)
		what := "stood still"
		switch {
		case frozen == 0:
			what = "are missing"
		case frozen < len(group):
			what = "stood still or are missing"
		}
		m.Text = fmt.Sprintf("%d tags %s together for %s from %s: %s; the data link, not the instruments",
			len(names), what, long(m.End-m.Start), set.at(m.Start), strings.Join(names, ", "))
		m.Next = linkNext
		out = append(out, m)
	}
	return sumUp(out, set)
}

const linkNext = "ask what happened to the logger or the network then; export the time again if the historian holds it"

// sumUp keeps up to three messages and makes one of more.
func sumUp(ms []Message, set Settings) []Message {
	if len(ms) <= 3 {
		return ms
	}
	worst, total, readings := ms[0], int64(0), 0
	for _, m := range ms {
		total += m.End - m.Start
		readings += m.Readings
		if m.End-m.Start > worst.End-worst.Start {
			worst = m
		}
	}
	return []Message{{
		Defect: DataLink, Start: ms[0].Start, End: ms[len(ms)-1].End, Readings: readings, Next: linkNext,
		Text: fmt.Sprintf("%d times several tags stood still or are missing together, %s in all, first at %s; the longest: %s", len(ms), long(total), set.at(ms[0].Start), worst.Text),
	}}
}
