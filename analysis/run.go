package analysis

import (
	"context"
	"fmt"
	"math"
	"sort"

	"weirbook/analysis/align"
	"weirbook/analysis/contact"
	"weirbook/analysis/discharge"
	"weirbook/analysis/export"
	"weirbook/analysis/finding"
	"weirbook/analysis/formula"
	"weirbook/analysis/loading"
	"weirbook/analysis/orp"
	"weirbook/analysis/quantity"
	"weirbook/analysis/screen"
	"weirbook/analysis/series"
	"weirbook/analysis/speciation"
	"weirbook/analysis/upset"
)

// Run does the whole job: exports in, findings and figures out. ctx ends a long
// read. The same input gives the same result, whatever the order of the files
// or the number of cores.
func Run(ctx context.Context, in Input) (*Result, error) {
	c, err := check(ctx, in, false)
	if err != nil {
		return nil, err
	}
	r := &Result{Asked: Asked{in.From, in.To}, Named: c.Named, Read: c.Read, Screen: c.Screen, Notes: c.Missing}
	in.exported = c.exported
	if r.Frame, err = newFrame(c.Read.Series, c.Screen.Settings, in); err != nil {
		return nil, err
	}
	r.Notes = append(r.Notes, r.Frame.notes...)
	r.Notes = append(r.Notes, r.Frame.maskLogged()...)
	if c.Outside != "" {
		r.Notes = append(r.Notes, c.Outside)
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if len(in.Plant.Basins) > 0 {
		r.Frame.layMinutes()
	}
	if r.Feeds, err = feeds(r.Frame); err != nil {
		return nil, err
	}
	if err := r.followWater(); err != nil {
		return nil, err
	}
	r.tellContactTime()
	r.Notes = append(r.Notes, r.serviceRemarks()...)
	if err := r.holdLimits(c, r.Findings); err != nil {
		return nil, err
	}
	if err := r.explainUpsets(); err != nil {
		return nil, err
	}
	r.addUpsetFindings()
	r.sampledLoads()
	r.tables()
	r.cover()
	r.settings()
	r.Findings = inPeriod(r.Findings, r.From, r.To)
	finding.Sort(r.Findings)
	return r, ctx.Err()
}

// inPeriod keeps the findings that touch the period.
func inPeriod(fs []finding.Finding, from, to int64) []finding.Finding {
	var out []finding.Finding
	for _, f := range fs {
		if f.End > from && f.Start < to {
			out = append(out, f)
		}
	}
	return out
}

// followWater judges the instruments, and goes with the water through the
// basins with what the judging took out.
func (r *Result) followWater() error {
	var err error
	if r.Basins, err = basins(r.Frame); err != nil {
		return err
	}
	if err := r.judge(); err != nil {
		return err
	}
	r.ends = r.Frame.ends(r.Findings)
	r.markServices()
	r.mixtureServices()
	if err := follow(r.Frame, r.Basins); err != nil {
		return err
	}
	for i := range r.Basins {
		b := &r.Basins[i]
		judgeHours(r.Frame, b)
		r.boundHours(b)
		doubtHours(r.Frame, b, r.Judgements)
	}
	return nil
}

// Checked is what reading and screening alone give.
type Checked struct {
	Read    *export.Result
	Screen  screen.Report
	Missing []string // tags of tags.csv that no export holds
	Outside string   // what was read and lies outside the period asked for; empty: nothing
	Named   []string // the files named to be read

	exported map[string]stretch // see exportedSpans
}

// Check reads and screens, and judges nothing.
func Check(ctx context.Context, in Input) (*Checked, error) { return check(ctx, in, true) }

func check(ctx context.Context, in Input, looks bool) (*Checked, error) {
	read, err := readExports(ctx, in, looks)
	if err != nil {
		return nil, err
	}
	c := &Checked{Read: read}
	for _, f := range in.Files {
		c.Named = append(c.Named, f.Name)
	}
	kinds := map[string]quantity.Kind{}
	for _, t := range in.Plant.Tags {
		kinds[t.Name] = t.Measures
	}
	for _, q := range export.ClockQuestions(read, kinds, export.DefaultLagSettings()) {
		read.Messages = append(read.Messages, export.Message{Severity: export.Warning, Text: q})
	}
	declared, said := declaredUnits(in.Plant, read)
	read.Series, c.Outside = inPeriodAsked(in, read, defaultRecordSettings())
	c.exported = exportedSpans(read)
	var tags []screen.Tagged
	for _, t := range in.Plant.Tags {
		s := read.Series[t.Name]
		if _, met := c.exported[t.Name]; met && (s == nil || s.Len() == 0) {
			c.Missing = append(c.Missing, fmt.Sprintf("tags.csv:%d: tag %s has no reading in the period asked for", t.Line, t.Name))
			continue
		}
		if s == nil || s.Len() == 0 {
			c.Missing = append(c.Missing, fmt.Sprintf("tags.csv:%d: tag %s is in no export; is it spelt as in the exports?", t.Line, t.Name))
			continue
		}
		tags = append(tags, screen.Tagged{Series: s, Kind: t.Measures, Reading: t.Reading, Declared: declared[t.Name], Low: t.Low, High: t.High, Typical: math.NaN(), Line: t.Line})
	}
	if len(tags) == 0 && c.Outside != "" {
		return nil, nothingInPeriod(in, c.exported)
	}
	if len(tags) == 0 {
		return nil, nothingRead(read)
	}
	if _, err = orpSettings(in.Plant); err != nil {
		return nil, err
	}
	set := screen.DefaultSettings()
	set.Clock = in.Plant.Zone
	if set, err = set.With(in.Plant.Screen); err != nil {
		return nil, fmt.Errorf("plant.toml: %w", err)
	}
	c.Screen = screen.Screen(tags, set)
	c.Screen.Messages = append(said, c.Screen.Messages...)
	if err := c.Screen.Apply(tags); err != nil {
		return nil, err
	}
	return c, nil
}

// cover tells how much of each day every signal covers.
func (r *Result) cover() {
	all := make([]TagCoverage, len(r.Plant.Tags))
	parallel(len(all), func(k int) {
		t := r.Plant.Tags[k]
		if t.Sampled() {
			return
		}
		c := TagCoverage{Tag: t, Share: make([]float64, len(r.Days))}
		if day, ok := r.Daily.Column(r.columnOf(t)); ok && day.Cover != nil {
			c.Share = day.Cover // reckoned for the daily table already
			all[k] = c
			return
		}
		s := r.Series[t.Name]
		if t.Reading == series.Counter {
			for i, w := range r.Days {
				if lo, hi := s.Between(w.Start, w.End); hi > lo {
					c.Share[i] = 1
				}
			}
		} else {
			for i, st := range align.Over(s, r.Rule(t), r.Days) {
				c.Share[i] = st.Cover
			}
		}
		all[k] = c
	})
	for _, c := range all {
		if c.Share != nil {
			r.Coverage = append(r.Coverage, c)
		}
	}
}

// settings lists what the figures rest on, for the report and run.json.
func (r *Result) settings() {
	add := func(name, value, why string) { r.Settings = append(r.Settings, Setting{name, value, why}) }
	p := r.Plant
	add("hour_coverage", fmt.Sprintf("%g", p.HourCoverage), "share of an hour that must be covered for it to be determined")
	add("day_coverage", fmt.Sprintf("%g", p.DayCoverage), "the same for a day")
	add("max_gap", p.MaxGap.String(), "nothing is bridged beyond this between readings of a continuous tag")
	add("max_gap_on_change", r.Frame.settings.MaxGapOnChange.String(), "the same for on-change tags")
	add("pounds factor", factor(p).String(), "lb per million gallons per mg/L")
	for i := range r.Basins {
		b := &r.Basins[i]
		if !math.IsNaN(b.Volume) {
			add(b.Name+".volume", fmt.Sprintf("%.0f gal", b.Volume), "plant.toml")
		}
		add(b.Name+".contact_time", fmt.Sprintf("%s = %.4g × volume / flow", b.Contact.Factor.Kind, b.Contact.Factor.Value), b.Contact.Factor.Source)
		if d := b.Contact.Factor.Doubt(peakFlow(b)); d != "" {
			r.Notes = append(r.Notes, b.Title+": "+d+".")
		}
		for _, n := range b.Contact.Factor.Notes {
			r.Notes = append(r.Notes, b.Title+", tracer test: "+n+".")
		}
		r.Notes = append(r.Notes, b.assumptions()...)
		add(b.Name+".judged_by", b.Require.JudgedBy, "dynamic: the water leaving; steady: lowest residual at the hour's peak flow")
		add(b.Name+".residual", b.ResidualTag.Name, "the residual CT is reckoned with")
	}
	r.statedSettings(add)
	set := append(structSettings("record.", defaultRecordSettings()), structSettings("screen.", r.Screen.Settings)...)
	for _, j := range r.Judgements {
		set = append(set, structSettings("orp.", j.Settings)...)
		break // the same for every basin
	}
	if len(r.Basins) > 0 {
		set = append(set, structSettings("upset.", upset.DefaultSettings())...)
	}
	r.Settings = append(r.Settings, set...)
}

// peakFlow is the highest flow through a basin in the period's hours, MGD.
func peakFlow(b *Basin) float64 {
	peak := math.NaN()
	for _, h := range b.Steady {
		if !(h.PeakFlowMGD <= peak) && !math.IsNaN(h.PeakFlowMGD) {
			peak = h.PeakFlowMGD
		}
	}
	return peak
}

// Formulas lists every formula the program uses, with its source.
func Formulas() []formula.Entry {
	out := append([]formula.Entry(nil), loading.Formulas()...)
	out = append(out, contact.Formulas()...)
	out = append(out, speciation.Formulas()...)
	out = append(out, orp.Formulas()...)
	out = append(out, discharge.Formulas()...)
	sort.SliceStable(out, func(i, j int) bool { return out[i].Quantity < out[j].Quantity })
	return out
}
