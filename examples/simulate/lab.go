package simulate

import (
	"math"
	"math/rand/v2"
	"sort"
	"time"
)

// Laboratory tags.
const (
	LabTotal       = "LAB-TRC"     // DPD total residual, basin outlet, mg/L
	LabFree        = "LAB-FRC"     // DPD free residual, basin outlet, mg/L
	LabFinal       = "LAB-FIN"     // DPD total residual, outfall, mg/L
	LabEColi       = "LAB-ECOLI"   // MPN/100 mL, outfall
	LabTSSInfluent = "LAB-TSS-INF" // mg/L, 24 h composite
	LabTSSEffluent = "LAB-TSS-EFF"
	LabBODInfluent = "LAB-BOD-INF"
	LabBODEffluent = "LAB-BOD-EFF"
)

// Hours of the grabs, the first GrabsPerDay of them.
var grabHours = []int{8, 15, 20, 11, 2, 17, 23, 5}

// laboratory takes the grabs and composites of the month.
func (m *Month) laboratory(s *simulation) []LabResult {
	r := stream(m.Config.Seed, "laboratory")
	var out []LabResult
	y, mo, d := m.Time(0).Date()
	for day := 0; day < m.Config.Days; day++ {
		at := func(h, min int) time.Time { return time.Date(y, mo, d+day, h, min, 0, 0, m.Loc) }
		for g := 0; g < m.Config.Plant.GrabsPerDay; g++ {
			out = append(out, m.grab(r, at(grabHours[g], r.IntN(40)), g == 0)...)
		}
		out = append(out, m.eColi(r, at(9, 10+r.IntN(30)))...)
		if wd := at(12, 0).Weekday(); wd == time.Monday || wd == time.Wednesday || wd == time.Friday {
			out = append(out, m.composites(r, at(7, 0))...)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Time.Before(out[j].Time) })
	return out
}

// grab is one visit with the DPD kit: total and free at the basin outlet, and
// on some visits the outfall.
func (m *Month) grab(r *rand.Rand, at time.Time, outfall bool) []LabResult {
	// All random numbers are drawn before anything is left out.
	blunder, late := r.Float64(), r.IntN(36)-18
	kind := r.IntN(3)
	nt, nf, no := r.NormFloat64(), r.NormFloat64(), r.NormFloat64()
	i := m.Index(at)
	if i < 0 || i >= m.N {
		return nil
	}
	factor, wrong := 1.0, blunder < 0.025
	if wrong {
		switch kind {
		case 0:
			factor = 0.7 // left standing in the sun
		case 1:
			factor = 1.3 // a dirty cell, or read too late
		case 2:
			late *= 3 // the time written down from memory
		}
	} else {
		late /= 6
	}
	j := min(max(i+late, 0), m.N-1)
	dpd := func(x, n float64) float64 {
		return math.Max(0, round(factor*x*(1+0.035*n)+0.015*n, 100))
	}
	res := func(tag, what, point string, v float64, q string) LabResult {
		return LabResult{Time: at, Tag: tag, What: what, At: point, Reading: "grab", Value: v, Qualifier: q, Unit: "mg/L", Decimals: 2, Blunder: wrong}
	}
	out := []LabResult{
		res(LabTotal, "chlorine_total", PointOutlet, dpd(m.Truth.TotalMgL[j], nt), ""),
		res(LabFree, "chlorine_free", PointOutlet, dpd(m.Truth.FreeMgL[j]+0.02*(m.Truth.TotalMgL[j]-m.Truth.FreeMgL[j]), nf), ""),
	}
	if outfall {
		v, q := dpd(m.Truth.FinalMgL[j], no), ""
		if v < 0.02 {
			v, q = 0.02, "<"
		}
		out = append(out, res(LabFinal, "chlorine_total", PointOutfall, v, q))
	}
	return out
}

// eColi follows from what the chlorine did: free chlorine kills fast, combined
// chlorine slowly, with diminishing returns (particles shield the rest).
func (m *Month) eColi(r *rand.Rand, at time.Time) []LabResult {
	start, count := 4.45+0.25*r.NormFloat64(), 0.3*r.NormFloat64()
	i := m.Index(at)
	if i < 0 || i >= m.N || math.IsNaN(m.Truth.ContactMin[i]) {
		return nil
	}
	ct := m.Truth.CTFree[i] + 0.15*(m.Truth.CTTotal[i]-m.Truth.CTFree[i])
	n := math.Pow(10, start-2.5*math.Log10(1+ct/1.5)+count)
	res := LabResult{Time: at, Tag: LabEColi, What: "e_coli", At: PointOutfall, Reading: "grab", Unit: "MPN/100mL", Decimals: 1}
	switch {
	case n < 1:
		res.Value, res.Qualifier, res.Decimals = 1, "<", 0
	case n > 2419.6:
		res.Value, res.Qualifier = 2419.6, ">"
	default:
		res.Value = round(n, 10)
	}
	return []LabResult{res}
}

// composites are 24 h flow-proportional samples that end at the time given.
func (m *Month) composites(r *rand.Rand, at time.Time) []LabResult {
	var v [4]float64
	for k, mean := range [4]float64{220, 7, 210, 5} {
		v[k] = mean * math.Exp(0.18*r.NormFloat64())
	}
	i := m.Index(at)
	if i < 1440 || i > m.N {
		return nil
	}
	in := 0.0
	for _, q := range m.Truth.InfluentMGD[i-1440 : i] {
		in += q / 1440
	}
	// Rain thins the influent and stirs the clarifiers.
	wet := math.Max(in/m.Config.Plant.DesignFlowMGD, 0.5)
	res := func(tag, what, point string, x, perUnit float64, dec int, least float64) LabResult {
		l := LabResult{Time: at, Tag: tag, What: what, At: point, Reading: "composite", Value: round(x, perUnit), Unit: "mg/L", Decimals: dec}
		if l.Value < least {
			l.Value, l.Qualifier = least, "<"
		}
		return l
	}
	return []LabResult{
		res(LabTSSInfluent, "tss", PointInfluent, v[0]/math.Sqrt(wet), 1, 0, 2),
		res(LabTSSEffluent, "tss", PointOutfall, v[1]*wet, 10, 1, 2),
		res(LabBODInfluent, "bod5", PointInfluent, v[2]/wet, 1, 0, 2),
		res(LabBODEffluent, "bod5", PointOutfall, v[3]*math.Sqrt(wet), 10, 1, 2),
	}
}
