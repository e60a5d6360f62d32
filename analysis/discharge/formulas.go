package discharge

import "weirbook/analysis/formula"

// Formulas tells what this package computes.
func Formulas() []formula.Entry {
	return []formula.Entry{
		{
			Quantity: "average monthly", Title: "Average monthly discharge",
			Formula: "average = sum of the daily discharges measured in the calendar month ÷ how many were measured",
			Units:   "the parameter's own; a daily discharge is the average over the day, or its mass",
			Valid:   "days without discharge are not counted",
			Source:  "40 CFR 122.2", Mark: formula.Verified,
		},
		{
			Quantity: "weekly average", Title: "Maximum weekly average",
			Formula: "highest of: sum of the daily discharges measured in a calendar week ÷ how many were measured",
			Units:   "the parameter's own",
			Valid:   "which weeks that straddle two months count is the permit's choice",
			Source:  "40 CFR 122.2; EPA DMR form instructions", Mark: formula.Verified,
		},
		{
			Quantity: "geometric mean", Title: "Geometric mean of bacteria",
			Formula:   "geometric mean = (x1 · x2 · … · xn)^(1/n)",
			Constants: []string{"1 per 100 mL counts for a result of zero"},
			Units:     "per 100 mL",
			Source:    "EPA DMR form instructions", Mark: formula.Verified,
		},
		{
			Quantity: "removal", Title: "Percent removal",
			Formula: "removal = 100 × (1 − average effluent ÷ average influent)",
			Units:   "both averages of the month in mg/L; percent",
			Source:  "40 CFR 133.101(j)", Mark: formula.Verified,
		},
		{
			Quantity: "discharged mass", Title: "Mass of a day",
			Formula:   "lb/d = the day's mean MGD × the day's mg/L × 8.34\nkg/d = MGD × mg/L × 3.785411784",
			Constants: []string{"8.34 lb per MG per mg/L (trade factor)", "3.785411784 L per gallon, exact"},
			Units:     "MGD, mg/L, lb/d or kg/d",
			Valid:     "of a signal the flow-weighted mean of the day is taken",
			Source:    "40 CFR 122.2", Mark: formula.Verified,
		},
		{
			Quantity: "non-detects", Title: "Lognormal by maximum likelihood",
			Formula:   "maximise Σ log φ((ln x − μ)/σ)/σ over detected + Σ log Φ((ln limit − μ)/σ) over non-detects\nmean = exp(μ + σ²/2), geometric mean = exp μ",
			Constants: []string{"3 detected values at least (common practice, no source)"},
			Units:     "the parameter's own",
			Source:    "likelihood of censored data; advised by Helsel, Environmental Science & Technology 39, 2005", Mark: formula.Derived,
		},
		{
			Quantity: "non-detects", Title: "Kaplan–Meier mean",
			Formula: "from the largest down: share below x = Π (1 − detected at x ÷ results at or below x)\nmean = Σ x × share at x",
			Units:   "the parameter's own",
			Valid:   "what stays below the smallest detected value is put at the smallest number of all, so the mean leans high",
			Source:  "product-limit estimate turned round; advised by Helsel, Environmental Science & Technology 39, 2005", Mark: formula.Derived,
		},
		{
			Quantity: "acidity excursions", Title: "Continuous pH",
			Formula:   "minutes with a mean or a reading outside the range: 446 in a calendar month at most, 60 in one go, where the permit grants them; else none",
			Constants: []string{"446 min = 7 h 26 min", "60 min"},
			Units:     "pH by the minute; min",
			Source:    "40 CFR 401.17(a)", Mark: formula.Memory,
		},
		{
			Quantity: "rolling mean", Title: "Rolling mean of 7 or 30 days",
			Formula: "highest of: sum of the daily values of N days in a row ÷ how many were measured; geometric: (x1 · x2 · … · xn)^(1/n) of the results",
			Units:   "the parameter's own",
			Valid:   "spans that end in the month; one that begins before the exports is left out",
			Source:  "as the permit states", Mark: formula.Practice,
		},
		{
			Quantity: "seven-day median", Title: "Seven-day median of coliform bacteria",
			Formula: "median of the results of the last seven days that have one",
			Units:   "per 100 mL",
			Source:  "California Code of Regulations, Title 22, section 60301.230", Mark: formula.Verified,
		},
	}
}
