package upset

import (
	"fmt"
	"sort"
	"strings"

	"weirbook/analysis/finding"
	"weirbook/analysis/series"
)

// Trust says whether the instruments behind a statement were to be believed.
type Trust struct {
	Doubtful float64 // share of the stretch in which one of them was not, 0…1
	Tags     []string
	Says     string // one sentence
}

// trustIn measures the doubts on the tags over a stretch.
func trustIn(doubts []Doubt, tags []string, over series.Stretch) Trust {
	if len(tags) == 0 {
		return Trust{Says: "which instruments it rests on is not stated"}
	}
	var spans []series.Stretch
	named := map[string]bool{}
	var says []string
	for _, d := range doubts {
		if d.Party == finding.Process || !contains(tags, d.Tag) {
			continue
		}
		lo, hi := max(d.Start, over.Start), min(d.End, over.End)
		if hi <= lo {
			continue
		}
		spans = append(spans, series.Stretch{Start: lo, End: hi})
		if !named[d.Tag] {
			named[d.Tag] = true
			says = append(says, fmt.Sprintf("%s (%s, %s sure)", d.Tag, spaced(d.Kind), percent(d.Confidence)))
		}
	}
	t := Trust{}
	if total := over.End - over.Start; total > 0 {
		t.Doubtful = float64(joined(spans)) / float64(total)
	}
	for k := range named {
		t.Tags = append(t.Tags, k)
	}
	sort.Strings(t.Tags)
	switch {
	case t.Doubtful == 0:
		t.Says = fmt.Sprintf("nothing was found against the instruments that this rests on (%s)", strings.Join(tags, ", "))
	case t.Doubtful > 0.5:
		t.Says = fmt.Sprintf("it rests on instruments that were in doubt %s of the time: %s", percent(t.Doubtful), strings.Join(says, "; "))
	default:
		t.Says = fmt.Sprintf("instruments behind it were in doubt %s of the time: %s", percent(t.Doubtful), strings.Join(says, "; "))
	}
	return t
}

// spaced writes a kind's word as people do.
func spaced(kind string) string { return strings.ReplaceAll(kind, "-", " ") }

// joined is the length of the union of stretches.
func joined(spans []series.Stretch) int64 {
	sort.Slice(spans, func(i, j int) bool { return spans[i].Start < spans[j].Start })
	var total, end int64
	for k, s := range spans {
		if k == 0 || s.Start > end {
			end = s.Start
		}
		if s.End > end {
			total += s.End - end
			end = s.End
		}
	}
	return total
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}
