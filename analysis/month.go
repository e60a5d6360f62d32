package analysis

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/discharge"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/finding"
	"weirbook/analysis/lab"
	"weirbook/analysis/plant"
	"weirbook/analysis/series"
)

// MonthResult is a monthly discharge summary with what it was read from.
type MonthResult struct {
	*Checked
	Plant *plant.Plant
	Month *discharge.Month
}

// Months reads and screens the exports and makes the discharge summaries of n calendar
// months in a row from one reading. Earlier months of the year that the exports hold stand
// in the year to date. It needs no signals: laboratory results alone make a month. A month
// of which the exports hold nothing is an error.
func Months(ctx context.Context, in Input, first time.Time, n int) ([]*MonthResult, error) {
	// The year to date begins in January, windows of a month or so before it; signals of
	// other years would only take memory and time.
	in.readFrom = time.Date(first.Year(), time.January, 1, 0, 0, 0, 0, in.Plant.Zone).AddDate(0, 0, -monthLead)
	in.readTo = time.Date(first.Year(), first.Month()+time.Month(n), 1, 0, 0, 0, 0, in.Plant.Zone).AddDate(0, 0, monthTrail)
	in.samplesWhole = true
	c, err := check(ctx, in, false)
	if err != nil {
		return nil, err
	}
	var empty []string
	for i := range n {
		if m := first.AddDate(0, i, 0); !holdsMonth(c, in.Plant, m) {
			empty = append(empty, m.Format("January 2006"))
		}
	}
	if len(empty) > 0 {
		return nil, fmt.Errorf("the exports hold nothing of %s that tags.csv names; %s", strings.Join(empty, ", "), reach(c, in.Plant))
	}
	d, notes := monthInput(c, in.Plant)
	j, err := judgeForMonth(c, in)
	if err != nil {
		return nil, err
	}
	var out []*MonthResult
	for i := range n {
		m, err := j.summarise(d, first.AddDate(0, i, 0))
		if err != nil {
			return nil, err
		}
		m.Remarks = append(m.Remarks, notes...)
		if j.basins != nil {
			if err := j.basins.addCT(m); err != nil {
				return nil, err
			}
		}
		out = append(out, &MonthResult{Checked: c, Plant: d.Plant, Month: m})
	}
	return out, ctx.Err()
}

// Days of signals before the year and behind the month that a summary is made from: what
// its windows reach over (discharge), and what is usual of a signal (recordSettings).
const (
	monthLead  = 37 + 35
	monthTrail = 8
)

// monthInput is what every month is summarised from, and remarks on it.
func monthInput(c *Checked, described *plant.Plant) (discharge.Input, []string) {
	all := maps.Clone(c.Read.Series)
	if all == nil {
		all = map[string]*series.Series{}
	}
	p, totals, notes := withTotalisers(described, all, c.Screen.Settings)
	maps.Copy(all, totals)
	f := &Frame{Plant: p, Series: map[string]*series.Series{}, settings: align.DefaultSettings()}
	f.settings.MaxGapContinuous = p.MaxGap
	d := discharge.Input{Plant: p, Settings: discharge.DefaultSettings(p), Unnamed: unnamedResults(c, p)}
	for _, t := range p.Tags {
		s := all[t.Name]
		if s == nil {
			s = &series.Series{Tag: t.Name}
		}
		f.Series[t.Name] = s
		d.Tags = append(d.Tags, discharge.TagData{Tag: t, Series: s, Rule: f.Rule(t), Lab: c.Read.Lab[t.Name], Unread: unreadRows(c, t), Stray: strayResults(s, t, p)})
	}
	return d, notes
}

// mostResults is how many rows of one name a laboratory's sheet may have and still be
// told from a signal's record; common practice, no source.
const mostResults = 400

// unnamedResults are the names in laboratories' sheets that tags.csv does not have, each
// with its rows: the same thing may be typed in several ways.
func unnamedResults(c *Checked, p *plant.Plant) []discharge.Count {
	sheets, rows := map[string]bool{}, map[string]int{}
	for _, l := range c.Read.Ledger {
		if t, ok := p.Tag(l.Tag); ok && t.Sampled() {
			sheets[l.File] = true
		}
	}
	for _, l := range c.Read.Ledger {
		if n := l.Aside[ledger.NotInTags]; sheets[l.File] && n > 0 && n <= mostResults {
			rows[l.Tag] += n
		}
	}
	var out []discharge.Count
	for _, name := range slices.Sorted(maps.Keys(rows)) {
		out = append(out, discharge.Count{Reason: name, N: rows[name]})
	}
	return out
}

// strayResults are the dates of single results further than half a year from every other
// of their tag, where the tag has several.
func strayResults(s *series.Series, t plant.Tag, p *plant.Plant) (out []time.Time) {
	const far = int64(183 * 24 * time.Hour / time.Millisecond)
	if n := s.Len(); t.Sampled() && n >= 4 {
		for i, at := range s.T {
			if (i == 0 || at-s.T[i-1] > far) && (i == n-1 || s.T[i+1]-at > far) {
				out = append(out, time.UnixMilli(at).In(p.Zone))
			}
		}
	}
	if len(out)*4 > s.Len() { // a parameter sampled once a year
		return nil
	}
	return out
}

// unreadRows counts a sampled tag's rows that could not be read, by file and reason: a
// result that is lost in one of them belongs to some month.
func unreadRows(c *Checked, t plant.Tag) (out []discharge.Count) {
	if !t.Sampled() {
		return nil
	}
	for _, l := range c.Read.Ledger {
		if l.Tag != t.Name {
			continue
		}
		for _, why := range []ledger.Reason{ledger.BadTime, ledger.NoSuchTime, ledger.RepeatedHour, ledger.DateOrder, ledger.BadNumber,
			ledger.CutShort, ledger.TooManyFields, ledger.Damaged} {
			if n := l.Aside[why]; n > 0 {
				out = append(out, discharge.Count{Reason: why.String() + " in " + l.File, N: n})
			}
		}
	}
	return out
}

// holdsMonth says whether some tag of tags.csv has a reading in a month.
func holdsMonth(c *Checked, p *plant.Plant, m time.Time) bool {
	at := func(months int) int64 {
		return time.Date(m.Year(), m.Month()+time.Month(months), 1, 0, 0, 0, 0, p.Zone).UnixMilli()
	}
	for _, t := range p.Tags {
		if s := c.Read.Series[t.Name]; s != nil {
			if lo, hi := s.Between(at(0), at(1)); hi > lo {
				return true
			}
		}
		if slices.ContainsFunc(c.Read.Lab[t.Name], func(x lab.Cell) bool { return x.T >= at(0) && x.T < at(1) }) {
			return true
		}
	}
	return false
}

// reach says from when to when the exports hold readings.
func reach(c *Checked, p *plant.Plant) string {
	first, last := int64(0), int64(0)
	for _, t := range p.Tags {
		if s, met := c.exported[t.Name]; met {
			if first == 0 || s.from < first {
				first = s.from
			}
			last = max(last, s.to)
		}
	}
	day := func(ms int64) string { return time.UnixMilli(ms).In(p.Zone).Format("2 January 2006") }
	if first == 0 {
		return "\"weirbook check\" shows what they hold"
	}
	return fmt.Sprintf("they reach from %s to %s. Is it the month that was meant, and are its exports among the files?", day(first), day(last))
}

// monthJudging is what judging the instruments says of the signals that a month
// rests on.
type monthJudging struct {
	remarks []string
	faults  []finding.Finding // held at fault, sure enough
	clips   []finding.Finding // off the end of the instrument's scale
	doubts  []finding.Finding // less sure
	basins  *monthBasins      // nil: none to follow
}

// SureForMonth is the confidence from which a reading is left out of the month
// over a finding; below it the finding is told and the reading used.
const SureForMonth = 0.7

// judgeForMonth judges the instruments as a run does, takes an analyser's cleaning
// and standards out of the readings, and keeps the findings that hold a flow
// meter, an analyser or the record at fault. Without what judging needs, as with
// laboratory results alone, there is nothing to judge.
func judgeForMonth(c *Checked, in Input) (monthJudging, error) {
	var j monthJudging
	f, err := newFrame(c.Read.Series, c.Screen.Settings, Input{Plant: in.Plant})
	if err != nil || len(in.Plant.Basins) == 0 {
		return j, nil
	}
	logged := f.maskLogged()
	r := &Result{Frame: f}
	if r.Feeds, err = feeds(f); err != nil {
		return j, err
	}
	if r.Basins, err = basins(f); err != nil {
		return j, err
	}
	if err := r.judge(); err != nil {
		return j, err
	}
	r.markServices()
	j.remarks = append(logged, r.serviceRemarks()...)
	finding.Sort(r.Findings)
	j.take(r.Findings)
	return j, j.followForMonth(f)
}

// take parts the findings by what a month makes of them.
func (j *monthJudging) take(fs []finding.Finding) {
	for _, x := range fs {
		switch {
		case x.AtFault != finding.FlowMeter && x.AtFault != finding.ResidualAnalyser && x.AtFault != finding.Data:
		case strings.HasSuffix(x.Kind, "-clip"):
			j.clips = append(j.clips, x)
		case x.Confidence >= SureForMonth && x.Kind != "clock-shift" && x.Kind != "chlorine-at-outfall":
			j.faults = append(j.faults, x)
		default:
			j.doubts = append(j.doubts, x)
		}
	}
}

// about says whether a finding is about a tag; one about the record as a whole is
// about every signal.
func about(x finding.Finding, t plant.Tag, tags []discharge.TagData) bool {
	if t.Sampled() {
		return false
	}
	if x.AtFault == finding.Data && !slices.ContainsFunc(tags, func(d discharge.TagData) bool { return d.Tag.Name == x.Subject }) {
		return true
	}
	return t.Name == x.Subject || t.Name == x.Subject+" (differenced)"
}

// summarise makes a month without the readings that findings hold at fault, and
// says what each figure would be with them.
func (j monthJudging) summarise(d discharge.Input, first time.Time) (*discharge.Month, error) {
	d.Year, d.Month = first.Year(), first.Month()
	with, err := discharge.Summarise(d)
	if err != nil {
		return nil, err
	}
	with.Remarks = append(with.Remarks, j.remarks...)
	start, end := time.Date(d.Year, d.Month, 1, 0, 0, 0, 0, d.Plant.Zone).UnixMilli(), time.Date(d.Year, d.Month+1, 1, 0, 0, 0, 0, d.Plant.Zone).UnixMilli()
	used := map[string]bool{}
	for _, s := range with.Sources {
		used[s.Tag] = true
	}
	touches := func(x finding.Finding, t discharge.TagData) bool {
		return used[t.Tag.Name] && x.End > start && x.Start < end && about(x, t.Tag, d.Tags)
	}
	said := map[string]bool{}
	say := func(m *discharge.Month, x finding.Finding, tags []string, what string) {
		text := fmt.Sprintf("%s, %s to %s. %s (%.0f %% sure). %s", strings.Join(tags, ", "), when(x.Start, d.Plant), when(x.End, d.Plant), strings.TrimSuffix(x.Summary, "."), 100*x.Confidence, what)
		if !said[text] {
			said[text] = true
			m.Remarks = append(m.Remarks, text)
		}
	}
	tell := func(m *discharge.Month, xs []finding.Finding, what string) {
		for _, x := range xs {
			var tags []string
			for _, t := range d.Tags {
				if touches(x, t) {
					tags = append(tags, t.Tag.Name)
				}
			}
			if len(tags) > 0 {
				say(m, x, tags, what)
			}
		}
	}
	m := with
	if tags := j.without(d.Tags, touches); tags != nil {
		d.Tags = tags
		if m, err = discharge.Summarise(d); err != nil {
			return nil, err
		}
		m.Remarks = append(m.Remarks, j.remarks...)
		tell(m, j.faults, "The readings of that time are left out; a permit may ask for them, or for another measurement in their place.")
		for _, t := range tags {
			if slices.ContainsFunc(j.faults, func(x finding.Finding) bool { return touches(x, t) }) {
				m.AtFault = append(m.AtFault, t.Tag.Name)
			}
		}
		discharge.CompareWith(m, with, "With the readings that the judging of the instruments holds at fault")
	}
	tell(m, j.clips, "What rests on them is \"at least\".")
	tell(m, j.doubts, "The readings are used.")
	return m, nil
}

func when(ms int64, p *plant.Plant) string {
	return time.UnixMilli(ms).In(p.Zone).Format("2 January 15:04")
}

// without gives the tags with the readings at fault marked as unusable and those
// off the scale as "more than"; nil where nothing is to be marked.
func (j monthJudging) without(tags []discharge.TagData, touches func(finding.Finding, discharge.TagData) bool) []discharge.TagData {
	out := slices.Clone(tags)
	any := false
	mark := func(xs []finding.Finding, f series.Flag) {
		for _, x := range xs {
			for i := range out {
				if !touches(x, tags[i]) {
					continue
				}
				if &out[i].Series.F == &tags[i].Series.F { // the run's own stays as it is
					s := *tags[i].Series
					s.F = slices.Clone(s.F)
					out[i].Series = &s
				}
				lo, hi := out[i].Series.Between(x.Start, x.End)
				for k := lo; k < hi; k++ {
					if f == series.Invalid && out[i].Series.V[k] >= out[i].Tag.High*0.999 { // stuck at the end of its scale: at least that
						out[i].Series.F[k] |= series.GreaterThan
						continue
					}
					out[i].Series.F[k] |= f
				}
				any = any || hi > lo
			}
		}
	}
	mark(j.faults, series.Invalid)
	mark(j.clips, series.GreaterThan)
	if !any {
		return nil
	}
	return out
}
