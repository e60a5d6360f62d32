package simulate

import (
	"io"
	"math"
	"reflect"
	"strconv"
	"time"

	"weirbook/analysis/sheet"
)

// Hour is the truth of one local hour. Concentrations in mg/L, at the basin
// outlet unless the name says otherwise.
type Hour struct {
	Start          time.Time `csv:"hour_start"`                 // on the plant's clock
	Minutes        int       `csv:"-"`                          // 60
	InfluentMGD    float64   `csv:"influent_mgd"`               // mean
	FlowMGD        float64   `csv:"flow_mgd"`                   // mean
	FlowMaxMGD     float64   `csv:"flow_max_mgd"`               // highest minute
	ContactMinMean float64   `csv:"contact_time_mean_min"`      // min
	ContactMinLow  float64   `csv:"contact_time_lowest_min"`    // min, lowest minute
	CTTotalMean    float64   `csv:"ct_total_mean_mg_min_per_l"` // mg·min/L
	CTTotalMin     float64   `csv:"ct_total_min_mg_min_per_l"`
	CTFreeMean     float64   `csv:"ct_free_mean_mg_min_per_l"`
	CTFreeMin      float64   `csv:"ct_free_min_mg_min_per_l"`
	TotalMean      float64   `csv:"total_mean_mg_per_l"`
	TotalMin       float64   `csv:"total_min_mg_per_l"`
	FreeMean       float64   `csv:"free_mean_mg_per_l"`
	FreeMin        float64   `csv:"free_min_mg_per_l"`
	FinalMean      float64   `csv:"final_mean_mg_per_l"` // outfall
	FinalMax       float64   `csv:"final_max_mg_per_l"`
	DoseMean       float64   `csv:"dose_mg_per_l"`           // mass fed / water treated
	FedLb          float64   `csv:"chlorine_fed_lb"`         // chlorine fed
	LeavingLb      float64   `csv:"chlorine_leaving_lb"`     // chlorine leaving the basin: ∫ flow·total
	SulfiteGal     float64   `csv:"bisulfite_gal"`           // bisulfite solution fed
	AmmoniaMean    float64   `csv:"ammonia_mean_mg_per_l_n"` // after secondary, mg/L N
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

// WriteTruthHourly writes the hours as truth_hourly.csv, to four decimals.
func (m *Month) WriteTruthHourly(w io.Writer) error {
	hours := m.Hours()
	for i := range hours {
		for v, k := reflect.ValueOf(&hours[i]).Elem(), 0; k < v.NumField(); k++ {
			if f := v.Field(k); f.CanFloat() {
				f.SetFloat(math.Round(f.Float()*1e4) / 1e4)
			}
		}
	}
	return writeRows(w, hours)
}

// eventRow is a row of truth_events.csv.
type eventRow struct {
	Start    sheet.Moment `csv:"start"`
	End      sheet.Moment `csv:"end"`
	Kind     string       `csv:"kind"`
	AtFault  string       `csv:"at_fault"`
	Subject  string       `csv:"subject"`
	Severity string       `csv:"severity"`
	Size     string       `csv:"size"`
}

// WriteTruthEvents writes the events as truth_events.csv.
func (m *Month) WriteTruthEvents(w io.Writer) error {
	var rows []eventRow
	for _, e := range m.Events {
		rows = append(rows, eventRow{sheet.Moment(e.Start.In(m.Loc)), sheet.Moment(e.End.In(m.Loc)), string(e.Kind), e.AtFault, e.Subject,
			string(e.Severity), strconv.FormatFloat(e.Size, 'g', 6, 64)})
	}
	return writeRows(w, rows)
}

func writeRows(w io.Writer, rows any) error {
	text, err := sheet.Rows(rows, nil)
	if err != nil {
		return err
	}
	_, err = w.Write(text)
	return err
}
