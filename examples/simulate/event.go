package simulate

import (
	"fmt"
	"math"
	"time"
)

// Kind names what happens in an event.
type Kind string

// Kinds of event. The comment gives what Size means.
const (
	ORPFouling     Kind = "orp-fouling"     // mV lost at the end of a slow fall
	ORPOffset      Kind = "orp-offset"      // mV, either way
	ORPCalibration Kind = "orp-calibration" // mV, either way, beginning with a service dip
	ORPFrozen      Kind = "orp-frozen"      // held to the last digit
	ORPDither      Kind = "orp-dither"      // held, with Size mV of dither
	ORPNoise       Kind = "orp-noise"       // mV standard deviation
	ORPClip        Kind = "orp-clip"        // mV by which the top of the span lies below the usual level
	ORPDry         Kind = "orp-dry"         // share of the way to what a probe reads in air
	ORPSluggish    Kind = "orp-sluggish"    // time constant, hours

	SampleLost     Kind = "analyser-sample-lost" // share of the reading that decays away
	SampleHeld     Kind = "analyser-sample-held" // reads the standing sample
	ReagentDrift   Kind = "analyser-drift"       // share lost at the end of a slow fall
	AnalyserOffset Kind = "analyser-offset"      // mg/L, either way
	AnalyserFrozen Kind = "analyser-frozen"      // held to the last digit
	AnalyserFouled Kind = "analyser-fouled"      // share lost, with a slow response

	FlowDrift  Kind = "flow-drift"  // share gained or lost at the end
	FlowStep   Kind = "flow-step"   // share gained or lost
	FlowFrozen Kind = "flow-frozen" // held
	FlowLow    Kind = "flow-low"    // share lost

	FeedLost      Kind = "feed-lost"         // pump stops, its tag shows it
	FeedShort     Kind = "feed-short"        // share of the feed that does not arrive; the tag shows the command
	DemandSpike   Kind = "demand-spike"      // mg/L of extra fast demand
	Ammonia       Kind = "ammonia"           // mg/L N of extra ammonia after secondary
	Storm         Kind = "storm"             // peak influent flow as a multiple of usual
	StrengthLoss  Kind = "strength-loss"     // share of the hypochlorite strength missing
	BisulfiteLost Kind = "bisulfite-lost"    // bisulfite stops: chlorine at the outfall
	BisulfiteOver Kind = "bisulfite-surplus" // bisulfite fed as a multiple of usual

	LinkFrozen    Kind = "link-frozen"    // all tags hold
	LinkBlank     Kind = "link-blank"     // all tags missing
	ClockWinter   Kind = "clock-winter"   // a source's stamps one hour behind the plant's clock; Subject is the source
	UnitMixUp     Kind = "unit-mix-up"    // Size: the number the values are multiplied by
	RepeatedBlock Kind = "repeated-block" // all tags repeat the readings of the time just before
)

// Parties, as in the at_fault column.
const (
	faultORP      = "orp-probe"
	faultAnalyser = "residual-analyser"
	faultFlow     = "flow-meter"
	faultProcess  = "process"
	faultData     = "data"
)

// Severity sets the size of an event where Event.Size is zero.
type Severity string

// Severities.
const (
	Slight Severity = "slight" // a sharp operator would notice within days
	Plain  Severity = "plain"  // anyone who looks at the trend sees it
	Gross  Severity = "gross"  // it jumps at you
)

// Event is one thing that goes wrong. Start (inclusive) and End (exclusive)
// are those of the cause; its effect at the basin outlet comes a contact time
// later where the cause is upstream.
type Event struct {
	Start, End time.Time
	Kind       Kind
	Severity   Severity
	Subject    string  // tag name; empty: the usual one for the kind. For ClockWinter a source name
	AtFault    string  // filled in by Run
	Size       float64 // 0: by severity; in the unit that the kind's comment gives, signed where it goes either way

	from, to int     // minutes from the start of the spin-up
	hold     float64 // the value an instrument held when the event began
	held     bool
}

// kindInfo is what is fixed for a kind.
type kindInfo struct {
	kind      Kind
	atFault   string
	subject   string
	sizes     [3]float64 // slight, plain, gross
	hours     [3]float64 // usual length
	eitherWay bool
}

// kinds lists every kind once; DefaultHours, Kinds and the sizes come from it.
var kinds = []kindInfo{
	{ORPFouling, faultORP, TagORPOutlet, [3]float64{45, 100, 200}, [3]float64{144, 120, 96}, false},
	{ORPOffset, faultORP, TagORPOutlet, [3]float64{28, 60, 130}, [3]float64{36, 30, 24}, true},
	{ORPCalibration, faultORP, TagORPOutlet, [3]float64{25, 50, 110}, [3]float64{96, 72, 72}, true},
	{ORPFrozen, faultORP, TagORPOutlet, [3]float64{1, 1, 1}, [3]float64{3, 9, 30}, false},
	{ORPDither, faultORP, TagORPOutlet, [3]float64{0.8, 0.6, 0.5}, [3]float64{8, 16, 36}, false},
	{ORPNoise, faultORP, TagORPOutlet, [3]float64{6, 14, 40}, [3]float64{4, 6, 10}, false},
	{ORPClip, faultORP, TagORPOutlet, [3]float64{2, 15, 45}, [3]float64{30, 36, 48}, false},
	{ORPDry, faultORP, TagORPOutlet, [3]float64{0.25, 0.7, 1}, [3]float64{3, 4, 8}, false},
	{ORPSluggish, faultORP, TagORPOutlet, [3]float64{3, 8, 30}, [3]float64{96, 96, 96}, false},
	{SampleLost, faultAnalyser, TagTotal, [3]float64{0.3, 0.65, 0.97}, [3]float64{5, 7, 10}, false},
	{SampleHeld, faultAnalyser, TagTotal, [3]float64{1, 1, 1}, [3]float64{8, 14, 30}, false},
	{ReagentDrift, faultAnalyser, TagTotal, [3]float64{0.2, 0.4, 0.65}, [3]float64{144, 120, 96}, false},
	{AnalyserOffset, faultAnalyser, TagTotal, [3]float64{0.35, 0.8, 1.6}, [3]float64{36, 30, 24}, true},
	{AnalyserFrozen, faultAnalyser, TagTotal, [3]float64{1, 1, 1}, [3]float64{3, 9, 30}, false},
	{AnalyserFouled, faultAnalyser, TagTotal, [3]float64{0.18, 0.35, 0.6}, [3]float64{72, 72, 60}, false},
	{FlowDrift, faultFlow, TagEffluentFlow, [3]float64{0.18, 0.35, 0.6}, [3]float64{120, 96, 72}, true},
	{FlowStep, faultFlow, TagEffluentFlow, [3]float64{0.18, 0.35, 0.6}, [3]float64{24, 18, 12}, true},
	{FlowFrozen, faultFlow, TagEffluentFlow, [3]float64{1, 1, 1}, [3]float64{4, 9, 24}, false},
	{FlowLow, faultFlow, TagEffluentFlow, [3]float64{0.2, 0.4, 0.7}, [3]float64{24, 18, 12}, false},
	{FeedLost, faultProcess, TagHypoFeed, [3]float64{1, 1, 1}, [3]float64{0.75, 1.5, 4}, false},
	{FeedShort, faultProcess, TagHypoFeed, [3]float64{0.22, 0.4, 0.7}, [3]float64{5, 6, 8}, false},
	{DemandSpike, faultProcess, TagHypoFeed, [3]float64{1.2, 2.2, 4}, [3]float64{3, 4, 6}, false},
	{Ammonia, faultProcess, TagAmmonia, [3]float64{0.35, 1, 3}, [3]float64{8, 12, 16}, false},
	{Storm, faultProcess, TagInfluentFlow, [3]float64{1.7, 2.3, 3.2}, [3]float64{14, 20, 30}, false},
	{StrengthLoss, faultProcess, TagHypoFeed, [3]float64{0.18, 0.35, 0.55}, [3]float64{48, 48, 36}, false},
	{BisulfiteLost, faultProcess, TagSulfiteFeed, [3]float64{1, 1, 1}, [3]float64{0.5, 1.5, 4}, false},
	{BisulfiteOver, faultProcess, TagSulfiteFeed, [3]float64{1.8, 2.8, 5}, [3]float64{12, 12, 12}, false},
	{LinkFrozen, faultData, "", [3]float64{1, 1, 1}, [3]float64{2, 5, 16}, false},
	{LinkBlank, faultData, "", [3]float64{1, 1, 1}, [3]float64{2, 6, 30}, false},
	{ClockWinter, faultData, SourceProcess, [3]float64{1, 1, 1}, [3]float64{240, 240, 240}, false},
	{UnitMixUp, faultData, TagEffluentFlow, [3]float64{galPerMinPerMGD, galPerMinPerMGD, galPerMinPerMGD}, [3]float64{48, 72, 96}, false},
	{RepeatedBlock, faultData, "", [3]float64{1, 1, 1}, [3]float64{8, 12, 24}, false},
}

func infoOf(k Kind) (kindInfo, bool) {
	for _, in := range kinds {
		if in.kind == k {
			return in, true
		}
	}
	return kindInfo{}, false
}

// Kinds lists every kind of event, in a fixed order.
func Kinds() []Kind {
	var out []Kind
	for _, in := range kinds {
		out = append(out, in.kind)
	}
	return out
}

// UsualHours is how long an event of this kind and severity usually lasts.
func UsualHours(k Kind, s Severity) float64 {
	in, _ := infoOf(k)
	return in.hours[s.index()]
}

// PartyOf is who is at fault in events of this kind.
func PartyOf(k Kind) string {
	in, _ := infoOf(k)
	return in.atFault
}

func (s Severity) index() int {
	switch s {
	case Slight:
		return 0
	case Gross:
		return 2
	}
	return 1
}

// resolve fills what the caller left open and places the event in the run.
func (e Event) resolve(p Plant, seed uint64, n int, begin int64) (Event, error) {
	in, ok := infoOf(e.Kind)
	if !ok {
		return e, fmt.Errorf("event %d: unknown kind %q", n+1, e.Kind)
	}
	if !e.Start.Before(e.End) {
		return e, fmt.Errorf("event %d (%s): its end is not after its start", n+1, e.Kind)
	}
	e.AtFault = in.atFault
	if e.Severity == "" {
		e.Severity = Plain
	}
	if e.Subject == "" {
		e.Subject = in.subject
		if e.Subject == TagTotal && !p.HasTotal {
			e.Subject = TagFree
		}
	}
	if e.Size == 0 && e.Kind == UnitMixUp {
		e.Size = mixUpFactor(e.Subject)
	}
	if e.Size == 0 {
		e.Size = in.sizes[e.Severity.index()]
		if in.eitherWay && stream(seed, fmt.Sprintf("sign %d %s", n, e.Kind)).Float64() < 0.5 {
			e.Size = -e.Size
		}
	}
	e.from = int(math.Round(float64(e.Start.Unix()-begin) / 60))
	e.to = int(math.Round(float64(e.End.Unix()-begin) / 60))
	return e, nil
}

// mixUpFactor is the usual way to get the unit of a tag wrong: gpm for MGD,
// µg/L for mg/L, V for mV.
func mixUpFactor(tag string) float64 {
	switch tag {
	case TagTotal, TagFree, TagFinal, TagAmmonia:
		return 1000
	case TagORPMiddle, TagORPOutlet, TagORPFinal:
		return 0.001
	}
	return galPerMinPerMGD
}

// on reports whether minute i lies in the event.
func (e *Event) on(i int) bool { return i >= e.from && i < e.to }

// part is how far minute i is into the event, 0 … 1.
func (e *Event) part(i int) float64 { return float64(i-e.from) / float64(e.to-e.from) }

// ramp rises from 0 to 1 over the first minutes of the event and falls back
// over the last ones.
func (e *Event) ramp(i int, minutes float64) float64 {
	half := math.Min(minutes, float64(e.to-e.from)/2)
	return clamp(math.Min(float64(i-e.from+1), float64(e.to-i))/half, 0, 1)
}

// concerns reports whether the event is about this tag.
func (e *Event) concerns(tag string) bool { return e.Subject == tag }
