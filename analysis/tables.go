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
	r.hourly = &hourStats{of: map[string][]align.Stat{}}
	r.Hourly = r.table(r.Hours, r.Plant.HourCoverage)
	r.Daily = r.table(r.Days, r.Plant.DayCoverage)
	r.addBasinHours()
	r.addTank()
	r.addSampledLoads()
	r.removals()
	r.chemicals()
	r.processes()
}

// table makes what hours and days have in common.
func (r *Result) table(ws []align.Window, minCover float64) Table {
	t := Table{Windows: ws}
	// A tag's own table is made by itself and put in its place afterwards.
	n := len(r.Plant.Tags)
	own := make([]Table, 2*n)
	parallel(2*n, func(i int) {
		own[i].Windows = ws
		if i < n {
			r.addSignal(&own[i], r.Plant.Tags[i], minCover)
		} else {
			r.addLoad(&own[i], r.Plant.Tags[i-n], minCover)
		}
	})
	for _, o := range own {
		t.Columns = append(t.Columns, o.Columns...)
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
	st := r.hourly.days(tag.Name, r.Hours, t.Windows)
	if st == nil {
		st = align.Over(r.Series[tag.Name], r.Rule(tag), t.Windows)
		r.hourly.keep(tag.Name, st)
	}
	c := t.addStats(SignalMean, r.columnOf(tag), r.title(tag), st, minCover)
	c.Tag, c.Unit = tag.Name, tag.Working
	c.Signs = r.bounds(t.Windows, c.Values, []plant.Tag{tag}, nil)
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
	n := len(ms)
	rate, mass, weighted, cover, low, high := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	k := factor(r.Plant)
	for i, m := range ms {
		rate[i] = k.PoundsPerDay(float64(m.Load), 1)
		mass[i] = rate[i] * m.Minutes / quantity.MinutesPerDay
		weighted[i], cover[i] = m.FlowWeighted, m.Cover
		band := loadBand(flow, m.FlowMGD, tag, m.FlowWeighted).Scale(k.PoundsPerDay(1, 1))
		low[i], high[i] = lowEnd(band), band.High()
	}
	name, title := r.columnOf(tag), r.title(tag)
	first := len(t.Columns)
	t.add(Load, name, title, rate, cover)
	if accuracy(flow).Stated() || accuracy(tag).Stated() {
		t.add(LoadLow, name, title, low, nil)
		t.add(LoadHigh, name, title, high, nil)
	}
	t.add(Mass, name, title, mass, nil)
	r.bound(t, first, []plant.Tag{flow, tag}, nil)
	w := t.add(FlowWeighted, name, title, weighted, nil)
	w.Signs = r.bounds(t.Windows, w.Values, []plant.Tag{tag}, nil)
	t.ofTag(first, tag)
}

// ofTag says that the columns from the first on are of a tag.
func (t *Table) ofTag(first int, tag plant.Tag) {
	for i := first; i < len(t.Columns); i++ {
		t.Columns[i].Tag = tag.Name
	}
}

// loadBand is flow (MGD) times concentration (mg/L) with the band that the two
// instruments' stated accuracies give it. The band does not shrink over a longer
// window: an instrument that reads high reads high all day.
func loadBand(flow plant.Tag, mgd float64, conc plant.Tag, mgL float64) contact.Band {
	return accuracy(flow).Of(mgd).Times(accuracy(conc).Of(mgL))
}

// lowEnd is the lower end of the band of what cannot be below zero.
func lowEnd(b contact.Band) float64 { return math.Max(0, b.Low()) }

// addTreated adds the water that left the last basins: added up minute by minute,
// so that all of them stand for the same time.
func (r *Result) addTreated(t *Table, minCover float64) {
	var sum []float64
	for i := range r.Basins {
		if !r.lastInSeries(&r.Basins[i]) {
			continue
		}
		if sum == nil {
			sum = make([]float64, r.Grid.N)
		}
		for m, q := range r.Basins[i].Flow {
			sum[m] += q
		}
	}
	if sum == nil {
		return
	}
	out := make([]float64, len(t.Windows))
	for k, st := range align.Fold(sum, r.Grid, t.Windows) {
		out[k] = st.At(minCover) * float64(t.Windows[k].End-t.Windows[k].Start) / 86_400_000
	}
	first := len(t.Columns)
	t.add(TreatedVolume, "", "", out, nil)
	var meters []plant.Tag
	for i := range r.Basins {
		if r.lastInSeries(&r.Basins[i]) {
			meters = append(meters, r.Basins[i].FlowTag)
		}
	}
	r.bound(t, first, meters, nil)
}
