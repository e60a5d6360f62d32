package analysis

import (
	"math"
	"slices"

	"weirbook/analysis/align"
	"weirbook/analysis/contact"
	"weirbook/analysis/loading"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/robust"
)

// addFeed adds a feed's dose and use.
func (r *Result) addFeed(t *Table, f *Feed, minCover float64) {
	if f.LbPerDay == nil {
		return
	}
	fold := func(col []float64) []align.Stat { return align.Fold(col, r.Grid, t.Windows) }
	days := func(i int) float64 { return float64(t.Windows[i].End-t.Windows[i].Start) / 86_400_000 }
	lb, dose := fold(f.LbPerDay), fold(f.DoseMgL)
	first, feed, flow := len(t.Columns), []plant.Tag{f.Tag}, []plant.Tag{f.FlowTag}
	t.addStats(ActiveFeed, f.Name, f.Title, lb, minCover)
	r.bound(t, first, feed, nil)
	first = len(t.Columns)
	t.addStats(Dose, f.Name, f.Title, dose, minCover)
	r.addDoseBand(t, f, dose, minCover)
	r.bound(t, first, feed, flow)
	first = len(t.Columns)
	pounds := make([]float64, len(t.Windows))
	for i := range pounds {
		pounds[i] = lb[i].At(minCover) * days(i)
	}
	t.add(used(f), f.Name, f.Title, pounds, nil)
	if f.GalPerHour != nil {
		gph := fold(f.GalPerHour)
		gal := make([]float64, len(gph))
		for i := range gal {
			gal[i] = gph[i].At(minCover) * 24 * days(i)
		}
		t.add(SolutionUsed, f.Name, f.Title, gal, nil)
	}
	r.bound(t, first, feed, nil)
	if f.Chlorinates() {
		r.addDemand(t, f, minCover)
	} else {
		r.addDechlorination(t, f, minCover)
	}
}

// addDoseBand adds the band that the accuracies of the feed, its strength and
// the flow give the dose, where any is stated.
func (r *Result) addDoseBand(t *Table, f *Feed, dose []align.Stat, minCover float64) {
	feed, flow := accuracy(f.Tag), accuracy(f.FlowTag)
	strength := contact.Accuracy{Percent: f.StrengthAccuracy}
	if !feed.Stated() && !flow.Stated() && !strength.Stated() {
		return
	}
	tag, q := align.Fold(r.Minutes(f.Tag), r.Grid, t.Windows), align.Fold(f.FlowMGD, r.Grid, t.Windows)
	low, high := make([]float64, len(dose)), make([]float64, len(dose))
	for i := range dose {
		v := dose[i].At(minCover)
		part := math.Hypot(feed.Of(tag[i].Mean).Relative(), flow.Of(q[i].Mean).Relative())
		part = math.Hypot(part, strength.Of(1).Relative())
		low[i], high[i] = math.Max(0, v*(1-part)), v*(1+part)
		if v == 0 {
			low[i], high[i] = 0, 0
		}
	}
	t.add(DoseLow, f.Name, f.Title, low, nil)
	t.add(DoseHigh, f.Name, f.Title, high, nil)
}

// addDemand adds the demand of the water leaving the basins that the feed doses:
// the dose it got when it came in, less the total residual it leaves with. Where
// one feed doses several basins, the water of each counts by its flow.
func (r *Result) addDemand(t *Table, f *Feed, minCover float64) {
	var flows, demands, ammonias, ratios, nets [][]float64
	var residuals []plant.Tag
	for i := range r.Basins {
		b := &r.Basins[i]
		if !r.doses(f, b) {
			continue
		}
		residual, analyser := b.Residual, b.ResidualTag
		if tag, total := r.signal(quantity.ChlorineTotal, b.Outlet); total != nil {
			residual, analyser = total, tag
		}
		residuals = append(residuals, analyser)
		demand := loading.DemandColumn(f.DoseMgL, residual, b.DelayMin)
		flows, demands = append(flows, b.Flow), append(demands, demand)
		if tag, ok := Ammonia(r.Plant, b.Train); ok {
			nh3 := loading.Delayed(r.Minutes(tag), b.DelayMin)
			ammonias = append(ammonias, loading.RatioColumn(demand, nh3, leastAmmonia))
			dose := loading.Delayed(f.DoseMgL, b.DelayMin)
			ratios = append(ratios, loading.RatioColumn(dose, nh3, leastAmmonia))
			if no2, ok := signalOfTrain(r.Plant, quantity.NitriteN, b.Train); ok {
				if net := r.netDose(dose, demand, nh3, loading.Delayed(r.Minutes(no2), b.DelayMin)); net != nil {
					nets = append(nets, loading.RatioColumn(net, nh3, leastAmmonia))
				}
			}
		}
	}
	if len(demands) == 0 {
		return
	}
	fold := func(cols [][]float64) []align.Stat { return align.Fold(byFlow(flows, cols), r.Grid, t.Windows) }
	first, falls := len(t.Columns), append(residuals, f.FlowTag)
	defer func() { r.bound(t, first, []plant.Tag{f.Tag}, falls) }()
	t.addStats(Demand, f.Name, f.Title, fold(demands), minCover)
	if len(ammonias) != len(flows) {
		return
	}
	t.addStats(DemandPerAmmonia, f.Name, f.Title, fold(ammonias), minCover)
	weight := fold(ratios)
	t.addStats(Cl2ToN, f.Name, f.Title, weight, minCover)
	words := make([]string, len(weight))
	net := weight
	if len(nets) == len(flows) {
		net = fold(nets)
	}
	for i, w := range net {
		words[i] = loading.PositionNet(w.At(minCover), 1, map[bool]float64{true: 0, false: math.NaN()}[len(nets) == len(flows)]).String()
	}
	t.Words = append(t.Words, Words{f.Name + ".breakpoint_position", f.Title + ": position on the breakpoint curve, by the ratio", words})
}

// netDose is a dose less what nitrite and organics take of it at once, minute by minute,
// mg/L. What organics take is the usual loss, less nitrite's, in the hours in which
// ammonia took none: those without ammonia, and those in which the whole dose lay before
// the hump, where combined chlorine stays in the total residual. Nil where the record
// holds too few such hours.
func (r *Result) netDose(dose, demand, nh3, no2 []float64) []float64 {
	lost := make([]float64, len(dose))
	for i := range lost {
		lost[i] = math.NaN()
		if nh3[i] < leastAmmonia || dose[i] <= loading.MonochloramineRatio*nh3[i] {
			lost[i] = math.Max(demand[i]-loading.NitriteRatio*no2[i], 0)
		}
	}
	var clean []float64
	for _, h := range align.Fold(lost, r.Grid, r.Hours) {
		if v := h.At(r.Plant.HourCoverage); !math.IsNaN(v) {
			clean = append(clean, v)
		}
	}
	if len(clean) < cleanHours {
		return nil
	}
	organics := robust.Median(clean)
	out := loading.LessNitrite(dose, no2)
	for i := range out {
		out[i] = math.Max(out[i]-organics, 0)
	}
	return out
}

// cleanHours are the fewest that tell what organics usually take; common practice, no source.
const cleanHours = 24

// leastAmmonia is the ammonia nitrogen in mg/L below which a ratio to it says
// nothing.
const leastAmmonia = 0.05

// byFlow is the mean of several waters' columns weighted by their flows (MGD);
// one that does not flow counts for nothing, one that is not known leaves the
// mean unknown.
func byFlow(flows, cols [][]float64) []float64 {
	if len(cols) == 1 {
		return cols[0]
	}
	out := make([]float64, len(cols[0]))
	for i := range out {
		sum, flow := 0.0, 0.0
		for k := range cols {
			if q := flows[k][i]; q != 0 {
				sum += q * cols[k][i]
				flow += q
			}
		}
		out[i] = math.NaN()
		if flow > 0 {
			out[i] = sum / flow
		}
	}
	return out
}

// Ammonia is the ammonia signal of a plant, that of the train where the plant
// has several.
func Ammonia(p *plant.Plant, train string) (plant.Tag, bool) {
	return signalOfTrain(p, quantity.AmmoniaN, train)
}

func signalOfTrain(p *plant.Plant, k quantity.Kind, train string) (plant.Tag, bool) {
	for _, t := range p.TagsAt(k, "") {
		q, _ := p.Point(t.At)
		if !t.Sampled() && !q.Influent && p.SharesWater(t.At, plant.Basin{Train: train}) {
			return t, true
		}
	}
	return plant.Tag{}, false
}

// addDechlorination adds the agent applied against what the residual before it
// needs, by the ratio in use and by molar masses.
func (r *Result) addDechlorination(t *Table, f *Feed, minCover float64) {
	before, analysers := r.beforeDechlorination(f)
	first := len(t.Columns)
	if before == nil {
		return
	}
	fold := func(col []float64) []align.Stat { return align.Fold(col, r.Grid, t.Windows) }
	needed, applied, residual := fold(loading.NeededColumn(before, f.Ratio)), fold(f.DoseMgL), fold(before)
	t.addStats(Needed, f.Name, f.Title, needed, minCover)
	if !math.IsNaN(f.Stoichiometric) {
		t.addStats(NeededByMolarMasses, f.Name, f.Title, fold(loading.NeededColumn(before, f.Stoichiometric)), minCover)
	}
	r.bound(t, first, analysers, nil)
	first = len(t.Columns)
	excess, per := make([]float64, len(t.Windows)), make([]float64, len(t.Windows))
	for i := range excess {
		excess[i] = loading.Excess(applied[i].At(minCover), needed[i].At(minCover))
		per[i] = math.NaN()
		if c := residual[i].At(minCover); c > 0 {
			per[i] = applied[i].At(minCover) / c
		}
	}
	t.add(AppliedOverNeeded, f.Name, f.Title, excess, nil)
	t.add(AppliedPerResidual, f.Name, f.Title, per, nil)
	r.bound(t, first, []plant.Tag{f.Tag}, append(slices.Clone(analysers), f.FlowTag))
}

// beforeDechlorination is the total residual of the water that a dechlorination
// feed meets: that leaving the last basins of its flow, each by its flow, and its
// analysers. Nil where none of them is measured.
func (r *Result) beforeDechlorination(f *Feed) (residual []float64, analysers []plant.Tag) {
	var flows, cols [][]float64
	for i := range r.Basins {
		b := &r.Basins[i]
		if !r.lastInSeries(b) || !r.sameWater(f.FlowAt, b) && !r.oneTrain() {
			continue
		}
		if tag, total := r.signal(quantity.ChlorineTotal, b.Outlet); total != nil {
			flows, cols, analysers = append(flows, b.Flow), append(cols, total), append(analysers, tag)
		}
	}
	if len(cols) == 0 {
		return nil, nil
	}
	return byFlow(flows, cols), analysers
}

// lastInSeries says that no basin comes after b.
func (r *Result) lastInSeries(b *Basin) bool {
	for i := range r.Basins {
		if slices.Contains(r.Basins[i].After, b.Name) {
			return false
		}
	}
	return true
}

// oneTrain says that all basins treat one water.
func (r *Result) oneTrain() bool { return len(r.Plant.Trains()) <= 1 }
