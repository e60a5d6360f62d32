package simulate

import "math"

// tagList describes the tags in the order that instruments records them.
func tagList(p Plant) []Tag {
	top := math.Ceil(4 * p.DesignFlowMGD)
	return []Tag{
		{Name: TagInfluentFlow, Measures: "flow", At: PointInfluent, Unit: "MGD", Source: SourceProcess, High: top, Decimals: 3, Note: "influent flow"},
		{Name: TagAmmonia, Measures: "ammonia_n", At: PointSecondary, Unit: "mg/L", Source: SourceProcess, High: 40, Decimals: 2, Note: "ammonia after secondary, as N"},
		{Name: TagHypoFeed, Measures: "hypochlorite_feed", At: PointFeed, Unit: "gal/h", Reading: "on-change", Source: SourceProcess, High: p.HypoMaxGPH, Decimals: 2, Note: "hypochlorite pump, 12.5 trade percent"},
		{Name: TagTotal, Measures: "chlorine_total", At: PointOutlet, Unit: "mg/L", Source: SourceAnalysers, High: 10, Decimals: 2, Note: "total residual, reagent analyser"},
		{Name: TagFree, Measures: "chlorine_free", At: PointOutlet, Unit: "mg/L", Source: SourceAnalysers, High: 10, Decimals: 2, Note: "free residual, membrane"},
		{Name: TagORPMiddle, Measures: "orp", At: PointMiddle, Unit: "mV", Source: SourceAnalysers, Low: -200, High: 1000, Decimals: 1, Note: "ORP halfway through the basin, Ag/AgCl"},
		{Name: TagORPOutlet, Measures: "orp", At: PointOutlet, Unit: "mV", Source: SourceAnalysers, Low: -200, High: 1000, Decimals: 1, Note: "ORP at the basin outlet, Ag/AgCl"},
		{Name: TagPH, Measures: "ph", At: PointOutlet, Unit: "pH", Source: SourceAnalysers, High: 14, Decimals: 2},
		{Name: TagTemperature, Measures: "temperature", At: PointOutlet, Unit: "degC", Source: SourceAnalysers, High: 50, Decimals: 1},
		{Name: TagEffluentFlow, Measures: "flow", At: PointOutlet, Unit: "MGD", Source: SourceProcess, High: top, Decimals: 3, Note: "effluent flow through the basin; paces the feeds"},
		{Name: TagSulfiteFeed, Measures: "bisulfite_feed", At: PointOutfall, Unit: "gal/h", Reading: "on-change", Source: SourceProcess, High: p.SulfiteMaxGPH, Decimals: 2, Note: "bisulfite pump, 38 percent"},
		{Name: TagFinal, Measures: "chlorine_total", At: PointOutfall, Unit: "mg/L", Source: SourceAnalysers, High: 5, Decimals: 3, Note: "residual after dechlorination"},
		{Name: TagORPFinal, Measures: "orp", At: PointOutfall, Unit: "mV", Source: SourceAnalysers, Low: -200, High: 1000, Decimals: 1, Note: "ORP after dechlorination, Ag/AgCl"},
	}
}

// has reports whether the plant owns the instrument.
func (p Plant) has(tag string) bool {
	switch tag {
	case TagTotal:
		return p.HasTotal
	case TagFree:
		return p.HasFree
	case TagAmmonia:
		return p.HasAmmonia
	case TagORPOutlet:
		return p.Probes >= 1
	case TagORPMiddle:
		return p.Probes >= 2
	}
	return true
}

// keep hands the recorded columns to the month, whole, and works out the truth
// that needs the whole record.
func (s *simulation) keep(m *Month) {
	for k, tag := range tagList(s.plant) {
		if !s.plant.has(tag.Name) {
			continue
		}
		if tag.Reading == "" {
			tag.Reading = "continuous"
		}
		tag.V, tag.Q = s.cols[k].v, s.cols[k].q
		m.Tags = append(m.Tags, tag)
	}
	t := &s.truth
	t.ContactMin = parcelAge(t.FlowMGD, s.plant.Baffling*s.plant.BasinGal)
	t.CTTotal, t.CTFree = make([]float64, s.n), make([]float64, s.n)
	for i := range t.ContactMin {
		t.CTTotal[i] = t.ContactMin[i] * t.TotalMgL[i]
		t.CTFree[i] = t.ContactMin[i] * t.FreeMgL[i]
	}
}

// exportFaults does to the columns what went wrong between instrument and
// export: units, clocks, repeated blocks, the data link, and the odd row
// that is lost or marked bad.
func (m *Month) exportFaults(s *simulation) {
	for k := range m.Events {
		e := &m.Events[k]
		for t := range m.Tags {
			tag := &m.Tags[t]
			lo, hi := max(e.from, 1), min(e.to, s.n)
			switch e.Kind {
			case UnitMixUp:
				for i := lo; i < hi && e.concerns(tag.Name); i++ {
					tag.V[i] *= e.Size
				}
			case RepeatedBlock:
				for i := lo; i < hi; i++ {
					if from := i - (e.to - e.from); from >= 0 {
						tag.V[i], tag.Q[i] = tag.V[from], tag.Q[from]
					}
				}
			case LinkFrozen:
				for i := lo; i < hi; i++ {
					tag.V[i], tag.Q[i] = tag.V[lo-1], tag.Q[lo-1]
				}
			case LinkBlank:
				for i := lo; i < hi; i++ {
					tag.V[i], tag.Q[i] = math.NaN(), Missing
				}
			case ClockWinter:
				// The stamps run an hour behind: what stands at a minute happened an hour later.
				for i := lo; i < hi && e.Subject == tag.Source; i++ {
					if i+60 < s.n {
						tag.V[i], tag.Q[i] = tag.V[i+60], tag.Q[i+60]
					}
				}
			}
		}
	}
	for t := range m.Tags {
		tag := &m.Tags[t]
		r := stream(m.Config.Seed, "rows "+tag.Name)
		lost, broken := newBurst(1.5, 1, 6), newBurst(0.5, 2, 9)
		for i := range tag.V {
			single := r.Float64() < 0.0003
			if broken.step(r) > 0 && tag.Q[i] != Missing {
				tag.V[i], tag.Q[i] = 0, Bad // the card answers, but has no value
			}
			if lost.step(r) > 0 || single {
				tag.V[i], tag.Q[i] = math.NaN(), Missing
			}
		}
	}
}

// cut drops spin-up and tail.
func (m *Month) cut(s *simulation) {
	lo, hi := spinUp, spinUp+m.N
	for t := range m.Tags {
		m.Tags[t].V, m.Tags[t].Q = m.Tags[t].V[lo:hi:hi], m.Tags[t].Q[lo:hi:hi]
	}
	t := &s.truth
	for _, col := range []*[]float64{
		&t.InfluentMGD, &t.FlowMGD, &t.TemperatureC, &t.PH, &t.AmmoniaMgL, &t.DoseMgL, &t.DemandMgL,
		&t.FreeMgL, &t.TotalMgL, &t.MiddleTotalMgL, &t.MiddleFreeMgL, &t.FinalMgL, &t.SulfiteMgL,
		&t.ContactMin, &t.CTTotal, &t.CTFree, &t.HypoGPH, &t.HypoPercent, &t.ChlorineLbD, &t.SulfiteGPH, &t.ORPStaticMV,
	} {
		*col = (*col)[lo:hi:hi]
	}
	t.StoredLb = [2]float64{s.store[lo-1], s.store[hi-1]}
	t.ConsumedLb = s.used[hi-1] - s.used[lo-1]
	for i := 0; i < m.N; i++ {
		t.EnteredLb += t.ChlorineLbD[i] / 1440
		t.LeftLb += t.FlowMGD[i] * t.TotalMgL[i] * lbPerMGDmgL / 1440
	}
	m.Truth = *t
}
