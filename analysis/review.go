package analysis

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/export"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/plant"
	"weirbook/analysis/review"
	"weirbook/analysis/series"
)

// ReviewResult is a performance review with what it was read from.
type ReviewResult struct {
	Plant    *plant.Plant
	From, To int64    // Unix ms
	Asked    Asked    // as it was asked for
	Named    []string // the files named to be read
	Read     *export.Result
	Record   *review.Record
	Review   *review.Review
	Settings []Setting
	Windows  int // stretches that the record was read in
}

// A review reads its record in stretches of some months, so that it never holds
// the minutes of years. Each is read with what comes before it, since water leaving
// at its beginning entered earlier and a probe's usual level is learned from it.
const (
	reviewWhole = 124 * 24 * time.Hour // a record up to this long is read at once
	reviewLead  = 10 * 24 * time.Hour  // read before a stretch
	reviewTrail = 24 * time.Hour       // and after it
)

// Review reads the exports stretch by stretch and makes the performance review.
// compare (0, 0: none) is the earlier or later period that the review's own is
// held against.
func Review(ctx context.Context, in Input, compareFrom, compareTo int64, by review.Grouping) (*ReviewResult, error) {
	read, spans, err := readSpans(ctx, in)
	if err != nil {
		return nil, err
	}
	first, last := int64(math.MaxInt64), int64(math.MinInt64)
	for _, s := range spans {
		if !s.sampled && s.first <= s.last && s.last > 0 {
			first, last = min(first, s.first), max(last, s.last)
		}
	}
	if first > last {
		return nil, nothingRead(read)
	}
	if time.Duration(last-first)*time.Millisecond > longestPeriod {
		return nil, fmt.Errorf("the readings span %s to %s, over twenty years: a wrong date in an export? \"weirbook check\" shows each tag's first and last reading", day(in.Plant, first), day(in.Plant, last))
	}
	from, to := in.From, in.To
	if from == 0 {
		from = first
	}
	if to == 0 {
		to = last + 60_000
	}
	from, to = max(from, align.Hours(first, last+1, in.Plant.Zone)[0].Start), min(to, last+60_000)
	if from >= to {
		return nil, fmt.Errorf("no reading of a signal in the period asked for; the exports hold %s to %s", day(in.Plant, first), day(in.Plant, last))
	}
	lo, hi := from, to
	if compareTo > compareFrom {
		if compareTo <= first || compareFrom > last {
			return nil, fmt.Errorf("--compare: no reading of a signal in that period; the exports hold %s to %s", day(in.Plant, first), day(in.Plant, last))
		}
		if compareFrom < to && compareTo > from {
			return nil, fmt.Errorf("--compare: the two periods overlap; state the review's own with --from and --to")
		}
		lo, hi = min(lo, compareFrom), max(hi, compareTo)
	}
	res := &ReviewResult{Plant: in.Plant, From: from, To: to, Asked: Asked{in.From, in.To}, Read: read}
	for _, f := range in.Files {
		res.Named = append(res.Named, f.Name)
	}
	f := newFold(in.Plant, max(lo, first), min(hi, last+60_000))
	for _, w := range stretches(f.rec, in.Plant.Zone) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if !(w.Start < to && w.End > from) && !(w.Start < compareTo && w.End > compareFrom) {
			continue // between the two periods
		}
		if err := f.stretch(ctx, in, w, spans, first, last); err != nil {
			return nil, err
		}
		res.Windows++
	}
	res.Record = f.finish()
	res.Review, err = review.Make(res.Record, review.Asked{From: from, To: to, CompareFrom: compareFrom, CompareTo: compareTo, By: by})
	if err != nil {
		return nil, err
	}
	res.Settings = append(structSettings("review.", res.Review.Settings), f.settings...)
	return res, nil
}

func day(p *plant.Plant, ms int64) string {
	return time.UnixMilli(ms).In(p.Zone).Format("2006-01-02")
}

// span is what one file holds.
type fileSpan struct {
	file        export.File
	first, last int64 // of its readings, Unix ms; last 0: not known, read with every stretch
	sampled     bool  // holds laboratory results only
}

// readSpans goes through every file once and keeps nothing but the ledger and what
// time each file covers.
func readSpans(ctx context.Context, in Input) (*export.Result, []fileSpan, error) {
	all := &export.Result{Series: map[string]*series.Series{}, Messages: slices.Clone(in.NotRead)}
	tags := map[string]plant.Tag{}
	for _, t := range in.Plant.Tags {
		tags[t.Name] = t
	}
	var out []fileSpan
	total, done := int64(0), int64(0)
	for _, f := range in.Files {
		total += f.Size
	}
	files := append([]export.File(nil), in.Files...)
	sort.SliceStable(files, func(i, j int) bool { return files[i].Name < files[j].Name })
	for _, f := range files {
		opt := ReadOptions(in.Plant)
		opt.Hash, opt.Strict = in.Hash, in.Strict
		opt.From = time.UnixMilli(math.MaxInt64 / 2) // nothing is kept
		base := done
		if in.Progress != nil {
			opt.Progress = func(d, _ int64) { in.Progress((base+d)/2, total) }
		}
		r, err := export.Read(ctx, []export.File{f}, opt)
		if err != nil {
			return nil, nil, err
		}
		done += f.Size
		for _, msg := range r.Messages {
			// That nothing of a file was kept is of this look's own making.
			if msg.Severity == export.Error && in.Strict {
				return nil, nil, fmt.Errorf("%s: %s", place(msg), msg.Text)
			}
			all.Messages = append(all.Messages, msg)
		}
		s := fileSpan{file: f, first: math.MaxInt64, sampled: true}
		for _, t := range r.Tags {
			if _, ruled := tags[t.Name]; !ruled || t.Rows == 0 || t.Last == 0 {
				continue
			}
			s.first, s.last = min(s.first, t.First), max(s.last, t.Last)
			s.sampled = s.sampled && tags[t.Name].Sampled()
		}
		if s.last == 0 {
			s.sampled = false
		}
		out = append(out, s)
		for i := range r.Ledger {
			l := &r.Ledger[i]
			l.Used, l.Aside[ledger.OutsidePeriod] = l.Used+l.Aside[ledger.OutsidePeriod], 0
		}
		all.Ledger = append(all.Ledger, r.Ledger...)
		all.Files = append(all.Files, r.Files...)
		for _, a := range r.SetAside {
			if a.Reason != ledger.OutsidePeriod {
				all.SetAside = append(all.SetAside, a)
			}
		}
	}
	return all, out, nil
}

// stretches parts the hours at local quarters, or leaves a short record whole.
func stretches(rec *review.Record, zone *time.Location) []align.Window {
	from, to := rec.Hours[0].Start, rec.Hours[len(rec.Hours)-1].End
	if time.Duration(to-from)*time.Millisecond <= reviewWhole {
		return []align.Window{{Start: from, End: to}}
	}
	var out []align.Window
	for at := from; at < to; {
		t := time.UnixMilli(at).In(zone)
		next := time.Date(t.Year(), (t.Month()-1)/3*3+4, 1, 0, 0, 0, 0, zone).UnixMilli()
		out = append(out, align.Window{Start: at, End: min(next, to)})
		at = next
	}
	return out
}

// within gives the files that hold readings of a stretch of time.
func within(spans []fileSpan, from, to int64) []export.File {
	var out []export.File
	for _, s := range spans {
		if s.last == 0 || s.first < to && s.last >= from {
			out = append(out, s.file)
		}
	}
	return out
}
