package export

import (
	"time"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/merge"
	"weirbook/analysis/export/stamp"
)

// A clock of twelve hours without AM and PM goes round twice a day: its afternoons bear
// the times of its mornings.

// What shows such a clock. Our choice.
const (
	twelveRows  = 24   // rows of a tag, at least
	twelveShare = 0.25 // of them that come again at a time or step back, at least
)

// settleTwelve closes a table whose hours are 1 to 12, each of them, and come again.
func (r *reader) settleTwelve(t *table, _ *merge.PassResult) (again bool) {
	f := t.F
	if f.Time.Kind != stamp.TextTime || f.Closed || f.Hourly || f.PairTimes != nil || f.Times.Half >= 0 {
		return false
	}
	loc := f.Time.Clock.Loc
	if loc == nil {
		loc = time.UTC
	}
	for _, k := range t.Tracks {
		if k == nil || k.Led.Rows < twelveRows {
			continue
		}
		comes := k.Led.Aside[ledger.Repeated] + k.Led.Aside[ledger.Conflicting] + k.NLate
		if float64(comes) < twelveShare*float64(k.Led.Rows) {
			continue
		}
		hours := [24]bool{}
		for _, ms := range append(k.Main.T[:len(k.Main.T):len(k.Main.T)], k.Early...) {
			hours[time.UnixMilli(ms).In(loc).Hour()] = true
		}
		round := true
		for h, met := range hours {
			round = round && met == (h >= 1 && h <= 12)
		}
		if round {
			f.Close(ledger.BadTime)
			r.message(ledger.Error, t.M.Name, 0, "the hours go round from 1 to 12 twice a day, and nothing tells morning from afternoon, so the file is not read. Export the times with AM and PM, or with 24 hours")
			return true
		}
	}
	return false
}
