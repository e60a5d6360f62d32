package sample

import (
	"strings"

	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/stamp"
)

// TimeRank weighs a heading against the others that stand over times: when the
// water was sampled counts, not when somebody wrote it down.
func TimeRank(head string) float64 {
	h := strings.ToLower(head)
	for _, w := range []string{"received", "analy", "report", "entered", "entry", "modified", "record", "login", "log-in", "logged", "printed", "created", "submitted", "reviewed", "verified", "approved", "updated", "exported", "due", "server"} {
		if strings.Contains(h, w) {
			return -0.8
		}
	}
	for _, w := range []string{"sampl", "collect", "taken", "source", "probenahme", "採水"} {
		if strings.Contains(h, w) {
			return 0.3
		}
	}
	return 0
}

// halves are what stands in a column of its own to tell the halves of the day.
var halves = lex.Set("am", "pm", "a.m.", "p.m.", "a.m", "p.m", "a", "p")

// findHalf finds the column that says AM or PM of times that do not say it
// themselves.
func (c *Candidate) findHalf(heads []string) {
	c.Times.Half = -1
	if !c.Times.found || c.Times.Kind != stamp.TextTime {
		return
	}
	for k := range c.Kinds {
		q := &c.Kinds[k]
		if q.Full() == 0 || k == c.Times.Time || k == c.Times.Date || k == c.Times.Clk {
			continue
		}
		fits := true
		for s := range q.Distinct {
			s = strings.ToLower(s)
			fits = fits && halves[s] && (len(s) > 1 || strings.Contains(strings.ToLower(heads[k]), "am"))
		}
		if fits {
			c.Times.Half = k
			return
		}
	}
}

// Alike says whether two columns hold the same in each row of the sample.
func (c *Candidate) Alike(a, b int) bool {
	for i := c.Start; i < len(c.Fields); i++ {
		if fs := c.Fields[i]; len(fs) == c.Width && string(lex.Trim(fs[a])) != string(lex.Trim(fs[b])) {
			return false
		}
	}
	return true
}
