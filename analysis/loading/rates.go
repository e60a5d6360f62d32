package loading

import (
	"math"
	"sort"

	"weirbook/analysis/quantity"
)

// Unit-process loading rates. Each is a plain quotient; NaN where the size is
// zero or not known. Source of all: operator formula sheets; from memory.

// SurfaceOverflowRate is the flow over the surface of a clarifier or filter,
// gpd/ft², from MGD and ft².
func SurfaceOverflowRate(mgd, areaFt2 float64) float64 { return ratio(mgd*1e6, areaFt2) }

// WeirOverflowRate is the flow over the length of weir, gpd/ft.
func WeirOverflowRate(mgd, weirFt float64) float64 { return ratio(mgd*1e6, weirFt) }

// DetentionMinutes is volume over flow in minutes, from gallons and MGD.
//
// Source: detention time = volume / flow; 15 min at 5 MGD needs 52,083 gal.
func DetentionMinutes(gal, mgd float64) float64 {
	return ratio(gal*quantity.MinutesPerDay, mgd*1e6)
}

// DetentionVolume is the volume in gallons that detains a flow in MGD for so
// many minutes.
func DetentionVolume(mgd, minutes float64) float64 {
	return mgd * 1e6 * minutes / quantity.MinutesPerDay
}

// DetentionFlow is the flow in MGD that a volume in gallons detains for so many
// minutes.
func DetentionFlow(gal, minutes float64) float64 {
	return ratio(gal*quantity.MinutesPerDay/1e6, minutes)
}

// SolidsLoading is the solids on a clarifier's or thickener's surface,
// lb/(d·ft²), by the trade factor.
func SolidsLoading(mgd, mgL, areaFt2 float64) float64 {
	return ratio(Trade.PoundsPerDay(mgd, mgL), areaFt2)
}

// OrganicLoading is the organic load on a volume of tank or media, lb/d per
// 1000 ft³, by the trade factor.
func OrganicLoading(mgd, mgL, volumeFt3 float64) float64 {
	return ratio(1000*Trade.PoundsPerDay(mgd, mgL), volumeFt3)
}

// Sizes are those of one unit process; NaN where not stated.
type Sizes struct {
	AreaFt2, WeirFt, VolumeGal, MediaFt3 float64
}

// Rate names a loading rate: the words of the plant description.
type Rate string

// Loading rates.
const (
	OverflowRate  Rate = "surface_overflow_rate"
	WeirRate      Rate = "weir_rate"
	DetentionRate Rate = "detention_time"
	SolidsRate    Rate = "solids_loading"
	OrganicRate   Rate = "organic_loading"
)

// Unit gives the unit of a rate in US and in metric, and what the US value is
// multiplied by to get the metric one; exact.
func (r Rate) Unit() (us, metric string, factor float64) {
	const gal, ft, lb = quantity.LitresPerGallon / 1000, quantity.MetresPerFoot, quantity.KilogramsPerPound // m³, m, kg
	switch r {
	case OverflowRate:
		return "gpd/ft²", "m³/(m²·d)", gal / (ft * ft)
	case WeirRate:
		return "gpd/ft", "m³/(m·d)", gal / ft
	case DetentionRate:
		return "min", "min", 1
	case SolidsRate:
		// The trade factor goes into the pounds and comes out again here.
		return "lb/(d·ft²)", "kg/(d·m²)", lb / (ft * ft) * float64(Exact) / float64(Trade)
	case OrganicRate:
		return "lb/(d·1000 ft³)", "kg/(d·m³)", lb / (1000 * ft * ft * ft) * float64(Exact) / float64(Trade)
	}
	return "", "", math.NaN()
}

// Title is the rate in words.
func (r Rate) Title() string {
	switch r {
	case OverflowRate:
		return "Surface overflow rate"
	case WeirRate:
		return "Weir overflow rate"
	case DetentionRate:
		return "Detention time"
	case SolidsRate:
		return "Solids loading"
	case OrganicRate:
		return "Organic loading"
	}
	return string(r)
}

// LoadingRow is one rate of a process at average and at peak hour beside the
// design figures, all in the rate's US unit. NaN: not known or not stated.
type LoadingRow struct {
	Rate                          Rate
	Average, Peak                 float64
	DesignAverage, DesignPeak     float64
	OfDesignAverage, OfDesignPeak float64 // percent of the design figure
}

// Stressor is what a process is loaded with, at average and at the peak hour.
// mg/L may be NaN; then no mass loading is given.
type Stressor struct {
	AverageMGD, PeakMGD float64
	AverageMgL, PeakMgL float64 // flow-weighted mean, and that of the hour with the highest load
	Solids, Organic     bool    // which mass loading the concentration is for
}

// LoadingRows gives every rate that the sizes allow, in a fixed order. For the
// detention time the peak hour is the shortest, and the percentage of design is
// the design's over ours, so that over 100 percent always means over design.
func LoadingRows(s Sizes, l Stressor, designAverage, designPeak map[string]float64) []LoadingRow {
	var out []LoadingRow
	add := func(r Rate, avg, peak float64) {
		if math.IsNaN(avg) && math.IsNaN(peak) {
			return
		}
		row := LoadingRow{Rate: r, Average: avg, Peak: peak, DesignAverage: lookup(designAverage, r), DesignPeak: lookup(designPeak, r)}
		row.OfDesignAverage, row.OfDesignPeak = 100*ratio(avg, row.DesignAverage), 100*ratio(peak, row.DesignPeak)
		if r == DetentionRate {
			row.OfDesignAverage, row.OfDesignPeak = 100*ratio(row.DesignAverage, avg), 100*ratio(row.DesignPeak, peak)
		}
		out = append(out, row)
	}
	add(OverflowRate, SurfaceOverflowRate(l.AverageMGD, s.AreaFt2), SurfaceOverflowRate(l.PeakMGD, s.AreaFt2))
	add(WeirRate, WeirOverflowRate(l.AverageMGD, s.WeirFt), WeirOverflowRate(l.PeakMGD, s.WeirFt))
	add(DetentionRate, DetentionMinutes(s.VolumeGal, l.AverageMGD), DetentionMinutes(s.VolumeGal, l.PeakMGD))
	if l.Solids {
		add(SolidsRate, SolidsLoading(l.AverageMGD, l.AverageMgL, s.AreaFt2), SolidsLoading(l.PeakMGD, l.PeakMgL, s.AreaFt2))
	}
	if l.Organic {
		v := s.MediaFt3
		if math.IsNaN(v) {
			v = s.VolumeGal / quantity.GallonsPerCubicFoot
		}
		add(OrganicRate, OrganicLoading(l.AverageMGD, l.AverageMgL, v), OrganicLoading(l.PeakMGD, l.PeakMgL, v))
	}
	return out
}

func lookup(m map[string]float64, r Rate) float64 {
	if v, ok := m[string(r)]; ok {
		return v
	}
	return math.NaN()
}

// RateWords lists the names that design figures may carry.
func RateWords() []string {
	out := []string{string(OverflowRate), string(WeirRate), string(DetentionRate), string(SolidsRate), string(OrganicRate)}
	sort.Strings(out)
	return out
}
