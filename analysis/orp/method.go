package orp

import (
	"fmt"

	"weirbook/analysis/formula"
)

// Method says how the judgement works, for the report, with the settings used by
// default. METHOD.md has the equations at length.
func Method() []string {
	s := DefaultSettings()
	return []string{
		fmt.Sprintf("Health first: a signal that stands still is told by its own usual movement or, where it is stored on change, by at least %.0f changes that did not come; tags that stop or fall silent together are their link's; flat tops, noise and short dips for service are told apart.",
			s.MissedChanges),
		fmt.Sprintf("What a probe should read is fitted to the plant's own record: millivolts against the logarithm of the chlorine that counts, pH and temperature, held towards %.0f ± %.0f mV a decade where the record tells little.",
			s.Law.PriorSlope, s.Law.PriorSlopeSD),
		"Each line of evidence (reading less expectation, total over free, dose less residual, ammonia, flow over influent flow) wanders by itself; its wander is learned and only the part that could not be foreseen counts.",
		fmt.Sprintf("Explanations compete: each is given its best size and charged for what every witness then cannot explain; a verdict needs a log-likelihood ratio of %.0f within hours or %.0f over days, and its confidence is how often such verdicts were right on invented plants.",
			s.EnterFast, s.EnterSlow),
		fmt.Sprintf("Demand is held against the hours just before, and such contrasts against the largest of the plant's own days (Gumbel's distribution, %.1f scales).", s.ContrastScales),
		fmt.Sprintf("Alarms are \"sure\" or \"likely\". What rests on slow evidence that no other witness has confirmed is \"look\"; what nothing confirms anew within %d hours ends.", s.ConfirmH),
	}
}

// Formulas tells what this package computes, for explain and the report.
func Formulas() []formula.Entry {
	return []formula.Entry{
		{
			Quantity: "orp expected", Title: "What an ORP probe should read",
			Formula:   "E = a + b log10(C + 0.03) + q (log10 C − usual)² + c (pH − usual) + d (T − usual)",
			Constants: []string{"b is held towards 60 ± 25 mV a decade", "30 mV a decade is Nernst's slope for two electrons near 25 °C"},
			Units:     "E mV, C mg/L as Cl2 (HOCl of the free chlorine where it is measured), T °C",
			Valid:     "only for the probe and plant it was fitted to; ORP is not a concentration",
			Source:    "Huber, Robust Statistics, 1981, section 7.8 (the fit); the form and the prior are common practice", Mark: formula.Practice,
		},
		{
			Quantity: "orp innovation", Title: "What could not be foreseen of a wandering signal",
			Formula: "e(t) = y(t) − Σ x_j(t), x_j(t+1) = φ_j (x_j(t) + k_j e(t)), φ_j = exp(−Δt/τ_j)",
			Units:   "of the signal; time constants 0.5, 2, 8 and 32 h",
			Source:  "Kalman, J. Basic Engineering 82, 1960", Mark: formula.Memory,
		},
		{
			Quantity: "likelihood ratio", Title: "Is a change of a given shape there",
			Formula: "Λ = (Σ g e / s²)² ÷ (2 Σ g² / s²)",
			Units:   "log-likelihood; g is the shape after the filter, e the innovations, s their standard deviation",
			Source:  "Willsky and Jones, IEEE Trans. Automatic Control 21, 1976", Mark: formula.Memory,
		},
		{
			Quantity: "contrast", Title: "A sudden change against the plant's own days",
			Formula:   "x = mean of the next 2 h − mean of the 4 h that ended 1 h before\nalarm over μ + 6.2 β, β = (q75 − q25) ÷ 1.5725, μ = q50 − 0.3665 β of the daily largest x",
			Constants: []string{"1.5725 and 0.3665 are Gumbel's quartiles, −ln(−ln p)"},
			Units:     "mg/L", Source: "Gumbel, Statistics of Extremes, 1958", Mark: formula.Derived,
		},
		{
			Quantity: "cusum", Title: "Cumulative sum of grabs against the analyser",
			Formula: "S = max(0, S + z − k), alarm over h",
			Units:   "z natural logarithm of analyser over grab, each step bounded",
			Source:  "Page, Biometrika 41, 1954", Mark: formula.Memory,
		},
	}
}
