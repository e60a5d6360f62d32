package analysis

import (
	"fmt"
	"strings"

	"weirbook/analysis/contact"
	"weirbook/analysis/finding"
)

// tellContactTime says in each finding of high flow what came of it: in how many
// hours what is asked of the basins was short then. The judgement knows the
// flow and not what is asked.
func (r *Result) tellContactTime() {
	for i := range r.Findings {
		r.tellOfFlow(&r.Findings[i])
	}
	for _, j := range r.Judgements {
		for i := range j.Findings {
			r.tellOfFlow(&j.Findings[i])
		}
	}
}

func (r *Result) tellOfFlow(f *finding.Finding) {
	if f.Kind != "storm" {
		return
	}
	short, known := 0, 0
	for k := range r.Basins {
		b := &r.Basins[k]
		for h, w := range r.Hours {
			if w.End <= f.Start || w.Start >= f.End || !b.Hours[h].Asked || b.Hours[h].Verdict == contact.NotDetermined {
				continue
			}
			known++
			if b.Hours[h].Short() {
				short++
			}
		}
	}
	says := ""
	switch {
	case known == 0:
		says = "whether what is required was met is not known"
	case short == 0:
		says = "what is required was met in all hours of it that could be determined"
	case short == 1:
		says = "what is required was not met in one hour of it"
	default:
		says = fmt.Sprintf("what is required was not met in %d hours of it", short)
	}
	f.Summary = strings.TrimRight(f.Summary, ".") + "; " + says + "."
}
