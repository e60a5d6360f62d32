package plant

// TrainOf is the train a point belongs to: as stated, or that of the basin it
// lies in, that it leads into or out of, or whose flow it names in flow_at.
// Empty for water that no train has to itself.
func (p *Plant) TrainOf(point string) string {
	for range len(p.Points) + 1 {
		q, ok := p.Point(point)
		if ok && q.Train != "" {
			return q.Train
		}
		if b, ok := p.Basin(q.Basin); ok && b.Train != "" {
			return b.Train
		}
		train, found := "", false
		for _, b := range p.Basins {
			if point != b.Outlet && point != b.Inlet && point != b.FlowAt {
				continue
			}
			if found && b.Train != train {
				return "" // the common flow of several trains
			}
			train, found = b.Train, true
		}
		if found || q.FlowAt == "" || q.FlowAt == point {
			return train
		}
		point = q.FlowAt
	}
	return ""
}

// Trains lists the trains of the basins, each once, in their order.
func (p *Plant) Trains() []string {
	var out []string
	seen := map[string]bool{}
	for _, b := range p.Basins {
		if !seen[b.Train] {
			seen[b.Train] = true
			out = append(out, b.Train)
		}
	}
	return out
}

// SharesWater says that what is measured at a point may be used for a basin: it
// is of the basin's train, or the plant has only one.
func (p *Plant) SharesWater(point string, b Basin) bool {
	return len(p.Trains()) <= 1 || p.TrainOf(point) == b.Train
}

// ProcessRates lists the loading rates that a process may state a design figure
// for. In US reports they are in gpd/ft², gpd/ft, min, lb/(d·ft²) and lb/d per
// 1000 ft³, in metric ones in m³/(m²·d), m³/(m·d), min, kg/(d·m²) and kg/(d·m³).
func ProcessRates() []string {
	return []string{"detention_time", "organic_loading", "solids_loading", "surface_overflow_rate", "weir_rate"}
}
