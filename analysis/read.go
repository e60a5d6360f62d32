package analysis

import (
	"context"

	"weirbook/analysis/export"
	"weirbook/analysis/plant"
)

// Input is what a run works on.
type Input struct {
	Plant    *plant.Plant
	Files    []export.File
	From, To int64 // Unix milliseconds; 0: as far as the readings go
	Strict   bool  // a damaged export stops the run
	Hash     bool  // the files' SHA-256 is wanted, for the record of a run
	Progress func(done, total int64)
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
			Tag: s.Tag, TimeColumn: s.TimeColumn, TagColumn: s.TagColumn, ValueColumn: s.ValueColumn, QualityColumn: s.Quality, QualityCodes: s.Codes,
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
	opt.Progress = in.Progress
	return export.Read(ctx, in.Files, opt)
}
