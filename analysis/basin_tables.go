package analysis

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"weirbook/analysis/align"
	"weirbook/analysis/contact"
)

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
	of := r.basinPrefix(b)
	first := len(t.Columns)
	t.add(BasinFlow, b.Name, "Flow through the "+b.Title, each(flow, minCover, mean), cover(flow))
	t.add(ContactTimeLeast, b.Name, of, each(time, minCover, least), cover(time))
	t.add(ContactTimeMean, b.Name, of, each(time, minCover, mean), nil)
	t.add(CTLeast, b.Name, of, each(ct, minCover, least), cover(ct))
	t.add(CTMean, b.Name, of, each(ct, minCover, mean), nil)
	r.basinBounds(t, b, first)
}

// basinPrefix names the basin before a title, where the plant has several.
func (r *Result) basinPrefix(b *Basin) string {
	if len(r.Basins) == 1 {
		return ""
	}
	return b.Title + ": "
}

// addBasinHours adds to the hourly table what is reckoned by the hour only: the
// steady CT, the path exposure, the band and the verdict.
func (r *Result) addBasinHours() {
	t := &r.Hourly
	for i := range r.Basins {
		b := &r.Basins[i]
		first := len(t.Columns)
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
				cols["low"][h], cols["high"][h] = lowEnd(x.CT), x.CT.High()
			}
			cols["required"][h], cols["residual"][h] = x.Required, x.Residual
			verdict[h], why[h], doubt[h] = string(x.Verdict), x.Why, x.DoubtOf
			if !x.Asked {
				verdict[h] = "nothing asked"
			}
		}
		t.add(ResidualLowest, b.Name, "", cols["residual"], nil)
		t.add(ContactTimeSteady, b.Name, "", cols["time"], nil)
		t.add(CTSteady, b.Name, "", cols["ct"], nil)
		if b.Path != nil {
			t.addStats(CTPath, b.Name, "", align.Fold(b.Path, r.Grid, t.Windows), r.Plant.HourCoverage)
		}
		r.addAskedTimes(t, b)
		r.addLogs(t, b)
		r.addKill(t, b)
		t.add(CTLow, b.Name, "", cols["low"], nil)
		t.add(CTHigh, b.Name, "", cols["high"], nil)
		t.add(CTRequired, b.Name, "", cols["required"], nil)
		r.basinBounds(t, b, first)
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
		c := t.add(LogPredicted, b.Name, "", logs, nil)
		c.Name, c.Title = c.Name+strings.ToLower(m.Name), c.Title+m.Predict(1, 1).Label
	}
}

// addAskedTimes adds the contact times that something is asked of, where they
// are of another kind than the one CT takes.
func (r *Result) addAskedTimes(t *Table, b *Basin) {
	for _, k := range []struct {
		kind   contact.TimeKind
		asked  float64
		hours  []contact.SteadyHour
		column *ColumnKind
	}{
		{contact.T10, b.Require.ContactTime, b.SteadyT10, T10Steady},
		{contact.Modal, b.Require.ModalMin, b.SteadyModal, ModalTimeSteady},
	} {
		if !(k.asked > 0) || k.hours == nil || b.Contact.Factor.Kind == k.kind {
			continue
		}
		col := unknown(len(k.hours))
		for i, h := range k.hours {
			if h.Why == contact.Known {
				col[i] = h.ContactMin
			}
		}
		t.add(k.column, b.Name, "", col, nil)
	}
}

// addLogs adds the log inactivations that are asked for, with their bands, and
// the regression for Giardia beside the table.
func (r *Result) addLogs(t *Table, b *Basin) {
	for _, p := range []struct {
		pathogen contact.Pathogen
		asked    float64
		name     string
	}{{contact.Giardia, b.Require.GiardiaLog, "giardia"}, {contact.Virus, b.Require.VirusLog, "virus"}} {
		if !(p.asked > 0) {
			continue
		}
		n := len(b.Hours)
		log, low, high, regression := unknown(n), unknown(n), unknown(n), unknown(n)
		banded, beyond := false, make([]string, n)
		end := map[contact.Pathogen]float64{contact.Giardia: 3, contact.Virus: 4}[p.pathogen]
		for i, h := range b.Hours {
			for _, j := range h.Judged {
				if j.What == "log inactivation of "+string(p.pathogen) {
					log[i] = j.Band.Value
					if j.Band.Half > 0 {
						low[i], high[i], banded = j.Band.Low(), j.Band.High(), true
					}
					if j.Beyond { // nothing is published above the tables' end
						log[i], low[i], high[i] = end, math.Min(low[i], end), math.NaN()
						beyond[i] = fmt.Sprintf("> %g", end)
					}
				}
			}
			if b.Segments == nil || math.IsNaN(log[i]) {
				continue
			}
			regression[i] = 0
			for _, s := range b.Segments[i] {
				regression[i] += 3 * s.CTMgMinL / contact.GiardiaRegressionCT(3, s.Conditions)
			}
		}
		title := "Log inactivation of " + string(p.pathogen)
		t.add(LogByTables, b.Name+"."+p.name, title, log, nil)
		if banded {
			t.add(LogLow, b.Name+"."+p.name, title, low, nil)
			t.add(LogHigh, b.Name+"."+p.name, title, high, nil)
		}
		if slices.ContainsFunc(beyond, func(s string) bool { return s != "" }) {
			t.Words = append(t.Words, Words{b.Name + "." + p.name + "_log_beyond_table", title + ": beyond the end of the tables", beyond})
		}
		if p.pathogen == contact.Giardia && b.Require.Disinfectant != "chloramine" {
			t.add(LogByRegression, b.Name+"."+p.name, title, regression, nil)
		}
	}
}
