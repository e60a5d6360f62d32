package layout

import (
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/stamp"
)

const (
	dayMS  = 86400_000
	halfMS = dayMS / 2
)

// MidnightEnds says whether the rows at a file's head write midnight with the date of
// the day that it ends: 23:45, 00:00 of the same date, 00:15 of the next.
func (f *Layout) MidnightEnds(head []byte) bool {
	if f.Time.Kind != stamp.TextTime || f.Hourly || f.PairTimes != nil {
		return false
	}
	tm := f.Time
	tm.Clock = stamp.ZoneOf(nil)
	var at []int64 // civil times, without repeats
	for cell := range f.TimeCells(head) {
		if c, st := tm.Civil(cell); st == stamp.TimeOK && (len(at) == 0 || at[len(at)-1] != c.Ms) {
			at = append(at, c.Ms)
		}
	}
	return midnightEnds(at, false) || midnightEnds(at, true)
}

// midnightEnds looks at the steps around midnights in rows of one order.
func midnightEnds(at []int64, newest bool) bool {
	ends, opens := 0, 0
	for i := 1; i+1 < len(at); i++ {
		if lex.FloorMod(at[i], dayMS) >= 1000 {
			continue
		}
		before, behind := at[i-1]-at[i], at[i+1]-at[i]
		if newest {
			before, behind = behind, before
		}
		switch {
		case before > halfMS && before < dayMS+1000 && behind > dayMS-1000 && behind < dayMS+halfMS:
			ends++
		case before < 0 && before > -dayMS, behind > 0 && behind <= dayMS-1000:
			opens++
		}
	}
	return ends > 0 && opens == 0
}

// AskMidnight says that midnight is read as the end of its date.
func (f *Layout) AskMidnight() {
	f.Ask(ledger.Question{Key: "midnight", Values: []string{"start", "end"}}, 0, "midnight stands with the date of the day that it ends (such as 23:45, then 00:00 of the same date): 00:00 is read as 24:00. If that is wrong, write midnight = \"start\" for the file under [[source]] in plant.toml, and midnight = \"end\" if it is right")
}
