// Package review makes a performance review of a disinfection plant from years of
// hours: how reliably it met what is asked, what limits it, what drives it, what
// changed, which instrument can be trusted. It is given hours, samples and
// findings, never minutes, and says of each figure how it is defined, how many
// values stand behind it, how many of them rest on an instrument in doubt, and how
// many independent ones they are worth.
//
// It advises. What it means for a permit is for the regulator and the engineer who
// signs to say.
package review

import (
	"math"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/contact"
	"weirbook/analysis/discharge"
	"weirbook/analysis/finding"
	"weirbook/analysis/plant"
)

// Record is what a review rests on.
type Record struct {
	Plant       *plant.Plant
	Hours       []align.Window // local hours, from the first to the last of the record, none left out
	Columns     map[string]*Column
	Basins      []Basin
	Samples     []Sample // laboratory results, by time
	Pairs       []Pair   // laboratory results beside the signal of the same point, by time
	Findings    []finding.Finding
	LimitMonths []LimitMonth // each limit of the permit in each whole month, in time
	Taken       []Sampling   // the samples that each limit asks for, a month each
	Changed     []string     // questions about the record itself: a unit or span that changed in its middle
	Doubts      []Doubt      // when an instrument is judged not to be believed
	Services    []Service    // when one was out for cleaning or calibration
	Notes       []string
}

// Column is one hourly quantity, as in hourly.csv.
type Column struct {
	Title, Unit string
	Values      []float64 // one an hour; NaN: not determined
	Cover       []float32 // share of the hour covered; nil: has no meaning
}

// Basin is one contact basin's hours.
type Basin struct {
	plant.Basin
	FlowTag, ResidualTag string
	Asks                 []Ask
	Verdict              []contact.Verdict // the worst of all asks; empty: nothing was asked
	CT, Required         []float64         // mg·min/L, as judged
	Residual             []float64         // lowest of the hour, mg/L
	PeakFlow             []float64         // MGD
	ContactMin           []float64         // at peak flow, min
	Doubt                []string          // the instrument in doubt; empty: none
	Cause                []Cause           // of short hours
	Why                  []string          // of hours not determined, the reason
}

// Ask is one thing asked of a basin, over the hours.
type Ask struct {
	Name, Unit string
	Required   []float64
	Value      []float64
	Verdict    []contact.Verdict
}

// Cause is what a short hour is put down to.
type Cause string

// Causes, in the order in which they are shown.
const (
	CauseFlow       Cause = "flow and volume"
	CauseDose       Cause = "dose"
	CauseDemand     Cause = "demand"
	CauseConditions Cause = "temperature and pH"
	CauseInstrument Cause = "instrument in doubt"
	CauseUsual      Cause = "as usually run"
	CauseUnknown    Cause = "not known"
)

// Causes lists them.
func Causes() []Cause {
	return []Cause{CauseFlow, CauseDose, CauseDemand, CauseConditions, CauseInstrument, CauseUsual, CauseUnknown}
}

// Sample is one laboratory result.
type Sample struct {
	Tag string
	At  int64 // Unix ms
	discharge.Value
}

// Pair is a laboratory result beside what the signal read then.
type Pair struct {
	Lab, Signal string // tags
	At          int64
	Grab, Read  float64
	Doubt       bool // the signal is judged in doubt then
}

// Doubt is a stretch in which an instrument is judged not to be believed.
type Doubt struct {
	Tag, Kind  string
	Party      finding.Party
	Start, End int64
}

// Service is a stretch in which an instrument was cleaned or calibrated.
type Service struct {
	Tag        string
	Start, End int64
}

// Period is a stretch of the record, as indices of hours [Lo, Hi).
type Period struct {
	Name   string
	Lo, Hi int
}

// Len is the number of hours.
func (p Period) Len() int { return p.Hi - p.Lo }

// Between is the period of hours that begin in [from, to).
func (r *Record) Between(name string, from, to int64) Period {
	p := Period{Name: name}
	for p.Lo < len(r.Hours) && r.Hours[p.Lo].Start < from {
		p.Lo++
	}
	p.Hi = p.Lo
	for p.Hi < len(r.Hours) && r.Hours[p.Hi].Start < to {
		p.Hi++
	}
	return p
}

// Start and End of a period, Unix ms; the record must hold hours.
func (r *Record) Start(p Period) int64 { return r.Hours[p.Lo].Start }

// End is the end of a period's last hour.
func (r *Record) End(p Period) int64 { return r.Hours[p.Hi-1].End }

// At is an hour's beginning on the plant's clock.
func (r *Record) At(i int) time.Time { return time.UnixMilli(r.Hours[i].Start).In(r.Plant.Zone) }

// Values gives a column's values; nil where the record has none.
func (r *Record) Values(name string) []float64 {
	if c := r.Columns[name]; c != nil {
		return c.Values
	}
	return nil
}

// Days gives the means over local days of hourly values of a period, where share
// of the day's hours are known, with the hour each day begins at.
func (r *Record) Days(v []float64, p Period, share float64) (day []int, mean []float64) {
	return r.groups(v, p, share, func(t time.Time) int { return t.YearDay() + 1000*t.Year() })
}

// Months gives the same over calendar months.
func (r *Record) Months(v []float64, p Period, share float64) (month []int, mean []float64) {
	return r.groups(v, p, share, func(t time.Time) int { return int(t.Month()) + 100*t.Year() })
}

// groups means hourly values over runs of equal key. A run that the period cuts
// counts what it holds against its own hours.
func (r *Record) groups(v []float64, p Period, share float64, key func(time.Time) int) (at []int, mean []float64) {
	if v == nil {
		return nil, nil
	}
	for i := p.Lo; i < p.Hi; {
		k, j := key(r.At(i)), i
		sum, known := 0.0, 0
		for ; j < p.Hi && key(r.At(j)) == k; j++ {
			if !math.IsNaN(v[j]) {
				sum, known = sum+v[j], known+1
			}
		}
		m := math.NaN()
		if known > 0 && float64(known) >= share*float64(j-i)-1e-9 {
			m = sum / float64(known)
		}
		at, mean = append(at, i), append(mean, m)
		i = j
	}
	return at, mean
}

// basinTags are the instruments that a basin's CT rests on.
func (b *Basin) rests(tag string) bool { return tag == b.FlowTag || tag == b.ResidualTag }

// determined says that an hour of a basin was judged.
func determined(v contact.Verdict) bool { return v != "" && v != contact.NotDetermined }

// short says that an hour of a basin was short of what is asked.
func short(v contact.Verdict) bool { return v == contact.Short || v == contact.ShortWithin }
