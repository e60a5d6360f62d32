package simulate

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"time"
)

// Hour is the truth of one local hour. Concentrations in mg/L, at the basin
// outlet unless the name says otherwise.
type Hour struct {
	Start          time.Time // on the plant's clock
	Minutes        int       // 60
	InfluentMGD    float64   // mean
	FlowMGD        float64   // mean
	FlowMaxMGD     float64   // highest minute
	ContactMinMean float64   // min
	ContactMinLow  float64   // min, lowest minute
	CTTotalMean    float64   // mg·min/L
	CTTotalMin     float64
	CTFreeMean     float64
	CTFreeMin      float64
	TotalMean      float64
	TotalMin       float64
	FreeMean       float64
	FreeMin        float64
	FinalMean      float64 // outfall
	FinalMax       float64
	DoseMean       float64 // mass fed / water treated
	FedLb          float64 // chlorine fed
	LeavingLb      float64 // chlorine leaving the basin: ∫ flow·total
	SulfiteGal     float64 // bisulfite solution fed
	AmmoniaMean    float64 // after secondary, mg/L N
}

// Hours cuts the truth into hours of the plant's clock. A spring clock change
// leaves a day of 23, an autumn one a day of 25.
func (m *Month) Hours() []Hour {
	var out []Hour
	t := &m.Truth
	for i := 0; i < m.N; {
		start := m.Time(i)
		n := min(60-start.Minute(), m.N-i)
		h := Hour{Start: start, Minutes: n, ContactMinLow: math.Inf(1), CTTotalMin: math.Inf(1), CTFreeMin: math.Inf(1),
			TotalMin: math.Inf(1), FreeMin: math.Inf(1)}
		for j := i; j < i+n; j++ {
			h.InfluentMGD += t.InfluentMGD[j] / float64(n)
			h.FlowMGD += t.FlowMGD[j] / float64(n)
			h.FlowMaxMGD = math.Max(h.FlowMaxMGD, t.FlowMGD[j])
			h.ContactMinMean += t.ContactMin[j] / float64(n)
			h.ContactMinLow = math.Min(h.ContactMinLow, t.ContactMin[j])
			h.CTTotalMean += t.CTTotal[j] / float64(n)
			h.CTTotalMin = math.Min(h.CTTotalMin, t.CTTotal[j])
			h.CTFreeMean += t.CTFree[j] / float64(n)
			h.CTFreeMin = math.Min(h.CTFreeMin, t.CTFree[j])
			h.TotalMean += t.TotalMgL[j] / float64(n)
			h.TotalMin = math.Min(h.TotalMin, t.TotalMgL[j])
			h.FreeMean += t.FreeMgL[j] / float64(n)
			h.FreeMin = math.Min(h.FreeMin, t.FreeMgL[j])
			h.FinalMean += t.FinalMgL[j] / float64(n)
			h.FinalMax = math.Max(h.FinalMax, t.FinalMgL[j])
			h.FedLb += t.ChlorineLbD[j] / 1440
			h.LeavingLb += t.FlowMGD[j] * t.TotalMgL[j] * lbPerMGDmgL / 1440
			h.SulfiteGal += t.SulfiteGPH[j] / 60
			h.AmmoniaMean += t.AmmoniaMgL[j] / float64(n)
		}
		h.DoseMean = h.FedLb / (h.FlowMGD * float64(n) / 1440 * lbPerMGDmgL)
		out = append(out, h)
		i += n
	}
	return out
}

// WriteTruthHourly writes the hours as truth_hourly.csv.
func (m *Month) WriteTruthHourly(w io.Writer) error {
	cw := csv.NewWriter(w)
	cw.Write([]string{"hour_start", "influent_mgd", "flow_mgd", "flow_max_mgd", "contact_time_mean_min", "contact_time_lowest_min",
		"ct_total_mean_mg_min_per_l", "ct_total_min_mg_min_per_l", "ct_free_mean_mg_min_per_l", "ct_free_min_mg_min_per_l",
		"total_mean_mg_per_l", "total_min_mg_per_l", "free_mean_mg_per_l", "free_min_mg_per_l",
		"final_mean_mg_per_l", "final_max_mg_per_l", "dose_mg_per_l", "chlorine_fed_lb", "chlorine_leaving_lb",
		"bisulfite_gal", "ammonia_mean_mg_per_l_n"})
	for _, h := range m.Hours() {
		row := []string{h.Start.Format(time.RFC3339)}
		for _, v := range []float64{h.InfluentMGD, h.FlowMGD, h.FlowMaxMGD, h.ContactMinMean, h.ContactMinLow,
			h.CTTotalMean, h.CTTotalMin, h.CTFreeMean, h.CTFreeMin, h.TotalMean, h.TotalMin, h.FreeMean, h.FreeMin,
			h.FinalMean, h.FinalMax, h.DoseMean, h.FedLb, h.LeavingLb, h.SulfiteGal, h.AmmoniaMean} {
			row = append(row, strconv.FormatFloat(v, 'f', 4, 64))
		}
		cw.Write(row)
	}
	cw.Flush()
	return cw.Error()
}

// WriteTruthEvents writes the events as truth_events.csv.
func (m *Month) WriteTruthEvents(w io.Writer) error {
	cw := csv.NewWriter(w)
	cw.Write([]string{"start", "end", "kind", "at_fault", "subject", "severity", "size"})
	for _, e := range m.Events {
		cw.Write([]string{e.Start.In(m.Loc).Format(time.RFC3339), e.End.In(m.Loc).Format(time.RFC3339),
			string(e.Kind), e.AtFault, e.Subject, string(e.Severity), strconv.FormatFloat(e.Size, 'g', 6, 64)})
	}
	cw.Flush()
	return cw.Error()
}
