// Package draft guesses, from what exports hold, what each tag measures, and
// writes a starter plant.toml and tags.csv for a person to correct.
//
// Every guess carries its reasons, and a question where the signs disagree or
// are missing. What the values do counts above what the tag is called: a signal
// of whole numbers between 200 and 900 is ORP in mV whatever its unit column
// says, because no residual reads like that.
//
// Places are weighed (place.go): words of a name or description, of six languages
// (placewords.go); what a kind is; a value beside its sisters' (a residual near zero
// where another reads two stands behind dechlorination); which of two flows follows
// the other, and by how many minutes (lags.go); which feed moves with the residual at
// the same minute (pairs.go); neighbours in the plant's numbering (neighbours.go).
// A place whose lead over the next is small is asked about. Questions stand in the
// notes of tags.csv with their choices (asks.go) and as open keys in plant.toml
// (openplant.go), so that the two files are all that asking needs.
//
// Parallel trains that names or loop numbers tell apart (trains.go, cutnumbers.go)
// get points and a basin each, and one question asks whether that is so. Where the
// signs could mean something else as well all tags stay at one basin: a wrong split
// is worse than a question.
//
// The ranges and words below are common practice, no source.
package draft

import (
	"weirbook/analysis/export"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// Options of a draft.
type Options struct {
	PlantName string // "" leaves "My plant"
	ZoneName  string // IANA name; "" leaves UTC and a question
	// Lag settings for the question whether two systems' clocks agree.
	Lag export.LagSettings
}

// Guess is one row of the drafted tags.csv.
type Guess struct {
	Tag      string
	Measures quantity.Kind
	At       string
	Train    string // what the names call the train it belongs to; "" is common, or the plant has one
	Unit     string // as it will stand in the unit column; "" leaves the working unit
	Reading  series.Reading
	MaxGap   int     // minutes bridged between two readings; 0: the plant's own
	Low      float64 // span in Unit; NaN: left open
	High     float64
	Why      []string // reasons, in the order of their weight
	Ask      string   // question where it cannot tell, "" if sure

	unsure bool // the next kind is nearly as likely
	asks   []ask

	named    bool // a word says what it measures
	unitOpen bool // the export states no unit that fits
	stated   bool // it does
	spanned  bool // low and high are a guess

	score, second float64
	looks         looks
}

// Draft is a starter plant description.
type Draft struct {
	PlantTOML []byte
	TagsCSV   []byte
	Guesses   []Guess  // by tag
	Questions []string // all questions: about files, about trains, about tags, about clocks

	trains []*train // none: the plant has one
}

// Make drafts a plant description from exports that were read without rules
// (Options.Rules nil, Options.Looks set).
func Make(r *export.Result, opt Options) *Draft {
	if opt.Lag.StepMinutes == 0 {
		opt.Lag = export.DefaultLagSettings()
	}
	d := &Draft{Questions: fileQuestions(r)}
	for _, t := range r.Tags {
		d.Guesses = append(d.Guesses, guess(t, r.Series[t.Name]))
	}
	d.trains = place(d.Guesses, r)
	units(d.Guesses)
	for i := range d.Guesses {
		d.Guesses[i].settleAsks()
	}
	if len(d.trains) > 0 {
		d.Questions = append(d.Questions, "trains: "+question(d.trains, d.Guesses))
	}
	d.Questions = append(d.Questions, tagQuestions(d.Guesses)...)
	kinds := map[string]quantity.Kind{}
	for _, g := range d.Guesses {
		kinds[g.Tag] = g.Measures
	}
	d.Questions = append(d.Questions, export.ClockQuestions(r, kinds, opt.Lag)...)
	d.TagsCSV = writeTags(d.Guesses)
	d.PlantTOML = writePlant(d, r, opt)
	return d
}
