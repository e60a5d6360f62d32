// Package screen looks for what a plant's exports do to their readings: values
// outside the span, frozen signals, spikes, gaps, dead data links, and values
// that fit another unit better than the declared one.
//
// One file per defect. Screening only marks: nothing is deleted, filled or
// clamped, and a series changes only in Report.Apply, which sets flags beside
// the values. Every message says what was seen, with numbers, where to look in
// tags.csv and what to do next.
package screen

import (
	"runtime"
	"sort"
	"sync"

	"weirbook/analysis/align"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// Tagged is one tag as screening sees it.
type Tagged struct {
	Series  *series.Series
	Kind    quantity.Kind
	Reading series.Reading
	// Declared is the unit the values were exported in; V holds them converted
	// to the kind's working unit.
	Declared quantity.Unit
	// Low and High are the span stated in tags.csv, working unit; NaN where it
	// states none, then the kind's physical span serves.
	Low, High float64
	// Typical is a level the plant description leads one to expect, such as the
	// design average flow, working unit; NaN when nothing is known.
	Typical float64
	Line    int // of tags.csv
}

// Defect names what screening looks for.
type Defect string

// Defects, as written in messages and counts.
const (
	Unit     Defect = "unit"
	Span     Defect = "outside span"
	FrozenAt Defect = "frozen"
	DataLink Defect = "data link"
	SpikeAt  Defect = "spike"
	Gap      Defect = "gap"
	Fill     Defect = "fill number"
	Order    Defect = "out of order"
	Quality  Defect = "export quality"
)

// Stretch is one span of time in which a tag showed a defect.
type Stretch struct {
	Defect     Defect
	Start, End int64 // Unix milliseconds; End is the first reading beyond
	Readings   int
	What       string // for frozen stretches: "stood at 633 mV"
	whole      bool   // the tag's whole record: no link that came and went
}

// mark asks for a flag on the readings [lo, hi) of one tag.
type mark struct {
	flag   series.Flag
	lo, hi int
}

// Message tells a person one thing about one tag, or about the data as a whole.
type Message struct {
	Tag        string // empty when it is about several
	Line       int    // of tags.csv, 0 when it is about several
	Defect     Defect
	Text       string // what was seen, with numbers
	Next       string // what to do about it
	Readings   int    // how many readings it is about
	Start, End int64  // the first and last of it, Unix milliseconds
}

// TagReport is what screening found in one tag.
type TagReport struct {
	Tag       string
	Rows      int
	Usable    int // readings that later steps use, after Apply
	SpacingMS int64
	// Counts holds the number of readings per flag, in the order of the flags'
	// bits, those set by the reader and those that Apply will set together.
	Counts    []FlagCount
	Stretches []Stretch

	marks    []mark
	messages []Message
}

// FlagCount is how many readings carry one flag.
type FlagCount struct {
	Flag     series.Flag
	Readings int
}

// Report is the outcome of screening: per tag in the order given, and all
// messages, those about units first.
type Report struct {
	Settings Settings
	Tags     []TagReport
	Messages []Message
}

// Screen looks at every tag. It changes nothing; see Report.Apply.
func Screen(tags []Tagged, set Settings) Report {
	rep := Report{Settings: set, Tags: make([]TagReport, len(tags))}
	flows := newFlows(tags)
	var wg sync.WaitGroup
	jobs := make(chan int)
	for range min(runtime.GOMAXPROCS(0), len(tags)) {
		wg.Go(func() {
			var buf scratch
			for k := range jobs {
				rep.Tags[k] = one(tags, k, flows, set, &buf)
			}
		})
	}
	for k := range tags {
		jobs <- k
	}
	close(jobs)
	wg.Wait()

	rep.Messages = findLinks(rep.Tags, set)
	for k := range rep.Tags {
		r := &rep.Tags[k]
		r.frozenMessages(tags[k].Line, set)
		r.gapMessage(tags[k].Line, set)
		rep.Messages = append(rep.Messages, r.messages...)
	}
	sort.SliceStable(rep.Messages, func(i, j int) bool {
		return rank(rep.Messages[i].Defect) < rank(rep.Messages[j].Defect)
	})
	return rep
}

// rank puts doubts about what a value means before remarks on single values.
func rank(d Defect) int {
	for i, x := range []Defect{Unit, DataLink, FrozenAt, Span, Fill, SpikeAt, Gap, Order, Quality} {
		if d == x {
			return i
		}
	}
	return 99
}

// one screens a single tag.
func one(tags []Tagged, k int, flows *flowLevels, set Settings, buf *scratch) TagReport {
	tg := tags[k]
	s := tg.Series
	if tg.Declared.Symbol == "" {
		tg.Declared = working(tg)
	}
	r := TagReport{Tag: s.Tag, Rows: s.Len()}
	if s.Len() == 0 {
		return r
	}
	r.SpacingMS = align.Spacing(s).Milliseconds()
	limit := set.gapMS(r.SpacingMS)
	if tg.Reading == series.OnChange {
		limit = set.GapOnChange.Milliseconds()
	}
	buf.load(s, r.SpacingMS, limit)
	flows.tell(k, buf)
	r.unitSense(tg, func() float64 { return flows.beside(k) }, set, buf)
	buf.without(r.marks) // a doubted unit is said once, not as a span as well
	r.outsideSpan(tg, buf)
	buf.without(r.marks)
	switch {
	case tg.Reading == series.Counter || tg.Kind == quantity.FlowTotal && tg.Reading != series.Grab && tg.Reading != series.Composite:
		r.runningTotal(tg, set, buf)
	case tg.Reading == series.Continuous:
		r.spikes(tg, set, buf)
		buf.without(r.marks)
		r.gaps(s, buf)
		r.frozenContinuous(tg, set, buf)
	case tg.Reading == series.OnChange:
		r.gaps(s, buf)
		r.frozenOnChange(tg, set, buf)
	}
	r.count(tg, set, buf)
	return r
}
