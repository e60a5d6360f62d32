package simulate

import (
	"io"
	"strconv"
	"strings"
	"time"
)

// Trains is a plant of two trains with a basin each and one outfall, looked
// after by two control systems that name and write things their own way.
type Trains struct {
	FixedFilm *Month // trickling filters: some ammonia left
	Membrane  *Month // membrane bioreactor: clear, nitrified water
	Outfall   []Tag  // combined flow and residual, recorded by the membrane train's system
}

// TwoTrains simulates March 2026 at a plant of two trains. The fixed-film
// train's system never went to summer time on 8 March (WriteFixedFilm stamps it
// so). Events: the fixed-film feed runs short on the 12th, the membrane train's
// total analyser drifts from the 18th to the 23rd.
func TwoTrains(seed uint64) (*Trains, error) {
	loc, err := time.LoadLocation("America/Denver")
	if err != nil {
		return nil, err
	}
	at := func(d, h, min int) time.Time { return time.Date(2026, time.March, d, h, min, 0, 0, loc) }
	start := time.Date(2026, time.March, 1, 0, 0, 0, 0, time.UTC)

	ff := DefaultPlant(Nitrified)
	ff.Name, ff.DesignFlowMGD, ff.BasinGal, ff.Baffling = "fixed-film train", 2.4, 95_000, 0.5
	ff.AmmoniaMgL, ff.FastDemandMgL, ff.SlowDemandMgL, ff.DoseMgL = 0.15, 1.9, 2.4, 6
	ff.HypoMaxGPH, ff.SulfiteMaxGPH, ff.Probes, ff.GrabsPerDay = 14, 7, 1, 3

	mb := DefaultPlant(Nitrified)
	mb.Name, mb.DesignFlowMGD, mb.BasinGal, mb.Baffling = "membrane train", 1.8, 60_000, 0.7
	mb.AmmoniaMgL, mb.FastDemandMgL, mb.SlowDemandMgL, mb.DoseMgL, mb.SetpointMgL = 0.05, 0.7, 1.0, 3.2, 1.8
	mb.HypoMaxGPH, mb.SulfiteMaxGPH, mb.HasAmmonia, mb.GrabsPerDay = 7, 5, false, 3

	t := &Trains{}
	t.FixedFilm, err = Run(Config{Name: "fixed film", Seed: seed, Start: start, Days: 31, Plant: ff, Events: []Event{
		{Start: at(12, 3, 20), End: at(12, 10, 5), Kind: FeedShort, Severity: Gross},
	}})
	if err != nil {
		return nil, err
	}
	t.Membrane, err = Run(Config{Name: "membrane", Seed: seed + 1_000_003, Start: start, Days: 31, Plant: mb, Events: []Event{
		{Start: at(18, 8, 0), End: at(23, 10, 30), Kind: ReagentDrift, Severity: Plain},
	}})
	if err != nil {
		return nil, err
	}
	t.join(seed)
	t.FixedFilm.rename("ff", fixedFilmName)
	t.Membrane.rename("mb", func(tag string) string { return "MB-" + tag })
	return t, nil
}

// fixedFilmName is how the fixed-film train's system calls things: words with
// dots.
func fixedFilmName(tag string) string {
	names := [][2]string{
		{TagInfluentFlow, "FF.INF.FLOW"}, {TagAmmonia, "FF.SEC.NH4N"}, {TagHypoFeed, "FF.HYPO.RATE"},
		{TagTotal, "FF.CCB.CL2TOT"}, {TagFree, "FF.CCB.CL2FREE"}, {TagORPMiddle, "FF.CCB.ORPMID"},
		{TagORPOutlet, "FF.CCB.ORP"}, {TagPH, "FF.CCB.PH"}, {TagTemperature, "FF.CCB.TEMP"},
		{TagEffluentFlow, "FF.CCB.FLOW"}, {TagSulfiteFeed, "FF.SBS.RATE"}, {TagFinal, "FF.DECL.CL2TOT"},
		{TagORPFinal, "FF.DECL.ORP"},
	}
	for _, n := range names {
		if n[0] == tag {
			return n[1]
		}
	}
	return "FF." + strings.ReplaceAll(tag, "-", ".")
}

// join works out what the combined outfall sees, and reads its instruments.
func (t *Trains) join(seed uint64) {
	a, b := &t.FixedFilm.Truth, &t.Membrane.Truth
	n := t.Membrane.N
	w := &water{}
	w.localClock(t.Membrane.Start, n, t.Membrane.Loc)
	meter := newMeter("outfall flow", seed, 0.008, 0, 0.006, 0, 2, 1000)
	residual := newAnalyser("outfall residual", seed, 3, true)
	flow := Tag{Name: "MB-FIT-901", Measures: "flow", At: "outfall", Unit: "MGD", Reading: "continuous", Source: SourceProcess,
		High: 20, Decimals: 3, Note: "both trains together"}
	chlorine := Tag{Name: "MB-AIT-921", Measures: "chlorine_total", At: "outfall", Unit: "mg/L", Reading: "continuous",
		Source: SourceAnalysers, High: 5, Decimals: 3, Note: "residual of both trains together"}
	for i := 0; i < n; i++ {
		q := a.FlowMGD[i] + b.FlowMGD[i]
		mixed := (a.FlowMGD[i]*a.FinalMgL[i] + b.FlowMGD[i]*b.FinalMgL[i]) / q
		flow.V, flow.Q = append(flow.V, meter.read(i, q, nil)), append(flow.Q, Good)
		v, quality := residual.read(i, w, mixed, nil)
		chlorine.V, chlorine.Q = append(chlorine.V, v), append(chlorine.Q, quality)
	}
	t.Outfall = []Tag{flow, chlorine}
}

// rename gives tags and points the names of a train.
func (m *Month) rename(train string, tag func(string) string) {
	for i := range m.Tags {
		m.Tags[i].Name, m.Tags[i].At = tag(m.Tags[i].Name), pointOf(train, m.Tags[i].At)
	}
	for i := range m.Events {
		if s := m.Events[i].Subject; s != "" && m.Events[i].Kind != ClockWinter {
			m.Events[i].Subject = tag(s)
		}
	}
	for i := range m.Lab {
		m.Lab[i].Tag, m.Lab[i].At = strings.ToUpper(train)+"-"+m.Lab[i].Tag, pointOf(train, m.Lab[i].At)
	}
}

// pointOf names a train's point; a train's own dechlorinated water is not yet
// the outfall.
func pointOf(train, at string) string {
	if at == PointOutfall {
		return train + "_dechlorinated"
	}
	return train + "_" + at
}

// WriteFixedFilm writes the fixed-film train's export: long, quality as OPC
// numbers, stamps that stay on winter time.
func (t *Trains) WriteFixedFilm(w io.Writer) error {
	return t.FixedFilm.WriteLong(w, Export{Stamps: WinterStamps, Quality: QualityOPC, Changes: true})
}

// WriteMembrane writes the membrane train's export, outfall included: wide,
// with a units row, on the plant's clock.
func (t *Trains) WriteMembrane(w io.Writer) error {
	all := *t.Membrane
	all.Tags = append(append([]Tag(nil), all.Tags...), t.Outfall...)
	return all.WriteWide(w, Export{})
}

// WriteLab writes both trains' laboratory results on one sheet, in time order.
func (t *Trains) WriteLab(w io.Writer) error {
	all := Month{}
	a, b := t.FixedFilm.Lab, t.Membrane.Lab
	for len(a) > 0 || len(b) > 0 {
		if len(b) == 0 || len(a) > 0 && !b[0].Time.Before(a[0].Time) {
			all.Lab, a = append(all.Lab, a[0]), a[1:]
		} else {
			all.Lab, b = append(all.Lab, b[0]), b[1:]
		}
	}
	return all.WriteLab(w)
}

// TagsCSV describes the tags of all three exports.
func (t *Trains) TagsCSV() string {
	out := t.FixedFilm.TagsCSV()
	both := *t.Membrane
	both.Tags = append(append([]Tag(nil), both.Tags...), t.Outfall...)
	_, rest, _ := strings.Cut(both.TagsCSV(), "\n")
	return out + rest
}

// WriteTruthEvents writes the events of both trains, and the clock.
func (t *Trains) WriteTruthEvents(w io.Writer) error {
	change := time.Date(2026, time.March, 8, 3, 0, 0, 0, t.FixedFilm.Loc)
	clock := Event{Start: change, End: t.FixedFilm.Time(t.FixedFilm.N), Kind: ClockWinter, AtFault: faultData,
		Subject: "fixed-film", Severity: Plain, Size: 1}
	all := *t.FixedFilm
	all.Events = append(append([]Event{clock}, all.Events...), t.Membrane.Events...)
	return all.WriteTruthEvents(w)
}

// WriteTruthOutfall writes the hourly truth of the combined outfall:
// hour_start, flow and residual.
func (t *Trains) WriteTruthOutfall(w io.Writer) error {
	type row struct {
		Start   time.Time `csv:"hour_start"`
		Flow    string    `csv:"flow_mgd"`
		Total   string    `csv:"total_mean_mg_per_l"`
		Leaving string    `csv:"chlorine_leaving_lb"`
	}
	var rows []row
	a, b := t.FixedFilm.Hours(), t.Membrane.Hours()
	num := func(v float64) string { return strconv.FormatFloat(v, 'f', 5, 64) }
	i := 0
	for h := range b {
		lb, flow := 0.0, 0.0
		for range b[h].Minutes {
			fa, fb := &t.FixedFilm.Truth, &t.Membrane.Truth
			flow += (fa.FlowMGD[i] + fb.FlowMGD[i]) / float64(b[h].Minutes)
			lb += (fa.FlowMGD[i]*fa.FinalMgL[i] + fb.FlowMGD[i]*fb.FinalMgL[i]) * lbPerMGDmgL / 1440
			i++
		}
		mean := lb / (flow * float64(b[h].Minutes) / 1440 * lbPerMGDmgL)
		rows = append(rows, row{a[h].Start, num(flow), num(mean), num(lb)})
	}
	return writeRows(w, rows)
}
