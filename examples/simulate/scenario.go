package simulate

import (
	"fmt"
	"math/rand/v2"
	"time"
)

// The two halves of the scoring months. Settings are tuned on one and results
// reported on the other.
const (
	Tune    = "tune"     // odd seeds
	HeldOut = "held-out" // even seeds
)

// Scenario is one month for scoring.
type Scenario struct {
	Name   string // such as "held-out nitrified plain 2"
	Class  string // "clean", "single" (every kind of event in turn) or "mixed" (a plant of its own, events drawn)
	Split  string // Tune or HeldOut
	Config Config
}

// ScoreMonths gives the months that the judging is scored on: clean controls
// of every regime in every season, every kind of event at every severity, and
// mixed months at plants that lack this or that. Each half has its own seeds,
// event times and signs.
func ScoreMonths() []Scenario {
	return append(ScoreHalf(Tune, 1001), ScoreHalf(HeldOut, 2002)...)
}

// ScoreHalf gives one half's months, with seeds firstSeed, firstSeed+2, …
// Another firstSeed gives months nobody has seen.
func ScoreHalf(split string, firstSeed uint64) []Scenario {
	b := &builder{split: split, seed: firstSeed}
	b.clean()
	for _, sev := range []Severity{Slight, Plain, Gross} {
		b.everyKind(sev)
	}
	b.plants()
	return b.out
}

// builder collects a half.
type builder struct {
	split string
	seed  uint64
	out   []Scenario
}

// Months that the scenarios are set in: all seasons, with both clock changes.
var scoreMonths = []time.Month{time.January, time.March, time.May, time.July, time.September, time.November}

func (b *builder) add(class, name string, p Plant, month time.Month, tidy bool, events func(c Config) []Event) {
	c := Config{
		Name: b.split + " " + name, Seed: b.seed, Plant: p, Days: 31, Clean: tidy,
		Start: time.Date(2026, month, 1, 0, 0, 0, 0, time.UTC), Zone: "America/Denver",
	}
	b.seed += 2
	if events != nil {
		c.Events = events(c)
	}
	b.out = append(b.out, Scenario{Name: c.Name, Class: class, Split: b.split, Config: c})
}

func (b *builder) clean() {
	for k, r := range []Regime{Nitrified, Partly, Chloraminated} {
		for q := 0; q < 4; q++ {
			month := scoreMonths[(q*3/2+k)%len(scoreMonths)]
			b.add("clean", fmt.Sprintf("%s clean %s", r, month), DefaultPlant(r), month, false, nil)
		}
	}
	one := DefaultPlant(Nitrified)
	one.Probes, one.GrabsPerDay = 1, 0
	b.add("clean", "one probe, no grabs, clean", one, time.May, false, nil)
	b.add("clean", "nitrified clean, tidy", DefaultPlant(Nitrified), time.September, true, nil)
}

// everyKind packs every kind of event into as few months as leave a week to
// learn from at the start and a day or two between events.
func (b *builder) everyKind(sev Severity) {
	left := spread(Kinds())
	for n := 1; len(left) > 0; n++ {
		month := scoreMonths[(n+sev.index())%len(scoreMonths)]
		b.add("single", fmt.Sprintf("nitrified %s %d", sev, n), DefaultPlant(Nitrified), month, false, func(c Config) []Event {
			var evs []Event
			evs, left = place(c, left, func(*rand.Rand, Kind) Severity { return sev })
			return evs
		})
	}
}

// spread takes every fifth kind in turn, so that a month mixes the parties.
func spread(ks []Kind) []Kind {
	var out []Kind
	for s := 0; s < 5; s++ {
		for i := s; i < len(ks); i += 5 {
			out = append(out, ks[i])
		}
	}
	return out
}

// plants sets mixed months at plants of every make.
func (b *builder) plants() {
	vary := func(r Regime, change func(p *Plant)) Plant {
		p := DefaultPlant(r)
		if change != nil {
			change(&p)
		}
		return p
	}
	makes := []struct {
		name  string
		plant Plant
	}{
		{"nitrified", vary(Nitrified, nil)},
		{"partly nitrified", vary(Partly, nil)},
		{"chloraminated", vary(Chloraminated, nil)},
		{"one probe", vary(Nitrified, func(p *Plant) { p.Probes = 1 })},
		{"no free", vary(Nitrified, func(p *Plant) { p.HasFree = false })},
		{"no total", vary(Nitrified, func(p *Plant) { p.HasTotal = false })},
		{"no grabs", vary(Nitrified, func(p *Plant) { p.GrabsPerDay = 0 })},
		{"one probe, no grabs", vary(Nitrified, func(p *Plant) { p.Probes, p.GrabsPerDay = 1, 0 })},
		{"chloraminated, one probe", vary(Chloraminated, func(p *Plant) { p.Probes, p.HasFree = 1, false })},
		{"no ammonia, warm, loose control", vary(Nitrified, func(p *Plant) {
			p.HasAmmonia, p.TempMeanC, p.TrimAuthority, p.PH = false, 21, 0.08, 7.5
		})},
	}
	for n, mk := range makes {
		for half := 0; half < 2; half++ {
			month := scoreMonths[(n+3*half)%len(scoreMonths)]
			b.add("mixed", fmt.Sprintf("%s, mixed %d", mk.name, half+1), mk.plant, month, false, func(c Config) []Event {
				r := stream(c.Seed, "kinds")
				ks := Kinds()
				r.Shuffle(len(ks), func(i, j int) { ks[i], ks[j] = ks[j], ks[i] })
				evs, _ := place(c, ks, func(r *rand.Rand, _ Kind) Severity {
					return []Severity{Slight, Plain, Plain, Gross}[r.IntN(4)]
				})
				return evs
			})
		}
	}
}

// place sets as many of the kinds as fit into the month, in order, and gives
// back those that did not. A kind that means nothing at the plant is dropped.
func place(c Config, ks []Kind, severity func(*rand.Rand, Kind) Severity) (evs []Event, left []Kind) {
	r := stream(c.Seed, "place")
	start, end, err := c.Clock()
	if err != nil {
		panic(err) // the zone is our own
	}
	at := start.Add(time.Duration(7*24*60+r.IntN(1440)) * time.Minute)
	for i, k := range ks {
		subject, ok := subjectFor(r, c.Plant, k)
		if !ok {
			continue
		}
		sev := severity(r, k)
		hours := UsualHours(k, sev) * (0.85 + 0.3*r.Float64())
		stop := at.Add(time.Duration(hours*60) * time.Minute)
		if stop.After(end.Add(-12 * time.Hour)) {
			if len(evs) == 0 {
				continue // longer than a month has room for
			}
			return evs, ks[i:]
		}
		evs = append(evs, Event{Start: at, End: stop, Kind: k, Severity: sev, Subject: subject})
		at = stop.Add(time.Duration(28*60+r.IntN(30*60)) * time.Minute)
	}
	return evs, nil
}

// subjectFor picks the instrument that an event is about.
func subjectFor(r *rand.Rand, p Plant, k Kind) (subject string, ok bool) {
	u := r.Float64()
	switch PartyOf(k) {
	case faultORP:
		switch {
		case p.Probes == 0:
			return "", false
		case u < 0.12 && (k == ORPFrozen || k == ORPDither || k == ORPNoise || k == ORPDry):
			return TagORPFinal, true
		case u < 0.45 && p.Probes == 2:
			return TagORPMiddle, true
		}
		return TagORPOutlet, true
	case faultAnalyser:
		switch {
		case !p.HasTotal:
			return TagFree, true
		case p.HasFree && p.Regime == Nitrified && u < 0.4:
			return TagFree, true
		}
		return TagTotal, true
	case faultFlow:
		if u < 0.2 {
			return TagInfluentFlow, true
		}
		return TagEffluentFlow, true
	}
	switch k {
	case Ammonia:
		return TagAmmonia, p.Regime != Chloraminated
	case UnitMixUp:
		switch {
		case u < 0.4 && p.HasTotal:
			return TagTotal, true
		case u < 0.6 && p.Probes > 0:
			return TagORPOutlet, true
		}
		return TagEffluentFlow, true
	}
	in, _ := infoOf(k)
	return in.subject, true
}

// NamedMonth is a month told about in examples and reports.
type NamedMonth struct {
	Name   string
	About  string
	Config Config
}

// NamedMonths gives one month each for a fouling probe, a lost analyser sample,
// an ammonia breakthrough, a lost feed and a storm.
func NamedMonths() []NamedMonth {
	day := func(m time.Month, d, h, min int) time.Time {
		loc, err := time.LoadLocation("America/Denver")
		if err != nil {
			panic(err) // the zone data are embedded
		}
		return time.Date(2026, m, d, h, min, 0, 0, loc)
	}
	month := func(name, about string, seed uint64, m time.Month, events ...Event) NamedMonth {
		return NamedMonth{Name: name, About: about, Config: Config{
			Name: name, Seed: seed, Start: time.Date(2026, m, 1, 0, 0, 0, 0, time.UTC), Days: 31, Events: events,
			Zone: "America/Denver", Plant: DefaultPlant(Nitrified),
		}}
	}
	return []NamedMonth{
		month("probe-fouling", "the outlet ORP probe loses 110 mV to grease in five days, until it is cleaned", 301, time.May,
			Event{Start: day(5, 14, 6, 0), End: day(5, 19, 9, 40), Kind: ORPFouling, Severity: Plain, Size: 110}),
		month("lost-sample", "the total residual analyser loses its sample one evening; the trim and the bisulfite follow it", 302, time.July,
			Event{Start: day(7, 17, 19, 25), End: day(7, 18, 6, 50), Kind: SampleLost, Severity: Gross, Subject: TagTotal}),
		month("ammonia-breakthrough", "nitrification fails for half a day in the cold and free chlorine with it", 303, time.January,
			Event{Start: day(1, 20, 5, 10), End: day(1, 20, 19, 30), Kind: Ammonia, Severity: Plain, Size: 1.6}),
		month("feed-loss", "the hypochlorite pump trips in the night", 304, time.September,
			Event{Start: day(9, 11, 2, 35), End: day(9, 11, 5, 20), Kind: FeedLost, Severity: Gross}),
		month("storm", "two days of rain triple the flow", 305, time.May,
			Event{Start: day(5, 21, 15, 0), End: day(5, 23, 3, 0), Kind: Storm, Severity: Gross, Size: 3}),
	}
}
