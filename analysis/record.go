package analysis

import (
	"fmt"
	"math"
	"strings"
	"time"

	"weirbook/analysis/export"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/plant"
	"weirbook/analysis/series"
)

// recordSettings say where a record begins and ends. Common practice, no source.
type recordSettings struct {
	// LeadIn is how long before the period asked for readings are taken: what is
	// usual for a probe and for an hour of the day is learned from them. The
	// upsets look back 21 days for clean ones and take scatter from 31.
	LeadIn time.Duration
	// Silence in all signals for longer parts the record into stretches.
	Silence time.Duration
	// StrayShare is the most of all readings that may lie apart, with a gap longer
	// than the record itself, and be taken for a clock that was reset.
	StrayShare float64
}

func defaultRecordSettings() recordSettings {
	return recordSettings{LeadIn: 35 * 24 * time.Hour, Silence: 24 * time.Hour, StrayShare: 0.01}
}

// stretch is a period with its first and last reading, Unix milliseconds.
type stretch struct{ from, to int64 }

// groupsOf cuts the signals' readings of [from, to) where all are silent.
func groupsOf(p *plant.Plant, all map[string]*series.Series, from, to int64, set recordSettings) []series.Group {
	gap := set.Silence.Milliseconds()
	var out []series.Group
	for _, t := range p.Tags {
		if s := all[t.Name]; s != nil && !t.Sampled() {
			lo, hi := s.Between(from, to)
			out = append(out, series.Groups(s.T[lo:hi], gap)...)
		}
	}
	return series.JoinGroups(out, gap)
}

// recordOf gives the readings that a run rests on: those of the period asked for and
// its lead-in, or, with open ends, those of the record without what lies far
// from it. notes say what was left out; the error asks which of several
// records is meant.
func recordOf(in Input, all map[string]*series.Series, set recordSettings) (record stretch, notes []string, err error) {
	p, from, to := in.Plant, in.From, in.To
	asked := in.say(set)
	show := func(from, to int64) string {
		return fmt.Sprintf("%s to %s", localMinute(p, from), localMinute(p, to))
	}
	gs := groupsOf(p, all, asked.from, asked.to+1, set)
	if len(gs) == 0 {
		return record, nil, nothingInPeriod(in, in.exported)
	}
	main, apart, _ := series.Record(gs, set.Silence.Milliseconds())
	record = stretch{main.Start, main.End}
	if from != 0 && to != 0 { // the period says what is meant
		record, apart = stretch{gs[0].Start, gs[len(gs)-1].End}, nil
	}
	total := 0
	for _, g := range gs {
		total += g.N
	}
	var few, many []series.Group
	for _, g := range apart {
		if float64(g.N) <= set.StrayShare*float64(total) {
			few = append(few, g)
		} else {
			many = append(many, g)
		}
	}
	if len(many) > 0 {
		words := []string{show(record.from, record.to)}
		for _, g := range many {
			words = append(words, show(g.Start, g.End))
		}
		return record, nil, fmt.Errorf("the readings fall into records far apart: %s; name the one that is meant with --from and --to", strings.Join(words, ", and "))
	}
	for _, g := range few {
		at := localMinute(p, g.Start)
		if g.End-g.Start >= 60_000 {
			at = show(g.Start, g.End)
		}
		notes = append(notes, fmt.Sprintf("%d readings of %s lie further from the others (%s) than these are long and are not used: a clock that was reset? --from and --to take a period that holds them.", g.N, at, show(record.from, record.to)))
	}
	return record, notes, nil
}

// say is the time whose readings have a say in what is found: the period asked for
// and its lead-in, or what a review takes around one of its stretches.
func (in Input) say(set recordSettings) stretch {
	if in.keep != nil {
		return *in.keep
	}
	span := stretch{math.MinInt64, math.MaxInt64 - 1}
	if in.From != 0 {
		span.from = in.From - set.LeadIn.Milliseconds()
	}
	if in.To != 0 {
		span.to = in.To - 1
	}
	return span
}

// nothingInPeriod says that no signal has a reading in the period asked for, and what the
// exports hold.
func nothingInPeriod(in Input, exported map[string]stretch) error {
	whole := stretch{math.MaxInt64, math.MinInt64}
	for _, t := range in.Plant.Tags {
		if s, met := exported[t.Name]; met && !t.Sampled() {
			whole = stretch{min(whole.from, s.from), max(whole.to, s.to)}
		}
	}
	if whole.from > whole.to {
		return emptyError("the exports hold no reading of any signal in tags.csv; \"weirbook check\" shows what they hold")
	}
	p := in.Plant
	return emptyError(fmt.Sprintf("no reading between %s and %s; the exports hold %s to %s", bound(p, in.From), bound(p, in.To), localMinute(p, whole.from), localMinute(p, whole.to)))
}

// exportedSpans are the first and last reading of each tag in the exports, also of those
// that have no say.
func exportedSpans(read *export.Result) map[string]stretch {
	spans := map[string]stretch{}
	for _, t := range read.Tags {
		if t.Last != 0 {
			spans[t.Name] = stretch{t.First, t.Last}
		}
	}
	return spans
}

// inPeriodAsked keeps the readings that have a say, so that nothing else has: not in
// screening, nor in what is usual. A composite counts for the day before its
// stamp and stays for half a day longer.
func inPeriodAsked(in Input, read *export.Result, set recordSettings) (kept map[string]*series.Series, note string) {
	all := read.Series
	if in.From == 0 && in.To == 0 {
		return all, ""
	}
	span := in.say(set)
	kept = map[string]*series.Series{}
	for name, s := range all {
		kept[name] = readingsOf(s, span)
	}
	for _, t := range in.Plant.Tags {
		if s := all[t.Name]; s != nil && t.Reading == series.Composite && in.To != 0 {
			kept[t.Name] = readingsOf(s, stretch{span.from, span.to + compositePeriod.Milliseconds()/2})
		}
	}
	words := "the period asked for"
	if in.From != 0 {
		words += fmt.Sprintf(" and the %.0f days before it, from which what is usual is learned,", set.LeadIn.Hours()/24)
	}
	left := 0
	for _, l := range read.Ledger { // not kept when they were read
		left += l.Aside[ledger.OutsidePeriod]
	}
	for name, s := range all {
		left += s.Len() - kept[name].Len()
	}
	if left == 0 || in.keep != nil {
		return kept, ""
	}
	return kept, fmt.Sprintf("%d readings outside %s have no say in this report.", left, words)
}

func bound(p *plant.Plant, ms int64) string {
	if ms == 0 {
		return "any time"
	}
	return localMinute(p, ms)
}

func localMinute(p *plant.Plant, ms int64) string {
	return time.UnixMilli(ms).In(p.Zone).Format("2006-01-02 15:04")
}

// readingsOf is the readings of a record, sharing its columns.
func readingsOf(s *series.Series, record stretch) *series.Series {
	lo, hi := s.Between(record.from, record.to+1)
	if lo == 0 && hi == s.Len() {
		return s
	}
	return &series.Series{Tag: s.Tag, T: s.T[lo:hi], V: s.V[lo:hi], F: s.F[lo:hi]}
}
