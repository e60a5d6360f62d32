package analysis

import (
	"context"
	"fmt"
	"slices"
	"time"

	"weirbook/analysis/export"
	"weirbook/analysis/plant"
)

// Input is what a run works on.
type Input struct {
	Plant    *plant.Plant
	Files    []export.File
	NotRead  []export.Message // what was named with the files and is not among them, and why
	From, To int64            // Unix milliseconds; 0: as far as the readings go
	Strict   bool             // a damaged export stops the run
	Hash     bool             // the files' SHA-256 is wanted, for the record of a run
	Progress func(done, total int64)

	readFrom, readTo time.Time          // readings beyond are set aside; zero: none. A review reads so
	samplesWhole     bool               // but for samples
	exported         map[string]stretch // what the exports hold, by tag
	keep             *stretch           // the readings that have a say; nil: see say
}

// ReadOptions turns what the plant description says of its tags and sources
// into the reader's rules.
func ReadOptions(p *plant.Plant) export.Options {
	opt := export.Options{Zone: p.Zone, Rules: map[string]export.TagRule{}, StateWords: export.StateWords(p.StateWords)}
	for _, t := range p.Tags {
		// Where tags.csv states no span, the reader takes the kind's physical one.
		opt.Rules[t.Name] = export.TagRule{Kind: t.Measures, Unit: t.Unit, HasUnit: t.HasUnit,
			Low: t.Low, High: t.High, Reading: t.Reading, Line: t.Line}
	}
	for _, s := range p.Sources {
		opt.Sources = append(opt.Sources, export.SourceRule{Name: s.Name, Files: s.Files, Zone: s.Zone,
			ClockOffset: s.ClockOffset, DateOrder: s.DateOrder, Decimal: s.Decimal, Encoding: s.Encoding, Layout: s.Layout,
			Tag: s.Tag, TimeColumn: s.TimeColumn, ValueTimes: s.ValueTimes, Midnight: s.Midnight, FillNumbers: s.FillNumbers, TagColumn: s.TagColumn, TagColumns: s.TagColumns, ValueColumn: s.ValueColumn, QualityColumn: s.Quality, QualityCodes: s.Codes,
			GoodWords: s.GoodWords, UncertainWords: s.UncertainWords, BadWords: s.BadWords})
	}
	return opt
}

// readExports reads the exports; with looks it also says what each tag's numbers
// look like.
func readExports(ctx context.Context, in Input, looks bool) (*export.Result, error) {
	opt := ReadOptions(in.Plant)
	opt.Hash, opt.Looks = in.Hash, looks
	opt.Strict = in.Strict
	opt.From, opt.To, opt.AllSamples = in.readFrom, in.readTo, in.samplesWhole
	if in.keep == nil { // what has no say is not kept, so that memory follows the period asked for
		span := in.say(defaultRecordSettings())
		if in.From != 0 {
			opt.From = time.UnixMilli(span.from)
		}
		if in.To != 0 {
			opt.To = time.UnixMilli(span.to + 1 + compositePeriod.Milliseconds()/2)
		}
	}
	opt.KeepFarOff = in.From != 0 || in.To != 0 || in.keep != nil
	opt.Progress = in.Progress
	read, err := export.Read(ctx, in.Files, opt)
	if err != nil {
		return nil, err
	}
	read.Messages = append(slices.Clone(in.NotRead), read.Messages...)
	if in.Strict {
		for _, m := range read.Messages {
			if m.Severity == export.Error {
				return nil, fmt.Errorf("%s: %s", place(m), m.Text)
			}
		}
	}
	return read, nil
}

// place is a message's file and line, as far as they are known.
func place(m export.Message) string {
	if m.Line > 0 {
		return fmt.Sprintf("%s:%d", m.File, m.Line)
	}
	return m.File
}

// Unread lists what could not be read, wholly or in part, one file each: readings
// that nothing below knows of.
func Unread(read *export.Result) []export.Message {
	var out []export.Message
	seen := map[string]bool{}
	for _, m := range read.Messages {
		if m.Severity == export.Error && !seen[m.File] {
			seen[m.File] = true
			out = append(out, m)
		}
	}
	return out
}
