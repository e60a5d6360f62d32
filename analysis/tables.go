package analysis

import (
	"math"
	"strings"

	"weirbook/analysis/align"
	"weirbook/analysis/contact"
	"weirbook/analysis/loading"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
)

// tables fills the hour's and the day's figures. Column names are a point, a
// basin or a feed, then the quantity.
func (r *Result) tables() {
	r.Hourly = r.table(r.Hours, r.Plant.HourCoverage)
	r.Daily = r.table(r.Days, r.Plant.DayCoverage)
	r.addBasinHours()
	r.addSampledLoads()
}

// table makes what hours and days have in common.
func (r *Result) table(ws []align.Window, minCover float64) Table {
	t := Table{Windows: ws}
	for _, tag := range r.Plant.Tags {
		r.addSignal(&t, tag, minCover)
	}
	for _, tag := range r.Plant.Tags {
		r.addLoad(&t, tag, minCover)
	}
	for i := range r.Feeds {
		r.addFeed(&t, &r.Feeds[i], minCover)
	}
	for i := range r.Basins {
		r.addBasin(&t, &r.Basins[i], minCover)
	}
	r.addTreated(&t, minCover)
	return t
}

// columnOf names a tag's column. Where two tags measure the same at one point,
// the later ones carry their tag's name as well.
func (r *Result) columnOf(t plant.Tag) string {
	name := t.At + "." + string(t.Measures)
	if first, ok := r.Plant.Signal(t.Measures, t.At); ok && first.Name != t.Name {
		name += "." + strings.ToLower(strings.Map(func(c rune) rune {
			if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' {
				return c
			}
			return '_'
		}, t.Name))
	}
	return name
}

func (r *Result) title(t plant.Tag) string {
	info, _ := quantity.Of(t.Measures)
	return info.Title + ", " + r.Plant.Title(t.At)
}

// addSignal adds the time-weighted mean of a signal.
func (r *Result) addSignal(t *Table, tag plant.Tag, minCover float64) {
	if tag.Sampled() || tag.Measures == quantity.Other || tag.Measures == quantity.FlowTotal {
		return
	}
	st := align.Over(r.Series[tag.Name], r.Rule(tag), t.Windows)
	t.addStats(r.columnOf(tag), r.title(tag), tag.Working, st, minCover)
}

// addLoad adds the load of a concentration on line with the flow that carries
// it: the integral of the product. _load is the rate, _mass what passed in the
// window.
func (r *Result) addLoad(t *Table, tag plant.Tag, minCover float64) {
	if tag.Sampled() || tag.Working.Dimension != quantity.Concentration {
		return
	}
	flow, ok := r.Plant.FlowTag(tag.At)
	if !ok || tag.Measures == quantity.HypochloriteGrams {
		return
	}
	ms := loading.Masses(r.Series[flow.Name], r.Series[tag.Name], r.Rule(flow), r.Rule(tag), t.Windows, minCover)
	rate, mass, weighted, cover := make([]float64, len(ms)), make([]float64, len(ms)), make([]float64, len(ms)), make([]float64, len(ms))
	k := factor(r.Plant)
	for i, m := range ms {
		rate[i] = k.PoundsPerDay(float64(m.Load), 1)
		mass[i] = rate[i] * m.Minutes / quantity.MinutesPerDay
		weighted[i], cover[i] = m.FlowWeighted, m.Cover
	}
	name, title := r.columnOf(tag), r.title(tag)
	t.add(name+"_load", title+": load", "lb/d", rate, cover)
	t.add(name+"_mass", title+": mass", "lb", mass, nil)
	t.add(name+"_flow_weighted", title+": flow-weighted mean", "mg/L", weighted, nil)
}

// addFeed adds a feed's dose and use.
func (r *Result) addFeed(t *Table, f *Feed, minCover float64) {
	if f.LbPerDay == nil {
		return
	}
	fold := func(col []float64) []align.Stat { return align.Fold(col, r.Grid, t.Windows) }
	days := func(i int) float64 { return float64(t.Windows[i].End-t.Windows[i].Start) / 86_400_000 }
	lb := fold(f.LbPerDay)
	t.addStats(f.Name+".feed", f.Title+": active chemical", quantity.MustUnit("lb/d"), lb, minCover)
	t.addStats(f.Name+".dose", f.Title+": dose", quantity.MustUnit("mg/L"), fold(f.DoseMgL), minCover)
	used := make([]float64, len(t.Windows))
	for i := range used {
		used[i] = lb[i].At(minCover) * days(i)
	}
	word := "chemical_used"
	if f.Chlorinates() {
		word = "chlorine_used"
	}
	t.add(f.Name+"."+word, f.Title+": used", "lb", used, nil)
	if f.GalPerHour != nil {
		gph := fold(f.GalPerHour)
		gal := make([]float64, len(gph))
		for i := range gal {
			gal[i] = gph[i].At(minCover) * 24 * days(i)
		}
		t.add(f.Name+".solution_used", f.Title+": solution used", "gal", gal, nil)
	}
	if f.Chlorinates() {
		r.addDemand(t, f, minCover)
	} else {
		r.addDechlorination(t, f, minCover)
	}
}

// addDemand adds the demand of the water leaving the basin that the feed doses:
// the dose it got when it came in, less the total residual it leaves with.
func (r *Result) addDemand(t *Table, f *Feed, minCover float64) {
	for i := range r.Basins {
		b := &r.Basins[i]
		if b.Name != f.Basin {
			continue
		}
		residual := b.Residual
		if _, total := r.signal(quantity.ChlorineTotal, b.Outlet); total != nil {
			residual = total
		}
		demand := loading.DemandColumn(f.DoseMgL, residual, b.DelayMin)
		t.addStats(f.Name+".demand", f.Title+": demand of the water leaving", quantity.MustUnit("mg/L"), align.Fold(demand, r.Grid, t.Windows), minCover)
		if tag, ok := Ammonia(r.Plant, b.Train); ok {
			nh3 := loading.Delayed(r.Minutes(tag), b.DelayMin)
			perN := loading.RatioColumn(demand, nh3, 0.05)
			weight := loading.RatioColumn(loading.Delayed(f.DoseMgL, b.DelayMin), nh3, 0.05)
			t.addStats(f.Name+".demand_per_ammonia", f.Title+": demand per mg/L ammonia N", quantity.MustUnit("ratio"), align.Fold(perN, r.Grid, t.Windows), minCover)
			t.addStats(f.Name+".cl2_to_n", f.Title+": Cl2:N by weight", quantity.MustUnit("ratio"), align.Fold(weight, r.Grid, t.Windows), minCover)
		}
		return
	}
}

// Ammonia is the ammonia signal of a plant, that of the train where points are
// named after it.
func Ammonia(p *plant.Plant, train string) (plant.Tag, bool) {
	all := p.TagsAt(quantity.AmmoniaN, "")
	for _, t := range all {
		if !t.Sampled() && train != "" && strings.Contains(t.At, train) {
			return t, true
		}
	}
	if len(all) > 0 && !all[0].Sampled() && (train == "" || len(all) == 1) {
		return all[0], true
	}
	return plant.Tag{}, false
}

// addDechlorination adds the agent applied against what the residual before it
// needs.
func (r *Result) addDechlorination(t *Table, f *Feed, minCover float64) {
	var before []float64
	for i := range r.Basins {
		b := &r.Basins[i]
		if _, total := r.signal(quantity.ChlorineTotal, b.Outlet); total != nil && (b.FlowAt == f.FlowAt || len(r.Basins) == 1) {
			before = total
		}
	}
	if before == nil {
		return
	}
	need := loading.NeededColumn(before, f.Ratio)
	needed, applied := align.Fold(need, r.Grid, t.Windows), align.Fold(f.DoseMgL, r.Grid, t.Windows)
	t.addStats(f.Name+".needed", f.Title+": needed for the residual", quantity.MustUnit("mg/L"), needed, minCover)
	excess := make([]float64, len(t.Windows))
	for i := range excess {
		excess[i] = loading.Excess(applied[i].At(minCover), needed[i].At(minCover))
	}
	t.add(f.Name+".excess", f.Title+": applied over needed", "%", excess, nil)
}

// addBasin adds contact time and CT, each way under its own name.
func (r *Result) addBasin(t *Table, b *Basin, minCover float64) {
	least := func(st align.Stat) float64 { return st.Min }
	mean := func(st align.Stat) float64 { return st.Mean }
	cover := func(st []align.Stat) []float64 {
		out := make([]float64, len(st))
		for i, s := range st {
			out[i] = s.Cover
		}
		return out
	}
	ct := align.Fold(b.Track.CTMgMinL, r.Grid, t.Windows)
	time := align.Fold(b.Track.ContactMin, r.Grid, t.Windows)
	flow := align.Fold(b.Flow, r.Grid, t.Windows)
	t.add(b.Name+".flow", "Flow through the "+b.Title, "MGD", each(flow, minCover, mean), cover(flow))
	t.add(b.Name+".contact_time_min", "Contact time of the water leaving, shortest", "min", each(time, minCover, least), cover(time))
	t.add(b.Name+".contact_time_mean", "Contact time of the water leaving, mean", "min", each(time, minCover, mean), nil)
	t.add(b.Name+".ct_min", "CT of the water leaving, least", "mg·min/L", each(ct, minCover, least), cover(ct))
	t.add(b.Name+".ct_mean", "CT of the water leaving, mean", "mg·min/L", each(ct, minCover, mean), nil)
}

// addBasinHours adds to the hourly table what is reckoned by the hour only: the
// steady CT, the path exposure, the band and the verdict.
func (r *Result) addBasinHours() {
	t := &r.Hourly
	for i := range r.Basins {
		b := &r.Basins[i]
		n := len(b.Hours)
		cols := map[string][]float64{}
		for _, k := range []string{"time", "ct", "low", "high", "required", "residual"} {
			cols[k] = make([]float64, n)
		}
		verdict, why, doubt := make([]string, n), make([]string, n), make([]string, n)
		for h, x := range b.Hours {
			st := b.Steady[h]
			cols["time"][h], cols["ct"][h] = math.NaN(), math.NaN()
			if st.Why == contact.Known {
				cols["time"][h] = st.ContactMin
			}
			if st.CTWhy == contact.Known {
				cols["ct"][h] = st.CTMgMinL
			}
			cols["low"][h], cols["high"][h] = math.NaN(), math.NaN()
			if x.CT.Half > 0 {
				cols["low"][h], cols["high"][h] = x.CT.Low(), x.CT.High()
			}
			cols["required"][h], cols["residual"][h] = x.Required, x.Residual
			verdict[h], why[h], doubt[h] = string(x.Verdict), x.Why, x.DoubtOf
			if !x.Asked {
				verdict[h] = "nothing asked"
			}
		}
		t.add(b.Name+".residual_lowest", "Lowest residual of the hour", "mg/L", cols["residual"], nil)
		t.add(b.Name+".contact_time_steady", "Contact time at the hour's peak flow", "min", cols["time"], nil)
		t.add(b.Name+".ct_steady", "Lowest residual × contact time at peak flow", "mg·min/L", cols["ct"], nil)
		if b.Path != nil {
			t.addStats(b.Name+".ct_path", "Exposure along the path", quantity.MustUnit("mg·min/L"), align.Fold(b.Path, r.Grid, t.Windows), r.Plant.HourCoverage)
		}
		r.addKill(t, b)
		t.add(b.Name+".ct_low", "CT, lower end of its band", "mg·min/L", cols["low"], nil)
		t.add(b.Name+".ct_high", "CT, upper end of its band", "mg·min/L", cols["high"], nil)
		t.add(b.Name+".ct_required", "CT required", "mg·min/L", cols["required"], nil)
		t.Words = append(t.Words, Words{b.Name + ".verdict", "Verdict", verdict}, Words{b.Name + ".why", "Why", why},
			Words{b.Name + ".instrument_in_doubt", "Instrument in doubt", doubt})
	}
}

// addKill adds the survival that the Collins or Selleck form predicts, where the
// plant description gives its coefficients. A prediction, not a measurement.
func (r *Result) addKill(t *Table, b *Basin) {
	var models []contact.KillModel
	if c := b.Require.Collins; len(c) == 2 {
		models = append(models, contact.Collins(c[0], c[1]))
	}
	if c := b.Require.Selleck; len(c) == 2 {
		models = append(models, contact.Selleck(c[0], c[1]))
	}
	for _, m := range models {
		logs := make([]float64, len(b.Hours))
		for i := range b.Hours {
			logs[i] = m.Predict(1, b.Hours[i].CT.Value).Log
		}
		t.add(b.Name+".predicted_log_reduction_"+strings.ToLower(m.Name), "Coliform log reduction "+m.Predict(1, 1).Label, "ratio", logs, nil)
	}
}

// addTreated adds the water that left the last basins.
func (r *Result) addTreated(t *Table, minCover float64) {
	var out []float64
	for i := range r.Basins {
		last := true
		for j := range r.Basins {
			last = last && r.Basins[j].After != r.Basins[i].Name
		}
		if !last {
			continue
		}
		if out == nil {
			out = make([]float64, len(t.Windows))
		}
		for k, st := range align.Fold(r.Basins[i].Flow, r.Grid, t.Windows) {
			out[k] += st.At(minCover) * float64(t.Windows[k].End-t.Windows[k].Start) / 86_400_000
		}
	}
	if out != nil {
		t.add("treated.volume", "Water treated", "MG", out, nil)
	}
}
