package analysis

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"time"

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

// stretch is readings of any signal without a longer silence between them.
type stretch struct {
	from, to int64 // Unix milliseconds of the first and last reading
	rows     int
}

// stretchesOf cuts the signals' readings of [from, to) where all are silent.
func stretchesOf(p *plant.Plant, all map[string]*series.Series, from, to int64, set recordSettings) []stretch {
	gap := set.Silence.Milliseconds()
	var out []stretch
	for _, t := range p.Tags {
		s := all[t.Name]
		if s == nil || t.Sampled() {
			continue
		}
		lo, hi := s.Between(from, to)
		for i := lo; i < hi; {
			end := i + 1
			for end < hi && s.T[end]-s.T[end-1] <= gap {
				end++
			}
			out = append(out, stretch{s.T[i], s.T[end-1], end - i})
			i = end
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].from < out[j].from })
	n := 0
	for _, s := range out {
		if n > 0 && s.from-out[n-1].to <= gap {
			out[n-1].to = max(out[n-1].to, s.to)
			out[n-1].rows += s.rows
			continue
		}
		out[n] = s
		n++
	}
	return out[:n]
}

// mainRecord finds the stretches that make up the record: that with the most
// readings, and those that lie no further from it than it is long. few are
// apart and hold few readings, many are apart and hold more.
func mainRecord(ss []stretch, set recordSettings) (record stretch, few, many []stretch) {
	total, best := 0, 0
	for i, s := range ss {
		total += s.rows
		if s.rows > ss[best].rows {
			best = i
		}
	}
	record = ss[best]
	lo, hi := best, best
	for {
		reach := max(record.to-record.from, set.Silence.Milliseconds())
		switch {
		case lo > 0 && record.from-ss[lo-1].to <= reach:
			lo--
		case hi+1 < len(ss) && ss[hi+1].from-record.to <= reach:
			hi++
		default:
			for i, s := range ss {
				switch {
				case i >= lo && i <= hi:
				case float64(s.rows) <= set.StrayShare*float64(total):
					few = append(few, s)
				default:
					many = append(many, s)
				}
			}
			return record, few, many
		}
		record = stretch{ss[lo].from, ss[hi].to, 0}
	}
}

// recordOf gives the readings that a run rests on: those of the period asked for and
// its lead-in, or, with open ends, those of the record without what lies far
// from it. notes say what was left out; the error asks which of several
// records is meant.
func recordOf(in Input, all map[string]*series.Series, set recordSettings) (record stretch, notes []string, err error) {
	p, from, to := in.Plant, in.From, in.To
	asked := in.say(set)
	show := func(s stretch) string {
		return fmt.Sprintf("%s to %s", localMinute(p, s.from), localMinute(p, s.to))
	}
	ss := stretchesOf(p, all, asked.from, asked.to+1, set)
	if len(ss) == 0 {
		whole := stretchesOf(p, all, math.MinInt64, math.MaxInt64, set)
		if len(whole) == 0 {
			return record, nil, emptyError("the exports hold no reading of any signal in tags.csv; \"weirbook check\" shows what they hold")
		}
		return record, nil, emptyError(fmt.Sprintf("no reading between %s and %s; the exports hold %s", bound(p, from), bound(p, to), show(stretch{whole[0].from, whole[len(whole)-1].to, 0})))
	}
	record, few, many := mainRecord(ss, set)
	if from != 0 && to != 0 {
		few, many = nil, nil // the period says what is meant
		record = stretch{ss[0].from, ss[len(ss)-1].to, 0}
	}
	if len(many) > 0 {
		words := []string{show(record)}
		for _, s := range many {
			words = append(words, show(s))
		}
		return record, nil, fmt.Errorf("the readings fall into records far apart: %s; name the one that is meant with --from and --to", strings.Join(words, ", and "))
	}
	for _, s := range few {
		at := localMinute(p, s.from)
		if s.to-s.from >= 60_000 {
			at = show(s)
		}
		notes = append(notes, fmt.Sprintf("%d readings of %s lie further from the others (%s) than these are long and are not used: a clock that was reset? --from and --to take a period that holds them.", s.rows, at, show(record)))
	}
	return record, notes, nil
}

// say is the time whose readings have a say in what is found: the period asked for
// and its lead-in, or what a review takes around one of its stretches.
func (in Input) say(set recordSettings) stretch {
	if in.keep != nil {
		return *in.keep
	}
	span := stretch{math.MinInt64, math.MaxInt64 - 1, 0}
	if in.From != 0 {
		span.from = in.From - set.LeadIn.Milliseconds()
	}
	if in.To != 0 {
		span.to = in.To - 1
	}
	return span
}

// inPeriodAsked keeps the readings that have a say, so that nothing else has: not in
// screening, nor in what is usual. A composite counts for the day before its
// stamp and stays for half a day longer.
func inPeriodAsked(in Input, all map[string]*series.Series, set recordSettings) (kept map[string]*series.Series, note string) {
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
			kept[t.Name] = readingsOf(s, stretch{span.from, span.to + compositePeriod.Milliseconds()/2, 0})
		}
	}
	words := "the period asked for"
	if in.From != 0 {
		words += fmt.Sprintf(" and the %.0f days before it, from which what is usual is learned,", set.LeadIn.Hours()/24)
	}
	left := 0
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
