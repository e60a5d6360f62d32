package discharge

import (
	"errors"
	"fmt"
	"sort"
	"time"

	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
)

// Month is a monthly discharge summary: plain data, ready to be laid out.
type Month struct {
	Plant, Facility, PermitNumber string
	Year                          int
	Month                         time.Month
	Zone                          string
	Days                          []CalendarDay // of the month
	Weeks                         []Week        // that touch the month
	Lines                         []Line
	Columns                       []Column
	Sources                       []Source
	Reporting                     plant.Reporting // the permit's rules that were used
	Settings                      Settings
	Rules                         []string // the rules and settings in sentences
	Remarks                       []string
	AtFault                       []string // tags of which readings are left out because a finding holds them at fault
	Unread                        int      // rows of laboratory results, of any date, that could not be read
	Unnamed                       []Count  // names in the laboratories' sheets that no tag has; Reason is the name
	Process                       []Process
	Cautions                      []string
}

// CalendarDay is a day of the month and its length.
type CalendarDay struct {
	Date  time.Time
	Hours float64
}

// Column is one parameter at one point, day by day: from the first day of the
// first week that touches the month to the last day of the last one.
type Column struct {
	Kind     quantity.Kind
	At       string
	Title    string // "Total suspended solids, outfall (composite)"
	Short    string // "TSS outfall"
	Sample   string
	Variant  string // where a limit has its results taken otherwise than [reporting] does: "zero"; else empty
	Choice   Choice // the rules by which its results count
	Unit     string // working unit
	Decimals int    // most decimals of its results; 3 for a signal
	Days     []Day
	MonthLo  int // Days[MonthLo:MonthHi] is the month
	MonthHi  int
	Results  []Result // of those days, by time; none for a signal
	HasLoad  bool
	FlowTag  string
	Tags     []string
}

// Source is one tag that the summary rests on.
type Source struct {
	Tag, Measures, At, Unit string
	Reading                 string
	Readings, Used          int // in the month
	LeftOut                 []Count
	Hours                   float64 // covered in the month, of a signal; NaN for samples
	HoursOf                 float64 // in the month
	DaysWhole, DaysPart     int     // days covered whole; in part but enough, the covered part standing for the day
	DaysShort               int     // days not determined
	Accuracy                string
}

// Count is how many readings carry a remark.
type Count struct {
	Reason string
	N      int
}

// First is the first day of the month, midnight UTC: only the date counts.
func (m *Month) First() time.Time { return date(m.Year, m.Month, 1) }

// Name: "March 2026".
func (m *Month) Name() string { return m.First().Format("January 2006") }

// Summarise makes the monthly summary. An error means that the input makes no
// month at all; what a single figure lacks stands in its line.
func Summarise(in Input) (*Month, error) {
	switch {
	case in.Plant == nil:
		return nil, errors.New("no plant description")
	case in.Month < time.January || in.Month > time.December || in.Year < 1900 || in.Year > 9999:
		return nil, fmt.Errorf("there is no month %d-%02d", in.Year, in.Month)
	}
	for _, t := range in.Tags {
		if t.Series == nil {
			return nil, fmt.Errorf("tag %s has no readings", t.Tag.Name)
		}
		if err := t.Series.Check(); err != nil {
			return nil, err
		}
	}
	if in.Settings == (Settings{}) {
		in.Settings = DefaultSettings(in.Plant)
	}
	// The order in which files were read must not matter.
	in.Tags = append([]TagData(nil), in.Tags...)
	sort.SliceStable(in.Tags, func(i, j int) bool { return in.Tags[i].Tag.Line < in.Tags[j].Tag.Line })
	b := newBench(in)
	m := &Month{Plant: in.Plant.Name, Facility: in.Plant.Reporting.Facility, PermitNumber: in.Plant.Reporting.PermitNumber,
		Year: in.Year, Month: in.Month, Zone: in.Plant.ZoneName, Reporting: in.Plant.Reporting, Settings: in.Settings}
	lo, hi := b.cal.month(in.Year, in.Month)
	for i := lo; i < hi; i++ {
		m.Days = append(m.Days, CalendarDay{b.cal.dates[i], b.cal.hours(i)})
	}
	m.Weeks = b.cal.weeks(in.Year, in.Month, in.Plant.Reporting)
	for _, l := range in.Plant.Limits {
		m.Lines = append(m.Lines, b.lines(l, true)...)
	}
	for _, l := range b.unlisted() {
		m.Lines = append(m.Lines, b.lines(l, false)...)
	}
	b.columnsOf(m)
	b.sourcesOf(m)
	b.words(m)
	b.besideSamples(m)
	b.unnamed(m)
	b.process(m)
	return m, nil
}
