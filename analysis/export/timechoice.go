package export

import (
	"fmt"
	"strings"
)

// timeRank weighs a heading against the others that stand over times: when the
// water was sampled counts, not when somebody wrote it down.
func timeRank(head string) float64 {
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
var halves = set("am", "pm", "a.m.", "p.m.", "a.m", "p.m", "a", "p")

// findHalf finds the column that says AM or PM of times that do not say it
// themselves.
func (c *candidate) findHalf(heads []string) {
	c.times.half = -1
	if !c.times.found || c.times.kind != textTime {
		return
	}
	for k := range c.kinds {
		q := &c.kinds[k]
		if q.n == q.blank || k == c.times.time || k == c.times.date || k == c.times.clk {
			continue
		}
		fits := true
		for s := range q.distinct {
			s = strings.ToLower(s)
			fits = fits && halves[s] && (len(s) > 1 || strings.Contains(strings.ToLower(heads[k]), "am"))
		}
		if fits {
			c.times.half = k
			return
		}
	}
}

// otherTimes are columns of times besides those that are taken.
func (f *format) otherTimes(c *candidate) (out []int) {
	for k := range f.cols {
		if q := &c.kinds[k]; f.cols[k].role == roleSkip && !f.ownsTime(k) && q.time*10 >= (q.n-q.blank)*6 && q.time > q.n/2 && q.number*2 < q.n {
			out = append(out, k)
		}
	}
	return out
}

// alike says whether two columns hold the same in each row of the sample.
func (c *candidate) alike(a, b int) bool {
	for i := c.start; i < len(c.fields); i++ {
		if fs := c.fields[i]; len(fs) == c.width && string(trim(fs[a])) != string(trim(fs[b])) {
			return false
		}
	}
	return true
}

// noteTimes names the column whose times are taken, where there are others.
func (f *format) noteTimes(c *candidate) {
	others := f.otherTimes(c)
	taken := max(c.times.time, c.times.date)
	if len(others) == 0 || taken < 0 {
		return
	}
	var heads []string
	for _, k := range others {
		if !c.alike(k, taken) {
			heads = append(heads, f.label(k))
		}
	}
	if len(heads) == 0 {
		return
	}
	holds := "holds"
	if len(heads) > 1 {
		holds = "hold"
	}
	if len(f.own) > 0 && !f.hourly {
		f.note(Note, f.skip, "%s %s times, too, and %s not used", columnsNamed(heads), holds, pick(len(heads), "is", "are"))
		return
	}
	f.note(Note, f.skip, "%s", fmt.Sprintf("times are taken from column %q; %s %s times, too, and is not used. If that is the wrong one, write time_column = %q for the file under [[source]] in plant.toml",
		f.label(taken), columnsNamed(heads), holds, heads[0]))
}
