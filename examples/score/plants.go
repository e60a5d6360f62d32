package main

import (
	"context"
	"math"

	"weirbook/analysis"
	"weirbook/analysis/upset"
	"weirbook/examples/plants"
	"weirbook/examples/ready"
)

// scorePlants runs a record of package plants through the whole program, from
// the text of its exports on, and scores what the judgement found.
func scorePlants(c plants.Config) (tally, error) {
	r, err := plants.Make(c)
	if err != nil {
		return tally{}, err
	}
	var texts []ready.Text
	for _, f := range r.Files() {
		texts = append(texts, ready.Text{Name: f.Name, Data: f.Data})
	}
	in, err := ready.Input(texts, nil)
	if err != nil {
		return tally{}, err
	}
	res, err := analysis.Run(context.Background(), in)
	if err != nil {
		return tally{}, err
	}
	rec := record{name: c.Name, class: c.Site.Class, exception: c.Site.Storage != plants.Scan, hours: float64(r.N) / 60,
		clock: func(ms int64) string { return timeOf(ms).In(r.Loc).Format("01-02 15:04") }}
	at := func(i int) int64 { return (r.First + 60*int64(i)) * 1000 }
	for _, e := range r.Truth {
		severity := full
		if e.Half {
			severity = half
		}
		rec.events = append(rec.events, happening{kind: string(e.Kind), severity: severity, start: at(e.From), end: at(e.To),
			atFault: e.AtFault, also: e.Also, abrupt: !e.Slow, excused: e.Excused})
	}
	for _, s := range r.Rains {
		rec.rains = append(rec.rains, [2]int64{at(s.From), at(s.To)})
	}
	for _, s := range r.Lapses {
		rec.lapses = append(rec.lapses, [2]int64{at(s.From), at(s.To)})
	}
	for _, f := range res.Findings {
		g := found{Finding: f, alarm: f.Start}
		for _, j := range res.Judgements {
			for k, o := range j.Findings {
				if o.Kind == f.Kind && o.Subject == f.Subject && o.Start == f.Start && o.End == f.End {
					g.alarm = j.Alarms[k]
				}
			}
		}
		if breach(f.Kind) {
			minute := func(ms int64) int { return int(ms/1000-r.First) / 60 }
			g.follows, g.so = true, r.Breached(minute(f.Start), minute(f.End))
		}
		rec.findings = append(rec.findings, g)
	}
	t := judgeRecord(rec)
	t.stories = stories(&rec, r.Truth, res)
	return t, nil
}

// breach says that a finding tells of something asked that was not met, which
// follows from a cause that has a finding of its own.
func breach(kind string) bool {
	switch upset.What(kind) {
	case upset.CTShort, upset.ResidualLow, upset.ContactShort, upset.ResidualHigh, upset.FinalHigh, upset.EColiHigh:
		return true
	}
	return false
}

// falsePer1000 is the false-alarm hours for 1000 clean hours of the claims kept.
func falsePer1000(ts []tally, keep func(t *tally, c *claim) bool, of func(t *tally) bool) (per1000 float64, n int) {
	h, clean := 0.0, 0.0
	for i := range ts {
		if !of(&ts[i]) {
			continue
		}
		clean += ts[i].cleanHours
		for k := range ts[i].claims {
			if c := &ts[i].claims[k]; c.false && keep(&ts[i], c) {
				h += c.hours
				n++
			}
		}
	}
	return 1000 * h / math.Max(clean, 1), n
}
