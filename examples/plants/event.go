package plants

import (
	"fmt"
	"math"
)

// Kind names what goes wrong.
type Kind string

// Kinds. The comment tells what Size means.
const (
	Fouling      Kind = "orp-fouling"     // mV lost at the end of a slow fall
	ProbeOffset  Kind = "orp-offset"      // mV, either way
	ProbeFrozen  Kind = "orp-frozen"      // held
	ProbeNoise   Kind = "orp-noise"       // mV, standard deviation
	ProbeDry     Kind = "orp-dry"         // share of the way to what it reads in air
	LostSample   Kind = "sample-lost"     // share of the reading that decays away
	ReadsLow     Kind = "analyser-drift"  // share lost (or won, below zero) at the end of a slow change
	ReadsOff     Kind = "analyser-offset" // share of the usual reading, either way
	StuckMeter   Kind = "analyser-frozen" // held
	FlowOff      Kind = "flow-step"       // share, either way
	FlowCreeps   Kind = "flow-drift"      // share at the end, either way
	FlowStuck    Kind = "flow-frozen"     // held
	FeedLost     Kind = "feed-lost"       // the pump stops and its tag shows it
	FeedShort    Kind = "feed-short"      // share of the feed that does not arrive
	FeedHigh     Kind = "feed-high"       // share of the feed that comes beyond what the tag shows: a siphon, a valve passing
	Weak         Kind = "strength-loss"   // share of the strength missing
	Demand       Kind = "demand-spike"    // mg/L met at once
	Breakthrough Kind = "ammonia"         // mg/L N
	Nitrite      Kind = "nitrite"         // mg/L N
	NoDechlor    Kind = "dechlor-lost"    // the dechlorination stops
	Storm        Kind = "storm"           // what it adds, as a multiple of the usual flow
	LinkHeld     Kind = "link-frozen"     // a controller's tags hold
	LinkBlank    Kind = "link-blank"      // a controller's tags are missing
	FlowMissing  Kind = "flow-missing"    // the flow tag has no readings
	OtherUnit    Kind = "unit-mix-up"     // what values are multiplied by
	ClockOff     Kind = "clock-shift"     // minutes by which a controller's stamps are behind
)

// Parties, as in the at_fault column of findings.csv.
const (
	faultProbe    = "orp-probe"
	faultAnalyser = "residual-analyser"
	faultFlow     = "flow-meter"
	faultProcess  = "process"
	faultData     = "data"
)

type kindInfo struct {
	kind    Kind
	party   string
	size    float64 // full size
	hours   float64 // usual length
	ways    bool    // either way
	slow    bool    // no clear beginning
	ramp    float64 // minutes in which it comes and goes
	also    string  // another party that is as right
	noHalf  bool
	subject string
}

var kindList = []kindInfo{
	{kind: Fouling, party: faultProbe, size: 75, hours: 130, slow: true, subject: orp},
	{kind: ProbeOffset, party: faultProbe, size: 60, hours: 34, ways: true, subject: orp},
	{kind: ProbeFrozen, party: faultProbe, hours: 12, noHalf: true, subject: orp},
	{kind: ProbeNoise, party: faultProbe, size: 28, hours: 8, subject: orp},
	{kind: ProbeDry, party: faultProbe, size: 0.8, hours: 5, ramp: 5, subject: orp},
	{kind: LostSample, party: faultAnalyser, size: 0.7, hours: 7, ramp: 40, subject: total},
	{kind: ReadsLow, party: faultAnalyser, size: 0.4, hours: 130, ways: true, slow: true, subject: total},
	{kind: ReadsOff, party: faultAnalyser, size: 0.4, hours: 30, ways: true, subject: total},
	{kind: StuckMeter, party: faultAnalyser, hours: 12, noHalf: true, subject: total},
	{kind: FlowOff, party: faultFlow, size: 0.38, hours: 20, ways: true, subject: flow},
	{kind: FlowCreeps, party: faultFlow, size: 0.38, hours: 100, ways: true, slow: true, subject: flow},
	{kind: FlowStuck, party: faultFlow, hours: 14, noHalf: true, subject: flow},
	{kind: FeedLost, party: faultProcess, hours: 2, noHalf: true, subject: feed},
	{kind: FeedShort, party: faultProcess, size: 0.45, hours: 7, subject: feed},
	{kind: FeedHigh, party: faultProcess, size: 1.2, hours: 6, subject: feed},
	{kind: Weak, party: faultProcess, size: 0.4, hours: 48, slow: true, ramp: 240, subject: feed},
	{kind: Demand, party: faultProcess, size: 2.4, hours: 5, ramp: 30, subject: feed},
	{kind: Breakthrough, party: faultProcess, size: 1.1, hours: 16, ramp: 150, subject: ammonia},
	{kind: Nitrite, party: faultProcess, size: 0.6, hours: 14, ramp: 120, subject: ammonia},
	{kind: NoDechlor, party: faultProcess, hours: 2.5, noHalf: true, subject: sulfite},
	{kind: Storm, party: faultProcess, size: 1.5, hours: 26, subject: inflow},
	{kind: LinkHeld, party: faultData, hours: 7, noHalf: true},
	{kind: LinkBlank, party: faultData, hours: 8, noHalf: true},
	{kind: FlowMissing, party: faultData, also: faultFlow, hours: 12, noHalf: true, subject: flow},
	{kind: OtherUnit, party: faultData, hours: 60, noHalf: true, subject: flow},
	{kind: ClockOff, party: faultData, size: 60, hours: 240, slow: true, noHalf: true},
}

func infoOf(k Kind) kindInfo {
	for _, in := range kindList {
		if in.kind == k {
			return in
		}
	}
	panic(fmt.Sprintf("no kind %q", k))
}

// Kinds lists every kind, in a fixed order.
func Kinds() []Kind {
	var out []Kind
	for _, in := range kindList {
		out = append(out, in.kind)
	}
	return out
}

// Event is one thing that goes wrong, in minutes of the record. Its effect at
// the outlet comes a contact time later where the cause is upstream.
type Event struct {
	Kind     Kind
	From, To int
	Subject  string  // the role it is about; a controller as "link 1"
	Size     float64 // as the kind's comment tells
	Half     bool    // half-size
	AtFault  string
	Also     string // another party that is as right; mostly empty
	Slow     bool   // no clear beginning
	Counts   bool   // it can be told, by the rule in the package's comment
	Excused  string // why it does not count

	hold   float64
	held   bool
	offset int // minutes of spin-up
}

// events are those of a record while it is made.
type events struct{ list []*Event }

func (e *Event) on(i int) bool { return i >= e.From+e.offset && i < e.To+e.offset }

// part is how far minute i is into the event, 0 to 1.
func (e *Event) part(i int) float64 { return float64(i-e.From-e.offset) / float64(e.To-e.From) }

// level is how much of its size the event has in minute i.
func (e *Event) level(i int) float64 {
	in := infoOf(e.Kind)
	switch e.Kind {
	case Fouling, ReadsLow, FlowCreeps:
		return math.Pow(e.part(i), 1.2)
	case Storm:
		x := e.part(i) * 6
		return x * math.Exp(1-x)
	}
	if in.ramp == 0 {
		return 1
	}
	ramp := math.Min(in.ramp, float64(e.To-e.From)/2)
	return clamp(math.Min(float64(i-e.From-e.offset+1), float64(e.To+e.offset-i))/ramp, 0, 1)
}

// size adds up what events of a kind at a subject come to in minute i; the
// empty subject means any.
func (ev *events) size(k Kind, subject string, i int) float64 {
	sum := 0.0
	for _, e := range ev.list {
		if e.Kind == k && (subject == "" || e.Subject == subject) && e.on(i) {
			sum += e.Size * e.level(i)
		}
	}
	return sum
}

// has says that an event of a kind at a subject is on.
func (ev *events) has(k Kind, subject string, i int) bool {
	for _, e := range ev.list {
		if e.Kind == k && e.Subject == subject && e.on(i) {
			return true
		}
	}
	return false
}

// probe puts a probe's own events on its reading.
func (ev *events) probe(p *probe, i int, v float64) float64 {
	for _, e := range ev.list {
		if e.Subject != p.role || !e.on(i) {
			continue
		}
		switch e.Kind {
		case ProbeOffset:
			v += e.Size
		case ProbeFrozen:
			v = e.keep(v)
		case ProbeNoise:
			v += clamp(e.Size*0.8*p.r.NormFloat64()/(0.4+p.r.Float64()), -300, 300)
		case ProbeDry:
			v += e.Size * e.level(i) * (220 + 30*math.Sin(float64(i)/37) - v)
		}
	}
	return v
}

// analyser puts an analyser's own events on its reading.
func (ev *events) analyser(a *analyser, i int, v float64) float64 {
	for _, e := range ev.list {
		if e.Subject != a.role || !e.on(i) {
			continue
		}
		switch e.Kind {
		case LostSample:
			v *= 1 - e.Size*e.level(i)
		case ReadsLow:
			v *= 1 - e.Size*e.level(i)
		case ReadsOff:
			v += e.Size * a.s.Aim
		case StuckMeter:
			v = e.keep(v)
		}
	}
	return v
}

// flow puts a flow meter's own events on its reading.
func (ev *events) flow(role string, i int, v float64) float64 {
	for _, e := range ev.list {
		if e.Subject != role || !e.on(i) {
			continue
		}
		switch e.Kind {
		case FlowOff, FlowCreeps:
			v *= 1 + e.Size*e.level(i)
		case FlowStuck:
			v = e.keep(v)
		}
	}
	return v
}

func (e *Event) keep(v float64) float64 {
	if !e.held {
		e.hold, e.held = v, true
	}
	return e.hold
}
