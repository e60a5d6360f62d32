package draft

import (
	"math"
	"regexp"
	"slices"

	"weirbook/analysis/export"
	"weirbook/analysis/series"
)

// lagSettings for water that takes minutes to hours: common practice, no source.
func lagSettings() export.LagSettings {
	return export.LagSettings{MaxMinutes: 150, StepMinutes: 3, HighPass: 8, MinDays: 3, MinT: 2.5, MinMinutes: 3}
}

const (
	lagDays = 20        // the last days that are looked at
	bridged = 2 * 3_600 // s; a stored value holds no longer
)

// held writes a signal as one value every step, each holding until the next: two
// signals that were stored on change can so be compared.
func held(s *series.Series, stepMinutes int) *series.Series {
	out := &series.Series{}
	if s == nil || s.Len() == 0 {
		return out
	}
	step := int64(stepMinutes) * 60_000
	from := max(s.T[0], s.T[s.Len()-1]-lagDays*86_400_000)
	from -= from % step
	i := s.Find(from)
	value, at := math.NaN(), int64(0)
	for t := from; t <= s.T[s.Len()-1]; t += step {
		sum, n := 0.0, 0
		for ; i < s.Len() && s.T[i] < t+step; i++ {
			if s.Usable(i) {
				value, at = s.V[i], s.T[i]
				sum, n = sum+value, n+1
			}
		}
		switch {
		case n > 0:
			out.Append(t, sum/float64(n), 0)
		case !math.IsNaN(value) && t-at < bridged*1000:
			out.Append(t, value, 0)
		}
	}
	return out
}

// world is what the exports hold beside the guesses.
type world struct {
	desc   map[string]string
	series map[string]*series.Series
	held   map[string]*series.Series
	lags   map[[2]string]export.Lag
}

func newWorld(r *export.Result) *world {
	w := &world{desc: map[string]string{}, series: r.Series, held: map[string]*series.Series{}, lags: map[[2]string]export.Lag{}}
	for _, t := range r.Tags {
		w.desc[t.Name] = t.Description
	}
	return w
}

// words of a tag's name and description.
func (w *world) words(tag string) []string {
	ws := tokens(tag + " " + w.desc[tag])
	if flowElement.MatchString(tag) {
		ws = slices.DeleteFunc(ws, func(s string) bool { return s == "fe" })
	}
	return ws
}

// flowElement: FE before a number is no final effluent.
var flowElement = regexp.MustCompile(`(?i)(?:^|[^a-z])FE[-_ ]?[0-9]`)

func (w *world) signal(tag string) *series.Series {
	if s, ok := w.held[tag]; ok {
		return s
	}
	s := held(w.series[tag], lagSettings().StepMinutes)
	w.held[tag] = s
	return s
}

// behind says by how many minutes b shows what a showed before; negative where b
// is first. ok only where days agree on it.
func (w *world) behind(a, b string) (minutes int, l export.Lag, ok bool) {
	if a > b {
		m, l, ok := w.behind(b, a)
		return -m, l, ok
	}
	key := [2]string{a, b}
	l, done := w.lags[key]
	if !done {
		l = export.EstimateLag(w.signal(a), w.signal(b), lagSettings())
		w.lags[key] = l
	}
	return -l.Minutes, l, l.Ask
}
