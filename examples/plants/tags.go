package plants

import (
	"fmt"
	"math"
)

// Usual factors from lb/d to what pumps show: 12.5 trade percent holds 1.043 lb
// of chlorine a gallon; 38 % bisulfite 4.2 lb of the salt (product tables).
const (
	lbPerGal     = 1.0432
	saltPerGal   = 0.38 * 1.33 * 8.345
	saltPerCl    = 104.06 / 70.906
	dioxidePerCl = 64.066 / 70.906
)

type tagKind struct {
	role, measures, at, unit string
	low, high                float64
	decimals                 int
}

// tagKinds are the tags of one train (k 0 or 1) or, shared, of the plant.
func (s *Site) tagKinds(k int) []tagKind {
	top := math.Ceil(4 * s.FlowMGD / float64(s.Trains))
	feedKind := tagKind{feed, "hypochlorite_feed", "inlet", "gal/h", 0, math.Ceil(4 * s.Dose * s.FlowMGD * lbPerMGD / 24 / lbPerGal), 2}
	sulf := tagKind{sulfite, "bisulfite_feed", "outfall", "gal/h", 0, math.Ceil(4 * s.Dose * s.FlowMGD * lbPerMGD / 24 / saltPerGal * saltPerCl), 2}
	if s.Gas {
		feedKind = tagKind{feed, "chlorine_feed", "inlet", "lb/d", 0, math.Ceil(4 * s.Dose * s.FlowMGD * lbPerMGD), 0}
		sulf = tagKind{sulfite, "sulfur_dioxide_feed", "outfall", "lb/d", 0, math.Ceil(4 * s.Dose * s.FlowMGD * lbPerMGD * dioxidePerCl), 0}
	}
	one := []tagKind{
		{flow, "flow", "outlet", "MGD", 0, top, 3}, feedKind,
		{total, "chlorine_total", "outlet", "mg/L", 0, s.SpanTotal, 2},
		{free, "chlorine_free", "outlet", "mg/L", 0, s.SpanTotal, 2},
		{orp, "orp", "outlet", "mV", -200, 1000, 0},
		{middle, "orp", "middle", "mV", -200, 1000, 0},
	}
	if k == 0 {
		one = append(one,
			tagKind{inflow, "flow", "influent", "MGD", 0, math.Ceil(4 * s.FlowMGD), 3},
			tagKind{ammonia, "ammonia_n", "secondary", "mg/L", 0, 50, 2},
			tagKind{acid, "ph", "outlet", "pH", 0, 14, 2},
			tagKind{heat, "temperature", "outlet", "degC", 0, 50, 1},
			tagKind{outflow, "flow", "outfall", "MGD", 0, math.Ceil(4 * s.FlowMGD), 3},
			sulf,
			tagKind{final, "chlorine_total", "outfall", "mg/L", 0, s.SpanFinal, 3},
			tagKind{finalORP, "orp", "outfall", "mV", -200, 1000, 0})
	}
	return one
}

// has says whether the plant owns what the role needs.
func (s *Site) has(role string) bool {
	switch role {
	case inflow:
		return s.Inflow
	case outflow:
		return s.Trains == 2
	case ammonia:
		return s.Ammonia
	case acid:
		return s.PH
	case heat:
		return s.Temp
	case total:
		return s.Total
	case free:
		return s.Free
	case orp:
		return s.Outlet
	case middle:
		return s.Middle
	case sulfite:
		return s.Dechlor
	case final:
		return s.FinalAnalyser
	case finalORP:
		return s.FinalORP
	}
	return true
}

// collect makes tags of the columns.
func (r *Record) collect(p *plant, ev *events) {
	s := p.s
	for k := range s.Trains {
		for n, tk := range s.tagKinds(k) {
			if !s.has(tk.role) {
				continue
			}
			v := p.cols[ofTrain(tk.role, k)]
			switch f := s.perShown(tk.role); f {
			case 1:
			default:
				for i := range v {
					v[i] /= f
				}
			}
			t := Tag{Name: s.tagName(tk.role, k), Role: ofTrain(tk.role, k), Train: k, Low: tk.low, High: tk.high, Decimals: tk.decimals,
				Link: s.linkOf(tk.role, k, n), V: v[spinUp:]}
			r.Tags = append(r.Tags, t)
		}
	}
	r.final = p.truth[final][spinUp:]
	r.lows = make([]float64, r.N)
	for i := range r.lows {
		r.lows[i] = math.Inf(1)
		for k := range s.Trains {
			res := p.truth[ofTrain(total, k)]
			if !s.Total {
				res = p.truth[ofTrain(free, k)]
			}
			if q := p.truth[ofTrain(flow, k)][i+spinUp]; q > 0 {
				r.lows[i] = math.Min(r.lows[i], res[i+spinUp]*baffling(s.Tanks)*s.BasinGal/(q*1e6/1440)/s.asked())
			}
		}
	}
}

// asked is the CT that the invented permit asks for, mg·min/L.
func (s *Site) asked() float64 {
	t := baffling(s.Tanks) * s.BasinGal * float64(s.Trains) / (s.FlowMGD * 1e6 / 1440)
	return math.Round(0.35 * t * s.Aim)
}

// outfallLimit is the invented permit's, mg/L.
const outfallLimit = 0.10

// perShown is lb/d of chlorine for one of the unit that the tag shows.
func (s *Site) perShown(role string) float64 {
	switch {
	case role == feed && !s.Gas:
		return 24 * lbPerGal
	case role == sulfite && s.Gas:
		return 1 / dioxidePerCl
	case role == sulfite:
		return 24 * saltPerGal / saltPerCl
	}
	return 1
}

// linkOf is the controller that a tag hangs on: one for all, one for each
// train, or one for the feeds and flows, one for the outlet's analysers, one for
// the outfall.
func (s *Site) linkOf(role string, k, _ int) int {
	n := 0
	switch role {
	case total, free, orp, middle, acid, heat:
		n = 1
	case final, finalORP, sulfite, outflow:
		n = 2
	}
	if s.Trains == 2 && n < 2 {
		n = 2*k + n
		if k == 1 {
			n++
		}
	}
	return n % max(s.Links, 1)
}

// tagName is an invented name in one of three styles.
func (s *Site) tagName(role string, k int) string {
	letters := map[string]string{inflow: "FI", flow: "FI", outflow: "FI", feed: "FC", sulfite: "FC", ammonia: "AI", total: "AI", free: "AI", orp: "AI",
		middle: "AI", acid: "AI", heat: "TI", final: "AI", finalORP: "AI"}
	number := map[string]int{inflow: 10, outflow: 70, ammonia: 22, flow: 30, feed: 41, total: 51, free: 52, middle: 53, orp: 54, acid: 55, heat: 56,
		sulfite: 61, final: 71, finalORP: 72}
	word := map[string]string{inflow: "INF_FLOW", outflow: "PLANT_FLOW", flow: "EFF_FLOW", feed: "CL2_FEED", sulfite: "DECHLOR_FEED", ammonia: "NH3N", total: "CL2_TOTAL",
		free: "CL2_FREE", orp: "ORP_OUT", middle: "ORP_MID", acid: "PH", heat: "TEMP", final: "CL2_FINAL", finalORP: "ORP_FINAL"}
	switch s.Style % 3 {
	case 0:
		return fmt.Sprintf("%s-%d%02d", letters[role], 1+k, number[role])
	case 1:
		return fmt.Sprintf("T%d.%s", 1+k, word[role])
	}
	return fmt.Sprintf("WW/%s%c_%d", letters[role], 'A'+rune(k), number[role])
}
