package screen

import (
	"fmt"

	"weirbook/analysis/series"
)

// Apply sets the flags that Screen asked for. It is the only place where
// screening touches a series; values stay as they are, and applying twice
// changes nothing. tags must be those given to Screen, in the same order.
func (rep Report) Apply(tags []Tagged) error {
	if len(tags) != len(rep.Tags) {
		return fmt.Errorf("screening saw %d tags, %d are to be marked", len(rep.Tags), len(tags))
	}
	for k, r := range rep.Tags {
		s := tags[k].Series
		if s.Tag != r.Tag || s.Len() != r.Rows {
			return fmt.Errorf("screening saw %d readings of tag %s, %d of tag %s are to be marked", r.Rows, r.Tag, s.Len(), s.Tag)
		}
		for _, m := range r.marks {
			for i := m.lo; i < m.hi; i++ {
				s.F[i] |= m.flag
			}
		}
	}
	return nil
}

// count counts the flags, as they will be after Apply, and writes the messages
// about those that the reader has set.
func (r *TagReport) count(tg Tagged, set Settings, b *scratch) {
	s := tg.Series
	c := tallyOf(s, r.marks, b.raw)
	counts, first, last := &c.readings, &c.first, &c.last
	r.Usable = c.usable
	for b, n := range counts {
		if n > 0 {
			r.Counts = append(r.Counts, FlagCount{series.Flag(1) << b, n})
		}
	}
	say := func(f series.Flag, d Defect, text, next string) {
		for b := range counts {
			if f == 1<<b && counts[b] > 0 {
				r.messages = append(r.messages, Message{
					Tag: r.Tag, Line: tg.Line, Defect: d, Readings: counts[b], Start: first[b], End: last[b],
					Text: fmt.Sprintf("%s: %s: %s, first at %s, last at %s", r.Tag, text, readings(counts[b], r.Rows), set.at(first[b]), set.at(last[b])),
					Next: next,
				})
			}
		}
	}
	say(series.SuspectFill, Fill, "numbers that loggers write for \"no value\", not used",
		"ask how the export marks missing values; if the numbers are real, say so in the note of tags.csv and widen the span")
	say(series.Late, Order, "out of time order, sorted in", "check whether two files overlap or a clock was set back")
	say(series.Bad, Quality, "marked bad by the export, not used", "ask what the instrument reported at that time")
	say(series.Uncertain, Quality, "marked uncertain by the export, used and counted", "see the coverage table for how much rests on them")
}

// readings writes how many readings of all, "3 readings (0.1 %)".
func readings(n, all int) string {
	if n == 1 {
		return "1 reading (" + percent(n, all) + ")"
	}
	return fmt.Sprintf("%d readings (%s)", n, percent(n, all))
}

// percent writes n of all as a share that never reads 0 % or 100 % when it is
// not.
func percent(n, all int) string {
	if all == 0 {
		return "no readings"
	}
	p := 100 * float64(n) / float64(all)
	switch {
	case n == all:
		return "all"
	case p < 0.1:
		return "less than 0.1 %"
	case p > 99.9:
		return "more than 99.9 %"
	}
	return fmt.Sprintf("%.1f %%", p)
}
