package analysis

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/contact"
	"weirbook/analysis/discharge"
	"weirbook/analysis/finding"
	"weirbook/analysis/orp"
	"weirbook/analysis/plant"
	"weirbook/analysis/review"
	"weirbook/analysis/screen"
	"weirbook/analysis/series"
	"weirbook/analysis/upset"
)

// fold gathers the hours of one stretch after the other.
type fold struct {
	rec       *review.Record
	notes     map[string]bool
	settings  []Setting
	absent    map[string]int  // tags without a reading, by their note, in how many stretches
	said      map[string]bool // what screening said, by tag and defect
	stretches int
}

func newFold(p *plant.Plant, from, to int64) *fold {
	rec := &review.Record{Plant: p, Hours: align.Hours(from, to, p.Zone), Columns: map[string]*review.Column{}}
	n := len(rec.Hours)
	for _, b := range p.Basins {
		rec.Basins = append(rec.Basins, review.Basin{Basin: b, Verdict: make([]contact.Verdict, n), CT: unknown(n), Required: unknown(n), Residual: unknown(n),
			PeakFlow: unknown(n), ContactMin: unknown(n), Doubt: make([]string, n), Cause: make([]review.Cause, n), Why: make([]string, n)})
	}
	return &fold{rec: rec, notes: map[string]bool{}, absent: map[string]int{}, said: map[string]bool{}}
}

// stretch reads and judges one stretch as a run does, and keeps its hours.
func (f *fold) stretch(ctx context.Context, in Input, w align.Window, spans []fileSpan, first, last int64) error {
	lead, trail := w.Start-reviewLead.Milliseconds(), w.End+reviewTrail.Milliseconds()
	sub := in
	sub.From, sub.To, sub.Hash, sub.Strict = w.Start, w.End, false, false
	sub.keep = &stretch{lead, trail - 1}
	if lead > first || trail <= last {
		sub.readFrom, sub.readTo = time.UnixMilli(lead), time.UnixMilli(trail)
	}
	sub.Files = within(spans, lead, trail)
	if in.Progress != nil {
		total, hours := int64(0), f.rec.Hours
		for _, x := range in.Files {
			total += x.Size
		}
		part := float64(w.Start-hours[0].Start) / float64(hours[len(hours)-1].End-hours[0].Start)
		sub.Progress = func(_, _ int64) { in.Progress(total/2+int64(part*float64(total)/2), total) }
	}
	if len(sub.Files) == 0 {
		f.note(fmt.Sprintf("No export holds a reading from %s to %s.", day(in.Plant, w.Start), day(in.Plant, w.End)))
		return nil
	}
	var none emptyError
	r, err := Run(ctx, sub)
	if err != nil {
		if ctx.Err() != nil || !errors.As(err, &none) {
			return fmt.Errorf("%s to %s: %w", day(in.Plant, w.Start), day(in.Plant, w.End), err)
		}
		f.note(fmt.Sprintf("No reading of a signal from %s to %s.", day(in.Plant, w.Start), day(in.Plant, w.End)))
		return nil
	}
	return f.add(r)
}

func (f *fold) note(s string) {
	if !f.notes[s] {
		f.notes[s] = true
		f.rec.Notes = append(f.rec.Notes, s)
	}
}

// add keeps the hours of a run.
func (f *fold) add(r *Result) error {
	at := sort.Search(len(f.rec.Hours), func(i int) bool { return f.rec.Hours[i].Start >= r.Hours[0].Start })
	n := len(f.rec.Hours)
	for _, c := range r.Hourly.Columns {
		col := f.rec.Columns[c.Name]
		if col == nil {
			col = &review.Column{Title: c.Title, Unit: c.Unit.Symbol, Values: unknown(n)}
			f.rec.Columns[c.Name] = col
		}
		if c.Cover != nil && col.Cover == nil {
			col.Cover = make([]float32, n)
		}
		for i, v := range c.Values {
			if at+i < n {
				col.Values[at+i] = v
				if c.Cover != nil {
					col.Cover[at+i] = float32(c.Cover[i])
				}
			}
		}
	}
	for i := range r.Basins {
		f.addBasin(&f.rec.Basins[i], &r.Basins[i], at, r)
	}
	f.addJudgements(r)
	f.addSamples(r)
	if err := f.addMonths(r); err != nil {
		return err
	}
	f.rec.Findings = acrossSeam(f.rec.Findings, r.Findings, r.From)
	f.stretches++
	for _, s := range r.Notes {
		if strings.HasPrefix(s, "tags.csv:") {
			f.absent[s]++ // of this stretch only
			continue
		}
		f.note(s)
	}
	for _, m := range r.Screen.Messages {
		f.say(m)
	}
	if f.settings == nil {
		f.settings = r.Settings
	}
	return nil
}

// acrossSeam adds a stretch's findings to those before it. One that lasts over the
// seam between two stretches is found in both, and is one.
func acrossSeam(have, more []finding.Finding, seam int64) []finding.Finding {
	const near = int64(time.Hour / time.Millisecond)
	for _, x := range more {
		k := slices.IndexFunc(have, func(h finding.Finding) bool {
			return h.Kind == x.Kind && h.Subject == x.Subject && h.AtFault == x.AtFault && h.End >= seam-near && x.Start <= seam+near && h.Start < seam
		})
		if k < 0 || x.Start > have[k].End+near {
			have = append(have, x)
			continue
		}
		have[k].End = max(have[k].End, x.End)
		have[k].Suspicion = have[k].Suspicion && x.Suspicion
		have[k].Confidence = max(have[k].Confidence, x.Confidence)
	}
	return have
}

func (f *fold) addBasin(out *review.Basin, b *Basin, at int, r *Result) {
	out.FlowTag, out.ResidualTag = b.FlowTag.Name, b.ResidualTag.Name
	n := len(f.rec.Hours)
	for i, h := range b.Hours {
		k := at + i
		if k >= n {
			break
		}
		if !h.Asked {
			h.Verdict = ""
		}
		out.Verdict[k], out.CT[k], out.Required[k], out.Residual[k] = h.Verdict, h.CT.Value, h.Required, h.Residual
		st := b.Steady[i]
		out.PeakFlow[k], out.ContactMin[k] = st.PeakFlowMGD, st.ContactMin
		out.Doubt[k] = h.DoubtOf
		if h.Verdict == contact.NotDetermined {
			out.Why[k] = h.Why
		}
		if h.Short() {
			out.Cause[k] = causeOf(r, b, h, f.rec.Hours[k])
		}
		for _, j := range h.Judged {
			a := askOf(out, j, n)
			a.Required[k], a.Value[k], a.Verdict[k] = j.Required, j.Band.Value, j.Verdict
		}
	}
}

func askOf(b *review.Basin, j contact.Judged, n int) *review.Ask {
	for i := range b.Asks {
		if b.Asks[i].Name == j.What {
			return &b.Asks[i]
		}
	}
	b.Asks = append(b.Asks, review.Ask{Name: j.What, Unit: j.Unit, Required: unknown(n), Value: unknown(n), Verdict: make([]contact.Verdict, n)})
	return &b.Asks[len(b.Asks)-1]
}

// causeParts says which part of an upset's split belongs to which cause.
var causeParts = map[upset.Cause]review.Cause{
	upset.ByTime: review.CauseFlow, upset.ByVolume: review.CauseFlow, upset.ByDilution: review.CauseFlow,
	upset.ByFeed: review.CauseDose, upset.ByStrength: review.CauseDose, upset.ByDose: review.CauseDose,
	upset.ByDemand: review.CauseDemand, upset.ByResidual: review.CauseDemand,
	upset.ByTemperature: review.CauseConditions, upset.ByPH: review.CauseConditions,
}

// causeOf puts a short hour down to what the run's account of its upset says took
// most CT in that hour, or in the upset as a whole.
func causeOf(r *Result, b *Basin, h BasinHour, w align.Window) review.Cause {
	if h.Doubt {
		return review.CauseInstrument
	}
	for i := range r.Upsets {
		u := &r.Upsets[i]
		if u.Basin != b.Name || u.Episode.End <= w.Start || u.Episode.Start >= w.End {
			continue
		}
		if len(u.NotReckoned) > 0 {
			return review.CauseInstrument
		}
		for _, s := range append(slices.Clone(u.Hours), u.Split) {
			whole := s.Window.Start <= w.Start && s.Window.End >= w.End
			if c, ok := worstPart(s); ok && (whole || s.Window.Start == u.Split.Window.Start) {
				return c
			}
		}
	}
	return review.CauseUnknown
}

func worstPart(s upset.Split) (review.Cause, bool) {
	sum := map[review.Cause]float64{}
	for _, p := range s.Parts {
		if !math.IsNaN(p.CT) {
			sum[causeParts[p.Cause]] += p.CT
		}
	}
	best, low := review.CauseUnknown, 0.0
	for _, c := range review.Causes() {
		if v, ok := sum[c]; ok && v < low {
			best, low = c, v
		}
	}
	return best, low < 0
}

func (f *fold) addJudgements(r *Result) {
	for _, j := range r.Judgements {
		for _, d := range j.Doubts {
			if atFault(d) && d.End > r.From && d.Start < r.To {
				f.rec.Doubts = append(f.rec.Doubts, review.Doubt{Tag: d.Tag, Kind: d.Kind, Party: d.Party, Start: max(d.Start, r.From), End: min(d.End, r.To)})
			}
		}
		for _, s := range j.Services {
			if s.Start >= r.From && s.Start < r.To {
				f.rec.Services = append(f.rec.Services, review.Service{Tag: s.Tag, Start: s.Start, End: s.End})
			}
		}
	}
}

// addSamples keeps laboratory results, and what a signal of the same point read in
// the ten minutes about each grab.
func (f *fold) addSamples(r *Result) {
	for _, t := range r.Plant.Tags {
		if !t.Sampled() {
			continue
		}
		s := r.Series[t.Name]
		lo, hi := s.Between(r.From, r.To)
		signal, paired := r.Plant.Signal(t.Measures, t.At)
		var col []float64
		if paired && t.Reading == series.Grab {
			col = r.Minutes(signal)
		}
		for i := lo; i < hi; i++ {
			if !s.Usable(i) {
				continue
			}
			x := review.Sample{Tag: t.Name, At: s.T[i], Value: discharge.Value{V: s.V[i], Sign: discharge.SignOf(s.F[i])}}
			f.rec.Samples = append(f.rec.Samples, x)
			if col == nil || x.Sign != discharge.Exact {
				continue
			}
			if v := readAbout(col, r.Grid.Index(s.T[i])); !math.IsNaN(v) {
				f.rec.Pairs = append(f.rec.Pairs, review.Pair{Lab: t.Name, Signal: signal.Name, At: s.T[i], Grab: s.V[i], Read: v, Doubt: doubted(r.Judgements, signal.Name, s.T[i])})
			}
		}
	}
}

// readAbout is the median of the minutes about one; NaN for fewer than five.
func readAbout(col []float64, i int) float64 {
	var v []float64
	for k := max(i-5, 0); k <= i+5 && k < len(col); k++ {
		if !math.IsNaN(col[k]) {
			v = append(v, col[k])
		}
	}
	if len(v) < 5 {
		return math.NaN()
	}
	sort.Float64s(v)
	return v[len(v)/2]
}

func doubted(js []Judgement, tag string, at int64) bool {
	return slices.ContainsFunc(js, func(j Judgement) bool {
		return slices.ContainsFunc(j.Doubts, func(d orp.Doubt) bool { return d.Tag == tag && atFault(d) && d.Start <= at && at < d.End })
	})
}

// finish puts what the stretches gave in order.
func (f *fold) finish() *review.Record {
	r := f.rec
	var gone []string
	for s := range f.absent {
		gone = append(gone, s)
	}
	sort.Strings(gone)
	for _, s := range gone {
		if n := f.absent[s]; n < f.stretches {
			s = fmt.Sprintf("%s (in %d of the %d stretches that the record was read in)", strings.TrimSuffix(s, "; is it spelt as in the exports?"), n, f.stretches)
		}
		f.note(s)
	}
	sort.SliceStable(r.Samples, func(i, j int) bool { return r.Samples[i].At < r.Samples[j].At })
	sort.SliceStable(r.Pairs, func(i, j int) bool { return r.Pairs[i].At < r.Pairs[j].At })
	sort.SliceStable(r.Doubts, func(i, j int) bool {
		if r.Doubts[i].Tag != r.Doubts[j].Tag {
			return r.Doubts[i].Tag < r.Doubts[j].Tag
		}
		return r.Doubts[i].Start < r.Doubts[j].Start
	})
	sort.SliceStable(r.Services, func(i, j int) bool {
		if r.Services[i].Tag != r.Services[j].Tag {
			return r.Services[i].Tag < r.Services[j].Tag
		}
		return r.Services[i].Start < r.Services[j].Start
	})
	return r
}

// say keeps what screening said of a tag once for each defect. A change of unit in
// the record's middle is a question of its own.
func (f *fold) say(m screen.Message) {
	k := m.Tag + "|" + string(m.Defect)
	if m.Defect == screen.Unit || f.said[k] {
		if m.Defect == screen.Unit && !f.said[k] {
			f.rec.Changed = append(f.rec.Changed, strings.TrimSpace(m.Text+" "+m.Next))
			f.said[k] = true
		}
		return
	}
	f.said[k] = true
	f.note(strings.TrimSpace(m.Text + " " + m.Next))
}

// addMonths holds the limits of the permit against each whole month of a stretch,
// by their legal definitions, as the monthly summary does.
func (f *fold) addMonths(r *Result) error {
	if len(r.Plant.Limits) == 0 {
		return nil
	}
	zone := r.Plant.Zone
	var judged monthJudging
	var fs []finding.Finding
	for _, j := range r.Judgements {
		fs = append(fs, j.Findings...)
	}
	finding.Sort(fs)
	judged.take(fs)
	d := discharge.Input{Plant: r.Plant, Settings: discharge.DefaultSettings(r.Plant)}
	for _, t := range r.Plant.Tags {
		d.Tags = append(d.Tags, discharge.TagData{Tag: t, Series: r.Series[t.Name], Rule: r.Rule(t), Lab: r.Read.Lab[t.Name]})
	}
	first := time.UnixMilli(r.From).In(zone)
	for at := time.Date(first.Year(), first.Month(), 1, 0, 0, 0, 0, zone); at.UnixMilli() < r.To; at = at.AddDate(0, 1, 0) {
		// The last minutes may be missing: a record ends with its last reading.
		if at.UnixMilli() < r.From-int64(time.Hour/time.Millisecond) || at.AddDate(0, 1, 0).UnixMilli() > r.To+int64(time.Hour/time.Millisecond) {
			continue
		}
		m, err := judged.summarise(d, at)
		if err != nil {
			return err
		}
		for _, l := range m.Lines {
			if !l.ForPlant || l.Limit.ReportOnly {
				continue
			}
			x := review.LimitMonth{Year: at.Year(), Month: at.Month(), Parameter: l.Parameter, Point: l.Point, Statistic: strings.TrimSpace(l.Statistic + " " + l.Part), Unit: l.Unit,
				AtLeast: l.AtLeast, Limit: l.LimitValue, LimitText: l.LimitText, Value: l.Value, Below: l.Sign == discharge.Less, State: l.State}
			f.rec.LimitMonths = append(f.rec.LimitMonths, x)
			if l.Required > 0 {
				s := review.Sampling{Start: at.UnixMilli(), Parameter: l.Parameter, Point: l.Point, Asked: l.Limit.Frequency, Taken: l.Taken, Required: l.Required, Months: 1}
				if l.Missing == 0 {
					s.MonthsHeld = 1
				}
				if n := len(f.rec.Taken); n == 0 || f.rec.Taken[n-1].Parameter != s.Parameter || f.rec.Taken[n-1].Point != s.Point || f.rec.Taken[n-1].Asked != s.Asked || f.rec.Taken[n-1].Start != s.Start {
					f.rec.Taken = append(f.rec.Taken, s) // two limits of one parameter share their samples
				}
			}
		}
	}
	return nil
}
