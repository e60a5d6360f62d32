package analysis

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/contact"
	"weirbook/analysis/discharge"
	"weirbook/analysis/finding"
	"weirbook/analysis/loading"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
	"weirbook/analysis/upset"
)

// Upset is one explained episode of one basin.
type Upset struct {
	Basin   string // whose water it is told from
	Subject string // the basin, or the point of a common outfall
	Input   upset.Input
	upset.Explanation
}

// explainUpsets finds the episodes of every basin and explains each that touches
// the period.
func (r *Result) explainUpsets() error {
	for i := range r.Basins {
		in := r.UpsetInput(&r.Basins[i], i == 0)
		all, err := upset.Find(in, upset.DefaultSettings())
		if err != nil {
			return fmt.Errorf("basin %s: %w", r.Basins[i].Name, err)
		}
		for _, e := range all {
			if e.End <= r.From || e.Start >= r.To {
				continue
			}
			x, err := upset.Explain(in, e, all, upset.DefaultSettings())
			if err != nil {
				return fmt.Errorf("basin %s: %w", r.Basins[i].Name, err)
			}
			u := Upset{Basin: r.Basins[i].Name, Subject: r.Basins[i].Name, Input: in, Explanation: x}
			if len(r.Basins) > 1 && onlyOutfall(e) {
				if u, err = r.fromBestTrain(u, e); err != nil {
					return err
				}
			}
			r.Upsets = append(r.Upsets, u)
		}
	}
	return nil
}

// onlyOutfall says that nothing but the outfall was outside of what is asked.
func onlyOutfall(e upset.Episode) bool {
	for _, b := range e.Breaches {
		if b.What != upset.FinalHigh && b.What != upset.EColiHigh {
			return false
		}
	}
	return true
}

// fromBestTrain tells an episode of a common outfall from the train whose water
// explains it best: one in which the judging of the instruments holds something
// that goes with what moved first, then one in which a cause moved before it,
// the surest cause, and the greatest first move. Its subject is the outfall.
func (r *Result) fromBestTrain(u Upset, e upset.Episode) (Upset, error) {
	rank := func(x *upset.Explanation) (level int, sigmas float64) {
		level = map[upset.Level]int{upset.High: 2, upset.Moderate: 1}[x.Cause.Level]
		if m, ok := x.First(); ok && !math.IsNaN(m.Sigmas) {
			sigmas = m.Sigmas
			if !m.Effect {
				level += 3
			}
		}
		if x.Cause.Found != nil && !x.Cause.Disputed {
			level += 6
		}
		return level, sigmas
	}
	best := u
	for i := range r.Basins {
		if r.Basins[i].Name == u.Basin {
			continue
		}
		in := r.UpsetInput(&r.Basins[i], true)
		all, err := upset.Find(in, upset.DefaultSettings())
		if err != nil {
			return u, err
		}
		x, err := upset.Explain(in, e, all, upset.DefaultSettings())
		if err != nil {
			return u, err
		}
		l0, s0 := rank(&best.Explanation)
		if l, s := rank(&x); l > l0 || l == l0 && s > s0 {
			best = Upset{Basin: r.Basins[i].Name, Input: in, Explanation: x}
		}
	}
	best.Subject = u.Basin
	for _, q := range r.Plant.Points {
		if q.Outfall {
			best.Subject = q.Name
			break
		}
	}
	return best, nil
}

// ExplainBetween explains what happened between two times, Unix milliseconds,
// basin by basin. A basin with no breach in that time is left out, unless none
// has any: then the first is explained over the whole of it.
func (r *Result) ExplainBetween(from, to int64) ([]Upset, error) {
	r.Asked = Asked{from, to}
	var out []Upset
	for pass := range 2 {
		for i := range r.Basins {
			in := r.UpsetInput(&r.Basins[i], i == 0)
			all, err := upset.Find(in, upset.DefaultSettings())
			if err != nil {
				return nil, fmt.Errorf("basin %s: %w", r.Basins[i].Name, err)
			}
			e, err := upset.Given(in, upset.DefaultSettings(), series.Stretch{Start: from, End: to})
			if err != nil {
				return nil, err
			}
			if len(e.Breaches) == 0 && (pass == 0 || len(out) > 0) {
				continue
			}
			x, err := upset.Explain(in, e, all, upset.DefaultSettings())
			if err != nil {
				return nil, err
			}
			u := Upset{Basin: r.Basins[i].Name, Subject: r.Basins[i].Name, Input: in, Explanation: x}
			if len(r.Basins) > 1 && len(e.Breaches) > 0 && onlyOutfall(e) {
				if u, err = r.fromBestTrain(u, e); err != nil {
					return nil, err
				}
			}
			out = append(out, u)
		}
		if len(out) > 0 {
			break
		}
	}
	return out, nil
}

// UpsetInput gathers what an upset of one basin is explained from. The outfall's
// own breaches go with the first basin whose water it carries.
func (r *Result) UpsetInput(b *Basin, first bool) upset.Input {
	in := upset.Input{Grid: r.Grid, Loc: r.Plant.Zone, Plant: r.Plant.Name, Metric: r.Plant.Units == plant.Metric, Factor: float64(factor(r.Plant))}
	in.Basin = upset.Basin{Name: b.Name, Title: b.Title, CT: b.Track.CTMgMinL, Residual: b.Residual, Contact: b.Track.ContactMin,
		Volume: b.Contact.VolumeByMinute, Delay: b.DelayMin, Flow: b.Flow, ResidualMin: b.Require.ResidualMin,
		FreeBasis: b.ResidualTag.Measures == quantity.ChlorineFree}
	_, in.Basin.Temp = r.signal(quantity.Temp, b.Outlet)
	_, in.Basin.PH = r.signal(quantity.PH, b.Outlet)
	in.Chlorine, in.Dechlorination = noSupply(), noSupply()
	chlorine := r.upsetFeeds(&in, b)
	r.upsetJudged(&in, b, first)
	r.upsetColumns(&in, b, chlorine)
	r.upsetDoubts(&in, b)
	for i := range r.Plant.Log {
		e := &r.Plant.Log[i]
		in.Log = append(in.Log, upset.Noted{Stretch: series.Stretch{Start: e.From.UnixMilli(), End: e.Until().UnixMilli()}, Says: LogLine(r.Plant, e),
			Short: e.Short(), Cause: loggedCause[e.What]})
	}
	return in
}

func noSupply() upset.Supply {
	nan := math.NaN()
	return upset.Supply{FullStroke: nan, Capacity: nan, LbPerGal: nan, Ratio: nan}
}

// upsetFeeds hands over the chlorine feed of the basin and the dechlorination.
func (r *Result) upsetFeeds(in *upset.Input, b *Basin) (chlorine *Feed) {
	for i := range r.Feeds {
		f := &r.Feeds[i]
		s := upset.Supply{Title: f.Title, Gas: f.Gas(), FullStroke: f.FullStroke, Capacity: f.Capacity, LbPerGal: math.NaN(),
			Ratio: f.Ratio, RatioFrom: f.RatioFrom, Chemical: f.Chemical}
		perGal := poundsPerGallon(f, r.Plant)
		if len(perGal) > 0 {
			s.LbPerGal = perGal[len(perGal)-1]
		}
		if math.IsNaN(s.FullStroke) {
			s.FullStroke = s.Capacity // what it delivers at most is its full setting
		}
		switch {
		case f.Chlorinates() && chlorine == nil && r.doses(f, b):
			chlorine = f
			in.Chlorine = s
			in.Basin.Feed, in.Basin.Strength, in.Basin.Dose = f.GalPerHour, perGal, f.DoseMgL
			if f.Gas() {
				in.Basin.Feed = f.LbPerDay
			}
			in.Basin.FeedFlow = f.FlowMGD
		case !f.Chlorinates() && math.IsNaN(in.Dechlorination.Ratio) && r.sameWater(f.FlowAt, b):
			in.Dechlorination = s
		}
	}
	return chlorine
}

// poundsPerGallon is the strength of a solution by minute, lb of active chemical
// a gallon; nil for a gas.
func poundsPerGallon(f *Feed, p *plant.Plant) []float64 {
	if f.Gas() || f.Strengths == nil {
		return nil
	}
	day := loading.LiquidColumn(ones(len(f.Strengths)), f.Strengths, factor(p))
	for i := range day {
		day[i] /= 24
	}
	return day
}

// upsetJudged lists what the plant description requires.
func (r *Result) upsetJudged(in *upset.Input, b *Basin, first bool) {
	rests := []string{b.ResidualTag.Name, b.FlowTag.Name}
	q := b.Require
	ct := b.Track.CTMgMinL
	if q.JudgedBy == "steady" {
		ct = unknown(r.Grid.N)
		for k, w := range r.Hours {
			for i := max(r.Grid.Index(w.Start), 0); i < min(r.Grid.Index(w.End), r.Grid.N); i++ {
				ct[i] = b.Steady[k].CTMgMinL
			}
		}
	}
	limit := r.requiredCT(in, b)
	if limit != nil {
		in.Basin.Required = limit
		in.Judged = append(in.Judged, upset.Judged{What: upset.CTShort, Title: "CT in the " + b.Title, Unit: "mg·min/L", V: ct, Limit: limit,
			Flow: b.Flow, RestsOn: rests, Source: q.Source, Hourly: q.JudgedBy == "steady"})
	}
	residual := "residual leaving the " + b.Title
	if !math.IsNaN(q.ResidualMin) {
		in.Judged = append(in.Judged, upset.Judged{What: upset.ResidualLow, Title: residual, Unit: "mg/L", V: b.Residual,
			Limit: []float64{q.ResidualMin}, Flow: b.Flow, RestsOn: rests[:1], Source: q.Source})
	}
	if !math.IsNaN(q.ContactTime) {
		// Asked at the hour's peak flow, so it is judged hour by hour.
		t := unknown(r.Grid.N)
		for k, w := range r.Hours {
			for i := max(r.Grid.Index(w.Start), 0); i < min(r.Grid.Index(w.End), r.Grid.N); i++ {
				t[i] = b.Steady[k].ContactMin
			}
		}
		in.Judged = append(in.Judged, upset.Judged{What: upset.ContactShort, Title: "contact time in the " + b.Title + " at the hour's peak flow", Unit: "min", V: t,
			Limit: []float64{q.ContactTime}, Flow: b.Flow, RestsOn: rests[1:], Source: q.Source, Hourly: true})
	}
	if !math.IsNaN(q.ResidualMax) {
		in.Judged = append(in.Judged, upset.Judged{What: upset.ResidualHigh, Title: residual, Unit: "mg/L", V: b.Residual,
			Limit: []float64{q.ResidualMax}, Flow: b.Flow, RestsOn: rests[:1]})
	}
	in.Outfall.DetectMgL = math.NaN()
	r.upsetOutfall(in, b, first)
}

// requiredCT gives the required CT, a value a minute or one for all; nil where
// none is asked. Where it comes from the inactivation tables, it follows
// temperature, pH and residual.
func (r *Result) requiredCT(in *upset.Input, b *Basin) []float64 {
	q := b.Require
	if !math.IsNaN(q.CT) && q.CT > 0 {
		return []float64{q.CT}
	}
	path, logs, full := contact.Giardia, q.GiardiaLog, 3.0
	if math.IsNaN(logs) || logs <= 0 {
		path, logs, full = contact.Virus, q.VirusLog, 4.0
	}
	if math.IsNaN(logs) || logs <= 0 || in.Basin.Temp == nil || in.Basin.PH == nil {
		return nil
	}
	tables, reading := contact.FreeChlorine, contact.Reading(q.TableReading)
	if q.Disinfectant == "chloramine" {
		tables = contact.Chloramine
	}
	in.Basin.RequiredAt = func(tempC, ph, residual float64) float64 {
		return contact.FullCT(path, tables, contact.Conditions{TempC: tempC, PH: ph, ChlorineMgL: residual}, reading).CTMgMinL * logs / full
	}
	out := make([]float64, r.Grid.N)
	for i := range out {
		out[i] = math.NaN()
		if t, ph, c := in.Basin.Temp[i], in.Basin.PH[i], b.Residual[i]; !math.IsNaN(t) && !math.IsNaN(ph) && !math.IsNaN(c) {
			out[i] = in.Basin.RequiredAt(t, ph, c)
		}
	}
	return out
}

// upsetOutfall adds the final residual and the bacteria, with their limits.
func (r *Result) upsetOutfall(in *upset.Input, b *Basin, first bool) {
	points := slices.Clone(r.Plant.Points)
	if first {
		// The limit holds where the water leaves, whatever else is measured on the way.
		slices.SortStableFunc(points, func(a, b plant.Point) int {
			switch {
			case a.Outfall == b.Outfall:
				return 0
			case a.Outfall:
				return -1
			}
			return 1
		})
	}
	for _, q := range points {
		if !(q.Dechlorinated || q.Outfall) || !r.sameWater(q.Name, b) && !first {
			continue
		}
		t, final := r.signal(quantity.ChlorineTotal, q.Name)
		if final == nil {
			continue
		}
		_, flow := r.flow(q.Name)
		in.Outfall.Final, in.Outfall.Flow, in.Outfall.RestsOn = final, flow, []string{t.Name}
		for _, l := range r.Plant.Limits {
			if l.Parameter != quantity.ChlorineTotal || l.At != q.Name || !isMaximum(l) || !first {
				continue
			}
			v := limitIn(l, "mg/L")
			if math.IsNaN(v) {
				continue
			}
			column := r.limitColumn(l, v)
			if column == nil {
				continue // not in season
			}
			in.Judged = append(in.Judged, upset.Judged{What: upset.FinalHigh, Title: "residual at the " + r.Plant.Title(q.Name), Unit: "mg/L", V: final,
				Limit: column, Flow: flow, RestsOn: []string{t.Name}, Source: strings.TrimSpace(l.Source + " (" + l.Statistic + ")")})
			break
		}
		break
	}
	for _, t := range r.Plant.TagsAt(quantity.EColi, "") {
		if !t.Sampled() {
			continue
		}
		s := r.Series[t.Name]
		for i := range s.T {
			if !s.Usable(i) {
				continue
			}
			limit := math.NaN()
			for _, l := range r.Plant.Limits {
				if l.Parameter == quantity.EColi && l.At == t.At && isMaximum(l) && l.InSeason(time.UnixMilli(s.T[i]).In(r.Plant.Zone)) {
					limit = l.Value
				}
			}
			x := upset.Sample{At: s.T[i], Value: s.V[i], Limit: limit, Unit: t.Working.Symbol, Tag: t.Name, Qualifier: string(discharge.SignOf(s.F[i]))}
			in.Samples = append(in.Samples, x)
		}
	}
}

// limitColumn is a limit minute by minute, NaN where it is not in season; a single value
// where it always is, nil where it never is.
func (r *Result) limitColumn(l plant.Limit, v float64) []float64 {
	if l.Season == "" {
		return []float64{v}
	}
	out, any := unknown(r.Grid.N), false
	for _, d := range align.Days(r.Grid.Milli(0), r.Grid.Milli(r.Grid.N-1)+60_000, r.Plant.Zone) {
		if !l.InSeason(time.UnixMilli((d.Start + d.End) / 2).In(r.Plant.Zone)) {
			continue
		}
		for i := max(r.Grid.Index(d.Start), 0); i < min(r.Grid.Index(d.End), r.Grid.N); i++ {
			out[i], any = v, true
		}
	}
	if !any {
		return nil
	}
	return out
}

// isMaximum says that a limit is one no single result may pass.
func isMaximum(l plant.Limit) bool {
	return strings.Contains(l.Statistic, "maximum") && !strings.Contains(l.Statistic, "average") && !strings.Contains(l.Statistic, "mass")
}

func limitIn(l plant.Limit, unit string) float64 {
	if l.Unit == "" {
		return l.Value
	}
	from, err := quantity.ParseUnit(l.Unit)
	if err != nil {
		return math.NaN()
	}
	v, err := quantity.Convert(l.Value, from, quantity.MustUnit(unit))
	if err != nil {
		return math.NaN()
	}
	return v
}

// upsetColumns lists every signal of the basin's water in the order of its way.
func (r *Result) upsetColumns(in *upset.Input, b *Basin, chlorine *Feed) {
	type placed struct {
		upset.Column
		rank int
	}
	var all []placed
	for _, t := range r.Plant.Tags {
		if t.Sampled() || t.Reading == series.Counter || t.Reading == series.State {
			continue
		}
		place, lead, rank, ok := r.placeOf(t, b, chlorine)
		if !ok || r.Series[t.Name].Len() == 0 {
			continue
		}
		info, _ := quantity.Of(t.Measures)
		c := upset.Column{Tag: t.Name, Kind: t.Measures, Title: info.Title + ", " + r.Plant.Title(t.At), Unit: t.Working.Symbol,
			V: r.Minutes(t), Place: place, Lead: lead}
		if t.Measures == quantity.PH {
			c.Unit = ""
		}
		if t.Measures == quantity.Flow {
			c.Title = r.flowTitle(t, b)
		}
		if to := quantity.InMetric(t.Working); r.Plant.Units == plant.Metric && to != t.Working {
			c.V, c.Unit = convertColumn(c.V, t.Working, to), to.Symbol
		}
		switch t.Measures {
		case quantity.HypochloriteFeed, quantity.ChlorineFeed, quantity.BisulfiteFeed, quantity.SulfurDioxideFeed:
			c.Steers = true
			for i := range r.Feeds {
				if r.Feeds[i].Feed.Tag == t.Name {
					c.Title = r.Feeds[i].Title + " feed"
				}
			}
		}
		all = append(all, placed{c, rank})
	}
	if chlorine != nil && chlorine.DoseMgL != nil {
		d := loading.DemandColumn(chlorine.DoseMgL, b.Residual, b.DelayMin)
		all = append(all, placed{upset.Column{Tag: "dose less residual", Kind: upset.Demand, Title: "chlorine demand", Unit: "mg/L", V: d, Place: upset.AtFeed,
			RestsOn: []string{b.ResidualTag.Name, b.FlowTag.Name, chlorine.Feed.Tag}}, 45})
	}
	for rank := 0; rank <= 100; rank++ {
		for _, c := range all {
			if c.rank == rank {
				in.Columns = append(in.Columns, c.Column)
			}
		}
	}
}

// flowTitle names a flow as people say it.
func (r *Result) flowTitle(t plant.Tag, b *Basin) string {
	q, _ := r.Plant.Point(t.At)
	switch {
	case q.Influent:
		return "influent flow"
	case t.Name == b.FlowTag.Name:
		return "flow through the " + b.Title
	}
	return "flow, " + r.Plant.Title(t.At)
}

// placeOf says where a tag stands along the water's way; rank orders the tags.
func (r *Result) placeOf(t plant.Tag, b *Basin, chlorine *Feed) (place upset.Place, lead float64, rank int, ok bool) {
	q, _ := r.Plant.Point(t.At)
	flow := t.Measures == quantity.Flow
	switch {
	case t.Measures == quantity.TankVolume || t.Measures == quantity.Other || t.Measures == quantity.ConductivityK:
		return 0, 0, 0, false
	case chlorine != nil && t.Name == chlorine.Feed.Tag:
		return upset.AtFeed, 1, 40, true
	case chlorine != nil && t.Name == chlorine.StrengthTag:
		return upset.AtFeed, 1, 41, true
	case flow && q.Influent:
		return upset.Upstream, 0, 10, true
	case flow && t.Name == b.FlowTag.Name:
		return upset.Upstream, 0, 20, true
	case t.Measures == quantity.BisulfiteFeed || t.Measures == quantity.SulfurDioxideFeed:
		return upset.AtOutfall, 0, 80, r.sameWater(t.At, b) || r.carriesAll(q)
	case t.Measures == quantity.HypochloriteFeed || t.Measures == quantity.ChlorineFeed:
		return 0, 0, 0, false // of another basin
	case q.Dechlorinated || q.Outfall:
		return upset.AtOutfall, 0, 90, r.sameWater(t.At, b) || r.carriesAll(q)
	case t.At == b.Outlet:
		rank = 70
		if t.Measures == quantity.ORP {
			rank = 71
		}
		if t.Measures != quantity.ChlorineTotal && t.Measures != quantity.ChlorineFree && t.Measures != quantity.ORP {
			rank = 72
		}
		return upset.AtOutlet, 0, rank, true
	case q.Basin == b.Name && !math.IsNaN(q.Fraction):
		return upset.InBasin, 1 - q.Fraction, 60, true
	case q.Basin != "":
		return 0, 0, 0, false // inside another basin
	case t.At == b.Inlet:
		return upset.AtFeed, 1, 42, true
	case flow:
		return upset.Upstream, 0, 21, len(r.Basins) == 1
	case q.Influent:
		return upset.Upstream, 1, 11, true
	}
	for i := range r.Basins {
		if o := &r.Basins[i]; o.Name != b.Name && (t.At == o.Outlet || t.At == o.Inlet) {
			return 0, 0, 0, false
		}
	}
	return upset.Upstream, 1, 30, r.sameWater(t.At, b)
}

// carriesAll says that a point past the basins is an outfall that no basin has
// for itself.
func (r *Result) carriesAll(q plant.Point) bool {
	if !q.Outfall {
		return false
	}
	for i := range r.Basins {
		if len(r.Basins) > 1 && r.sameWater(q.Name, &r.Basins[i]) {
			return false
		}
	}
	return true
}

func convertColumn(v []float64, from, to quantity.Unit) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		out[i], _ = quantity.Convert(v[i], from, to) // of one dimension by InMetric
	}
	return out
}

// upsetDoubts hands over when instruments were in doubt, and what else was no
// normal operation.
func (r *Result) upsetDoubts(in *upset.Input, b *Basin) {
	for _, j := range r.Judgements {
		if j.Basin != b.Name {
			continue
		}
		for _, d := range j.Doubts {
			if atFault(d) {
				in.Doubts = append(in.Doubts, upset.Doubt{Stretch: d.Stretch, Tag: d.Tag, Party: d.Party, Kind: d.Kind, Confidence: d.Confidence})
			}
		}
		for _, f := range j.Findings {
			in.Found = append(in.Found, upset.Found{Stretch: series.Stretch{Start: f.Start, End: f.End}, Kind: f.Kind, Party: f.AtFault,
				Subject: f.Subject, Confidence: f.Confidence, Size: f.Size, Says: f.Summary, Evidence: f.Evidence})
			if f.AtFault == finding.Process || f.AtFault == finding.Data {
				in.Unclean = append(in.Unclean, series.Stretch{Start: f.Start, End: f.End})
			}
		}
	}
}
