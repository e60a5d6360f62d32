package analysis

import (
	"fmt"
	"math"

	"weirbook/analysis/align"
	"weirbook/analysis/loading"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// ProcessLoading is what loads a unit process at average and at the peak hour,
// beside its design figures. Rows are in US units; loading.Rate.Unit gives the
// exact way to metric ones.
type ProcessLoading struct {
	plant.Process
	AverageMGD, PeakMGD float64
	PeakAt              int64 // start of the peak hour
	Rows                []loading.LoadingRow
	Notes               []string
}

// processes holds every unit process against its sizes.
func (r *Result) processes() {
	for _, p := range r.Plant.Processes {
		l := ProcessLoading{Process: p, AverageMGD: math.NaN(), PeakMGD: math.NaN()}
		flow, _ := r.Plant.FlowTag(p.FlowAt)
		sum, n := 0.0, 0
		for i, st := range align.Over(r.Series[flow.Name], r.Rule(flow), r.Hours) {
			q := st.At(r.Plant.HourCoverage)
			if math.IsNaN(q) {
				continue
			}
			sum += q
			n++
			if !(q <= l.PeakMGD) {
				l.PeakMGD, l.PeakAt = q, r.Hours[i].Start
			}
		}
		if n == 0 {
			l.Notes = append(l.Notes, "the flow is not determined in any hour")
			r.Processes = append(r.Processes, l)
			continue
		}
		l.AverageMGD = sum / float64(n)
		if n < len(r.Hours) {
			l.Notes = append(l.Notes, fmt.Sprintf("%d of %d hours have a flow", n, len(r.Hours)))
		}
		sizes := loading.Sizes{AreaFt2: p.Area, WeirFt: p.WeirLength, VolumeGal: p.Volume, MediaFt3: p.MediaVolume}
		average, peak := designUS(p.DesignAverage, r.Plant.Units), designUS(p.DesignPeak, r.Plant.Units)
		s := loading.Stressor{AverageMGD: l.AverageMGD, PeakMGD: l.PeakMGD, AverageMgL: math.NaN(), PeakMgL: math.NaN()}
		for _, m := range []struct {
			kinds  []quantity.Kind
			solids bool
		}{{[]quantity.Kind{quantity.MLSS, quantity.TSS}, true}, {[]quantity.Kind{quantity.BOD5, quantity.CBOD5, quantity.COD}, false}} {
			x := s
			x.Solids, x.Organic = m.solids, !m.solids
			var what string
			x.AverageMgL, x.PeakMgL, what = r.loadingConcentration(p.LoadAt, m.kinds, s)
			for _, row := range loading.LoadingRows(sizes, x, average, peak) {
				mass := row.Rate == loading.SolidsRate || row.Rate == loading.OrganicRate
				if mass || m.solids { // the rates of water stand once
					l.Rows = append(l.Rows, row)
				}
				if mass && what != "" {
					l.Notes = append(l.Notes, fmt.Sprintf("%s by %s", row.Rate.Title(), what))
				}
			}
		}
		r.Processes = append(r.Processes, l)
	}
}

// loadingConcentration is what, times the average and the peak flow, gives the
// average load and that of the hour with the highest load. A laboratory's
// results say nothing about one hour: their mean stands for both.
func (r *Result) loadingConcentration(point string, kinds []quantity.Kind, s loading.Stressor) (average, peak float64, what string) {
	for _, k := range kinds {
		for _, t := range r.Plant.TagsAt(k, point) {
			flow, ok := r.Plant.FlowTag(point)
			if !ok {
				continue
			}
			if !t.Sampled() {
				sum, n, top := 0.0, 0, math.NaN()
				for _, m := range loading.Masses(r.Series[flow.Name], r.Series[t.Name], r.Rule(flow), r.Rule(t), r.Hours, r.Plant.HourCoverage) {
					if v := float64(m.Load); !math.IsNaN(v) {
						sum += v
						n++
						if !(v <= top) {
							top = v
						}
					}
				}
				if n > 0 {
					return sum / float64(n) / s.AverageMGD, top / s.PeakMGD, t.Name + " on line, peak: the hour with the highest load"
				}
				continue
			}
			load, flows, conc, n := 0.0, 0.0, 0.0, 0
			for _, x := range r.samplesOf(t) {
				if !math.IsNaN(float64(x.Load)) {
					load += float64(x.Load)
					flows += x.FlowMGD
					conc += x.MgL
					n++
				}
			}
			if n > 0 && t.Reading == series.Composite {
				return load / flows, load / flows, fmt.Sprintf("%s, flow-weighted mean of %d composites, at the peak hour too", t.Name, n)
			}
			if n > 0 {
				return conc / float64(n), conc / float64(n), fmt.Sprintf("%s, mean of %d grabs, at the peak hour too", t.Name, n)
			}
		}
	}
	return math.NaN(), math.NaN(), ""
}

// samplesOf gives the samples of a laboratory tag with their loads.
func (r *Result) samplesOf(t plant.Tag) []loading.Sample {
	for _, s := range r.Sampled {
		if s.Tag.Name == t.Name {
			return s.Samples
		}
	}
	return nil
}

// designUS turns design figures as the plant description states them into US
// units.
func designUS(stated map[string]float64, units plant.System) map[string]float64 {
	if units != plant.Metric {
		return stated
	}
	out := map[string]float64{}
	for word, v := range stated {
		_, _, k := loading.Rate(word).Unit()
		out[word] = v / k
	}
	return out
}
