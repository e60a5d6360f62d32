package draft

import (
	"fmt"
	"regexp"
	"strings"

	"weirbook/analysis/export"
)

// fileQuestions are those that the reader asked of files: what they decide comes
// before anything that the readings say.
func fileQuestions(r *export.Result) []string {
	var out []string
	for _, m := range r.Messages {
		if m.File != "" && (m.Severity == export.Error || m.Severity == export.Warning && m.Asks.Key != "") {
			out = append(out, m.File+": "+m.Text)
		}
	}
	return out
}

// question asks once about the grouping as a whole.
func question(ts []*train, gs []Guess) string {
	var names, each, without []string
	others, onlyFlow, alike := len(gs), false, true
	for _, t := range ts {
		others -= len(t.tags)
		onlyFlow = onlyFlow || t.onlyFlow
		alike = alike && len(t.tags) == len(ts[0].tags)
		names = append(names, t.label)
		each = append(each, fmt.Sprintf("%s (%s)", t.label, tagCount(len(t.tags))))
		if !t.basin {
			without = append(without, t.label)
		}
	}
	list := strings.Join(each, ", ")
	if alike {
		list = fmt.Sprintf("%s (%s each)", strings.Join(names, ", "), tagCount(len(ts[0].tags)))
	}
	q := fmt.Sprintf("The tags' names speak of %d trains or basins: %s. Each is drafted with a contact basin and points of its own", len(ts), list)
	if onlyFlow {
		q += ", and a train's only flow is taken to pass its basin"
	}
	switch {
	case others == 1:
		q += "; one other tag is taken for common to all"
	case others > 1:
		q += fmt.Sprintf("; %d other tags are taken for common to all", others)
	}
	q += ". Is that right? If not, write the right points into the column \"at\" of tags.csv."
	if len(without) > 0 {
		q += " No residual and no ORP of a contact basin is named for " + strings.Join(without, ", ") + ", so no basin was drafted there."
	}
	return q
}

var figures = regexp.MustCompile(`[0-9.]+`)

func tagCount(n int) string {
	if n == 1 {
		return "1 tag"
	}
	return fmt.Sprintf("%d tags", n)
}
