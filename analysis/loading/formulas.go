package loading

import "weirbook/analysis/formula"

// Formulas tells what this package computes, for explain and the report.
func Formulas() []formula.Entry {
	const sheets = "operator formula sheets (municipal sheet; Florida DEP wastewater formula table, Feb 2014)"
	const spellman = "Spellman, wastewater operators handbook, section 9.2.8"
	const weiner = "Weiner, Applications of Environmental Aquatic Chemistry, ch. 4"
	return []formula.Entry{
		{
			Quantity: "pounds", Title: "Pounds formula",
			Formula:   "lb/d = MGD × mg/L × 8.34\nkg/d = m³/d × mg/L ÷ 1000",
			Constants: []string{"8.34 lb per MG per mg/L, the trade's factor, for US results", "8.345404 exact; metric results use exact factors", "1 MGD = 3785.411784 m³/d, exact"},
			Units:     "flow MGD, concentration mg/L, load lb/d; with a volume in MG, lb",
			Valid:     "the trade factor reads 0.065 percent below the exact one",
			Source:    sheets, Mark: formula.Verified,
		},
		{
			Quantity: "mass", Title: "Hourly and daily mass",
			Formula:   "mass = 8.34 ÷ 24 × ∫ Q(t) C(t) dt, hours",
			Constants: []string{"8.34 lb per MG per mg/L"},
			Units:     "Q MGD, C mg/L, mass lb",
			Valid:     "the integral of the product, over the time in which both are known; taken for the whole window when enough of it is covered",
			Source:    "Cohn, Reviews of Geophysics supplement, 1995", Mark: formula.Verified,
		},
		{
			Quantity: "flow-weighted mean", Title: "Flow-weighted mean concentration",
			Formula: "FWMC = Σ c q t ÷ Σ q t", Units: "mg/L",
			Source: "Heidelberg University water quality laboratory, note 2.d", Mark: formula.Memory,
		},
		{
			Quantity: "composite", Title: "Load of a composite sample",
			Formula: "lb = mg/L × mean MGD of the sampling period × 8.34 × period in days",
			Units:   "lb over the composite's own period", Valid: "a grab gives a rate at its moment, no mass",
			Source: "pounds formula over the sampling period", Mark: formula.Derived,
		},
		{
			Quantity: "removal", Title: "Percent removal",
			Formula: "removal = (in − out) ÷ in × 100", Units: "percent",
			Source: sheets, Mark: formula.Verified,
		},
		{
			Quantity: "dose", Title: "Chlorine dose from feed",
			Formula:   "dose = lb/d ÷ (MGD × 8.34)\ndose = gal/d × g/L × 1000 ÷ (MGD × 1,000,000)",
			Constants: []string{"8.34 lb per MG per mg/L; it drops out of the second form"},
			Units:     "dose mg/L; feed lb/d of chlorine or gal/d of solution; flow MGD",
			Source:    spellman, Mark: formula.Verified,
		},
		{
			Quantity: "demand", Title: "Chlorine demand",
			Formula: "demand = dose − residual", Units: "mg/L",
			Valid:  "the residual is that of the water that was dosed, read one contact time of the basin later",
			Source: spellman, Mark: formula.Verified,
		},
		{
			Quantity: "breakpoint", Title: "Chlorine to ammonia nitrogen by weight",
			Formula:   "Cl2:N = dose ÷ ammonia-N",
			Constants: []string{"5.06 monochloramine (1 Cl2 : 1 N)", "7.59 breakpoint in theory (3 Cl2 : 2 N)", "10 to 15 breakpoint in practice"},
			Units:     "mg/L over mg/L", Valid: "ammonia nitrogen of 0.05 mg/L or more",
			Source: weiner, Mark: formula.Verified,
		},
		{
			Quantity: "hypochlorite", Title: "Hypochlorite strength",
			Formula:   "trade percent = g/L available chlorine ÷ 10\nweight percent available chlorine = trade percent ÷ specific gravity\nweight percent NaOCl = weight percent available chlorine ÷ 0.9525",
			Constants: []string{"0.9525 g Cl2 per g NaOCl (70.906 ÷ 74.442)"},
			Units:     "g/L, percent", Source: "White's Handbook of Chlorination (1972), quoted in a product profile; molar masses", Mark: formula.Verified,
		},
		{
			Quantity: "hypochlorite feed", Title: "Hypochlorite feed for a dose",
			Formula: "gal/d = mg/L × MGD × 8.34 ÷ (fraction × 8.34 × specific gravity)\ngal/d = mg/L × MGD × 1000 ÷ g/L\nmL/min = MGD × mg/L × 3.785 × 1,000,000 ÷ (mg/mL × 1440)",
			Units:   "fraction of available chlorine by weight; g/L = mg/mL available chlorine",
			Source:  spellman + ", formula 9.6; ABC formula table", Mark: formula.Verified,
		},
		{
			Quantity: "hypochlorite decay", Title: "Strength after storage",
			Formula: "C = C0 ÷ 2^(days ÷ half-life)", Units: "same unit as C0; days",
			Valid:  "the half-life is the plant's own figure, at its own temperature; none stated: no decay is assumed. Over more than a few weeks loss goes with the square of the strength instead, 1/C = 1/C0 + k t in g/L and days, and doubles or more for every 6 °C (Gordon, Adam and others, 1990s, from memory): test the tank rather than trust a long forecast",
			Source: "first-order decay over a few weeks", Mark: formula.Practice,
		},
		{
			Quantity: "dry hypochlorite", Title: "Dry hypochlorite for a weight of chlorine",
			Formula: "lb product = lb chlorine ÷ available fraction", Units: "lb",
			Source: spellman, Mark: formula.Verified,
		},
		{
			Quantity: "dechlorination", Title: "Dechlorination needed",
			Formula: "agent mg/L = residual mg/L × ratio",
			Constants: []string{
				"sodium bisulfite 1.468 stoichiometric, 1.61 field", "sodium metabisulfite 1.341, 1.47",
				"sodium sulfite 1.778, 1.96", "sulfur dioxide 0.903, 1.0", "sodium thiosulfate 0.557 (to sulfate), 1.9",
			},
			Units:  "mg agent per mg chlorine as Cl2",
			Valid:  "the reaction is nearly instantaneous; mixing governs. Overdosing uses up dissolved oxygen. Thiosulfate takes between 0.56 (all the way to sulfate) and 4.5 (only to tetrathionate, 2 moles for each Cl2; both derived from molar masses) with pH and time: 1.9 is a field figure at pH 7, to be checked with the plant's own test",
			Source: "stoichiometric: molar masses; field: AWWA field guide, Table 7-2, and Metcalf and Eddy (2003) for sulfur dioxide", Mark: formula.Verified,
		},
		{
			Quantity: "detention", Title: "Detention time",
			Formula: "minutes = gallons × 1440 ÷ (MGD × 1,000,000)", Units: "gal, MGD, min",
			Valid:  "the mean time of plug flow; the first tenth of the water leaves earlier (see contact time)",
			Source: sheets, Mark: formula.Verified,
		},
		{
			Quantity: "surface overflow rate", Title: "Surface overflow rate",
			Formula: "gpd/ft² = MGD × 1,000,000 ÷ ft²", Units: "gpd/ft²", Source: sheets, Mark: formula.Memory,
		},
		{
			Quantity: "weir rate", Title: "Weir overflow rate",
			Formula: "gpd/ft = MGD × 1,000,000 ÷ ft of weir", Units: "gpd/ft", Source: sheets, Mark: formula.Memory,
		},
		{
			Quantity: "solids loading", Title: "Solids loading rate",
			Formula: "lb/(d·ft²) = MGD × mg/L × 8.34 ÷ ft²", Constants: []string{"8.34 lb per MG per mg/L"}, Units: "lb/(d·ft²)", Source: sheets, Mark: formula.Memory,
		},
		{
			Quantity: "organic loading", Title: "Organic loading rate",
			Formula: "lb/(d·1000 ft³) = MGD × mg/L × 8.34 ÷ (ft³ ÷ 1000)", Constants: []string{"8.34 lb per MG per mg/L"}, Units: "lb/d per 1000 ft³ of tank or media", Source: sheets, Mark: formula.Memory,
		},
	}
}
