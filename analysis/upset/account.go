package upset

import (
	"fmt"
	"math"
	"strings"

	"weirbook/analysis/finding"
	"weirbook/analysis/series"
)

// Found is what the judging of the instruments holds of a stretch of this water:
// the other half of the account, beside the first mover and the split.
type Found struct {
	series.Stretch
	Kind       string
	Party      finding.Party
	Subject    string
	Confidence float64
	Size       finding.Size
	Says       string   // one sentence
	Evidence   []string // sentences with numbers
}

// What a finding must have to count in the account. Common practice, no source.
const (
	foundLeast = 0.5                   // confidence
	foundSure  = 0.8                   // from here on it leads where the two disagree
	foundFits  = 0.6                   // of an analyser that reads off in the direction that the breach asks for
	foundLong  = int64(168 * 3600_000) // ms that a wrong reading, still going on, may precede the breach
	foundLate  = int64(3600_000)       // ms after the episode's start that a judgement of half-hours may begin
)

// kindOfFound is the cause that a finding speaks of.
func kindOfFound(in *Input, f *Found) CauseKind {
	has := func(parts ...string) bool {
		for _, p := range parts {
			if strings.Contains(f.Kind, p) {
				return true
			}
		}
		return false
	}
	if f.Party != finding.Process {
		if f.Party == finding.ResidualAnalyser || f.Party == finding.ORPProbe || f.Party == finding.FlowMeter {
			return MisledFeed
		}
		return CauseUnknown
	}
	switch {
	case has("ammonia"):
		return AmmoniaMoved
	case has("bisulfite-lost", "dechlorination-lost", "sulfur-dioxide-lost", "dechlor"):
		return BisulfiteFell
	case has("surplus") && !has("feed"), has("storm-at"):
		return CauseUnknown
	case has("feed-high", "feed-surplus", "feed-rise", "overfeed"):
		return FeedRose
	case has("strength"):
		return StrengthFell
	case has("feed"):
		return FeedFell
	case has("demand-fall", "demand-drop"):
		return DemandFell
	case has("demand", "nitrite"):
		return DemandRose
	case has("storm", "flow-high"):
		return FlowRose
	}
	return CauseUnknown
}

// oneStory lists, for a cause that the judging names, the causes that the first
// mover may name for the same event: what each of them sees of it.
var oneStory = map[CauseKind][]CauseKind{
	AmmoniaMoved:   {AmmoniaMoved, DemandRose, DemandFell, SolidsRose},
	DemandRose:     {DemandRose, AmmoniaMoved, SolidsRose, StrengthFell, FeedFell},
	DemandFell:     {DemandFell, FeedRose, ResidualRose},
	FeedFell:       {FeedFell, StrengthFell, DemandRose},
	StrengthFell:   {StrengthFell, DemandRose, FeedFell},
	FeedRose:       {FeedRose, DemandFell, ResidualRose},
	FlowRose:       {FlowRose},
	BisulfiteFell:  {BisulfiteFell},
	InstrumentOnly: {InstrumentOnly, DemandRose, DemandFell, ResidualRose, FeedRose, BisulfiteFell},
	MisledFeed:     {FeedFell, FeedRose, BisulfiteFell, ResidualRose, InstrumentOnly, DemandRose, DemandFell},
}

// foundFor picks the finding that speaks of the cause of an episode: it has begun
// when the episode begins, and is not over long before; the surest, of the
// process before the instruments. An instrument counts where the feed that
// failed may follow it: a residual or ORP at the outlet, or the flow.
func foundFor(in *Input, x *Explanation) (*Found, CauseKind) {
	var best *Found
	kind := CauseUnknown
	e := &x.Episode
	if len(e.Breaches) == 0 {
		return nil, kind
	}
	for k := range in.Found {
		f := &in.Found[k]
		if f.Confidence < foundLeast || f.Start > e.Start+max(x.late(), foundLate) || f.End < e.Start-x.Settings.Stale.Milliseconds()-travel(in, e.Start) {
			continue
		}
		c := kindOfFound(in, f)
		switch {
		case c == CauseUnknown, !brings(c, e.Main().What) && !swungBack(c, f, e):
			continue
		case c == MisledFeed && mimics(in, f, e):
			c = InstrumentOnly
		case c == MisledFeed:
			steered := x.followed(f)
			fits := misleads(in, f, e.Main().What)
			longAgo := f.Start < e.Start-x.Settings.Look.Milliseconds() && (f.End <= e.Start || f.Start < e.Start-foundLong)
			least := foundSure
			if fits {
				least = foundFits
			}
			if !steered && !fits || !steers(in, f, e.Main().What) || longAgo || f.Confidence < least {
				continue
			}
		}
		process := f.Party == finding.Process
		if best == nil || process != (best.Party == finding.Process) && process || process == (best.Party == finding.Process) && f.Confidence > best.Confidence {
			best, kind = f, c
		}
	}
	return best, kind
}

// travel is how long the water that is at the outlet at ms was in the basin, ms;
// 0: not known.
func travel(in *Input, ms int64) int64 {
	if d := at(in.Basin.Delay, in.Grid.Index(ms)); !isNaN(d) {
		return int64(d * 60_000)
	}
	return 0
}

// late is how long after an episode's first minute a move may show at the outlet
// and still have come before it: what the data cannot tell apart, and the hour
// or the sampling that the breach is judged by.
func (x *Explanation) late() int64 {
	ms := x.Settings.Tie.Milliseconds()
	for _, b := range x.Episode.Breaches {
		if b.Start > x.Episode.Start {
			continue
		}
		switch {
		case b.What == EColiHigh:
			ms = max(ms, x.Settings.SampleHold.Milliseconds())
		case b.Hourly:
			ms = max(ms, 3600_000)
		}
	}
	return ms
}

// early is how long before an episode a move may show at the outlet and still be
// what began it, ms: three times what the water takes, three hours at least. What
// had moved before that was borne for as long.
func (x *Explanation) early(in *Input) int64 {
	return max(3*3600_000, 3*travel(in, x.Episode.Start))
}

// Logged lists what the plant's log says from an hour before the water of the
// episode's start came in, to the end of what is shown.
func (x *Explanation) Logged(in *Input) []Noted {
	from := x.Episode.Start - 3600_000 - travel(in, x.Episode.Start)
	var out []Noted
	for _, n := range in.Log {
		if n.End >= min(from, x.Window.Start) && n.Start < x.Window.End {
			out = append(out, n)
		}
	}
	return out
}

// logged adds to what speaks for a cause what the plant's log says of it: people
// wrote it down who did not know what the readings would show.
func logged(l *Likely, in *Input, x *Explanation) {
	from := x.Episode.Start - 3600_000 - travel(in, x.Episode.Start) - x.Settings.Stale.Milliseconds()
	for _, n := range in.Log {
		if n.Cause == "" || n.End < from || n.Start > x.Episode.Start+x.late() {
			continue
		}
		same := n.Cause == l.Kind
		for _, k := range oneStory[l.Kind] {
			same = same || k == n.Cause
		}
		switch {
		case same:
			l.For = append(l.For, "the plant's log says so: "+n.Says)
			if l.Level == Low {
				l.Level = Moderate
			}
		case l.Kind == CauseUnknown || l.Kind == InstrumentOnly:
			l.For = append(l.For, "the plant's log says: "+n.Says)
			l.Says += " The plant's log has " + n.Says + "."
		}
	}
}

// What a weaker finding against an instrument must have to be told beside a cause
// that rests on it. Common practice, no source.
const foundTold = 0.3

// beside tells, against a cause, what the judging holds less surely against the
// instruments that the first mover or the breach rests on, and that the water past
// dechlorination held chlorine which the outlet's analyser did not show.
func beside(l *Likely, in *Input, x *Explanation) {
	e := &x.Episode
	if len(e.Breaches) == 0 || l.Found != nil && l.Found.Party != finding.Process {
		return
	}
	rests := map[string]bool{}
	if first, ok := x.First(); ok {
		c := &in.Columns[first.Column]
		rests[c.Tag] = true
		for _, t := range c.RestsOn {
			rests[t] = true
		}
	}
	var weak []string
	for k := range in.Found {
		f := &in.Found[k]
		over := f.Start <= e.Start+foundLate && f.End > e.Start
		if f.Party == finding.Process || f.Confidence < foundTold || !rests[f.Subject] || !over || l.Found == f {
			continue
		}
		weak = append(weak, fmt.Sprintf("judging the instruments holds, %s sure: %s", percent(f.Confidence), lowerFirst(strings.TrimRight(f.Says, "."))))
	}
	if says := moreAtOutfall(in, x); says != "" && !e.Confirmed() {
		l.Kind, l.Level, l.LossShare = InstrumentOnly, Moderate, math.NaN()
		l.Against = append([]string{"what moved first: " + lowerFirst(strings.TrimRight(l.Says, "."))}, append(l.For, l.Against...)...)
		l.For = append([]string{says}, weak...)
		l.Says = upperFirst(says) + ". What reads as a shortfall may be that analyser's."
		return
	}
	l.Against = append(l.Against, weak...)
	if len(weak) > 0 && l.Level == High {
		l.Level = Moderate
	}
}

// moreAtOutfall says so where, for a quarter of an hour and half of a shortfall,
// the final residual was above what the basin's analyser showed at the outlet, by
// half and by 0.3 mg/L. Empty: it was not, or not known; or CT goes by free
// chlorine, beside which bound chlorine may pass.
func moreAtOutfall(in *Input, x *Explanation) string {
	m := x.Episode.Main()
	if m.What != CTShort && m.What != ResidualLow || in.Outfall.Final == nil || in.Basin.FreeBasis || m.Trust.Doubtful > 0.5 {
		return ""
	}
	tag := ""
	for k := range in.Judged {
		if in.Judged[k].What == m.What && len(in.Judged[k].RestsOn) > 0 {
			tag = in.Judged[k].RestsOn[0]
		}
	}
	n, known, final, shown := 0, 0, 0.0, 0.0
	lo, hi := max(in.Grid.Index(x.Episode.Start), 0), min(in.Grid.Index(x.Episode.End), in.Grid.N)
	for i := lo; i < hi; i++ {
		f, r := at(in.Outfall.Final, i), at(in.Basin.Residual, i)
		if isNaN(f) || isNaN(r) {
			continue
		}
		known++
		if f > 1.5*r && f > r+0.3 {
			n++
			final, shown = final+f, shown+r
		}
	}
	if n < 15 || 2*n < known || tag == "" {
		return ""
	}
	return fmt.Sprintf("past dechlorination the water held %s of chlorine, and %s showed %s before it: it reads low", with(final/float64(n), "mg/L"), tag, num(shown/float64(n)))
}

// settle makes one account of the first mover with its split and of what the
// judging of the instruments holds: where they agree one sentence says so, where
// they do not both stand there with their evidence.
func settle(l *Likely, in *Input, x *Explanation) {
	f, kind := foundFor(in, x)
	if f == nil {
		return
	}
	l.Found = f
	says := fmt.Sprintf("judging the instruments holds, %s sure: %s", percent(f.Confidence), lowerFirst(strings.TrimRight(f.Says, ".")))
	agree := l.Kind == CauseUnknown || l.Kind == InstrumentOnly && f.Party != finding.Process
	for _, k := range oneStory[kind] {
		agree = agree || k == l.Kind
	}
	sentence := strings.TrimRight(f.Says, ".") + "."
	switch {
	case swungBack(kind, f, &x.Episode):
		sentence += " It was over or nearly so when this began: the control may have swung back past what is required."
	case kind == InstrumentOnly:
		sentence += " What reads as the breach may be that analyser's."
	case kind == MisledFeed:
		sentence += " A feed that follows it goes wrong with it."
	}
	if agree {
		// What moved stays in the list of what speaks for it.
		l.For = append([]string{says}, l.For...)
		if first, ok := x.First(); ok && !first.Effect {
			sentence += " First to move: " + first.Words(x.Episode.Start, in.Loc) + "."
		}
		if l.Kind == CauseUnknown || l.Kind == InstrumentOnly {
			l.LossShare = math.NaN()
		}
		l.Kind, l.Says = kind, sentence
		l.Level = raised(l.Level, f.Confidence)
		return
	}
	l.Disputed = true
	other := fmt.Sprintf("what moved first and the split point elsewhere (%s): %s", l.Kind, lowerFirst(strings.TrimRight(l.Says, ".")))
	if f.Confidence >= foundSure && l.Level != High || l.Level == Low {
		l.Against = append(append([]string{other}, l.For...), l.Against...)
		l.For = append([]string{says}, f.Evidence...)
		l.Kind, l.LossShare = kind, math.NaN()
		l.Says = "The two ways of looking at the record disagree. " + sentence + " But " + other + "."
	} else {
		l.Against = append(append([]string{says}, f.Evidence...), l.Against...)
		l.Says = "The two ways of looking at the record disagree. " + strings.TrimRight(l.Says, ".") + ". But " + says + "."
	}
	if l.Level == High {
		l.Level = Moderate
	}
}

// raised is the level that a finding of this confidence and an agreeing first
// mover have together.
func raised(l Level, confidence float64) Level {
	switch {
	case confidence >= foundSure && l != Low, l == High:
		return High
	case confidence >= foundSure, l == Moderate:
		return Moderate
	}
	return Low
}

// doubtByCause carries an instrument that the account holds against a breach to
// where the page speaks of that breach's instruments, and drops what would have
// been reckoned from its readings: nobody should feed by them.
func (x *Explanation) doubtByCause(in *Input) {
	f := x.Cause.Found
	if f == nil || f.Party == finding.Process || x.Cause.Kind != InstrumentOnly {
		return
	}
	bs := append([]Breach(nil), x.Episode.Breaches...)
	for k := range bs {
		b := &bs[k]
		for i := range in.Judged {
			if j := &in.Judged[i]; j.What != b.What || !contains(j.RestsOn, f.Subject) {
				continue
			}
			if b.Trust.Doubtful == 0 {
				b.Trust.Says = fmt.Sprintf("the readings of %s behind it may not be the water's (%s)", f.Subject, spaced(f.Kind))
			}
			if b.What == CTShort || b.What == ResidualLow {
				x.Split = Split{NormalCT: math.NaN(), CT: math.NaN(), NormalNeed: math.NaN(), Need: math.NaN()}
				x.Hours, x.Held = nil, nil
				if !contains(x.NotReckoned, f.Subject) {
					x.NotReckoned = append(x.NotReckoned, f.Subject)
				}
			}
			break
		}
	}
	x.Episode.Breaches = bs
}
