package analysis

import (
	"fmt"
	"math"
	"strings"

	"weirbook/analysis/contact"
	"weirbook/analysis/loading"
)

// statedSettings lists what the plant description states about instruments,
// basins and chemicals, with the models that stand behind it.
func (r *Result) statedSettings(add func(name, value, why string)) {
	for _, t := range r.Plant.Tags {
		if a := accuracy(t); a.Stated() {
			add(t.Name+".accuracy", accuracyText(t.Percent, t.Absolute, t.Working.Symbol), "tags.csv; taken as a 95 % band, the same error all through")
		}
	}
	for i := range r.Basins {
		b := &r.Basins[i]
		if b.VolumeAccuracy > 0 {
			add(b.Name+".volume_accuracy", fmt.Sprintf("± %g %%", b.VolumeAccuracy), "plant.toml")
		}
		if b.FactorAccuracy > 0 {
			add(b.Name+".contact_time_accuracy", fmt.Sprintf("± %g %%", b.FactorAccuracy), "plant.toml")
		}
	}
	for _, f := range r.Feeds {
		if !f.Gas() {
			s := loading.Strength{Value: f.Strength, As: loading.StrengthAs(f.StrengthAs), SpecificGravity: f.SpecificGravity}
			value := fmt.Sprintf("%g %s = %.4g g/L", f.Strength, f.StrengthAs, s.GramsPerLitre())
			why := "plant.toml; no decay in storage is taken"
			switch {
			case f.StrengthTag != "":
				why = "measured by " + f.StrengthTag + ", this where it says nothing"
			case len(f.Logged) > 0 && math.IsNaN(f.HalfLifeDays):
				why = fmt.Sprintf("plant.toml, until the first of %d deliveries or changes of tank in log.csv, and then as it says; no decay in storage is taken", len(f.Logged))
			case len(f.Logged) > 0:
				why = fmt.Sprintf("plant.toml and log.csv; halves in %g days from each of %d deliveries, each taken to fill an empty tank", f.HalfLifeDays, len(f.Logged)+len(f.Delivered))
			case len(f.Delivered) > 0:
				why = fmt.Sprintf("plant.toml, as delivered; halves in %g days from each of %d deliveries, each taken to fill an empty tank", f.HalfLifeDays, len(f.Delivered))
			case !math.IsNaN(f.HalfLifeDays):
				why = "plant.toml; half_life_days needs the days of delivery (delivered) to count from, so no decay is taken"
			}
			if f.StrengthAccuracy > 0 {
				value += fmt.Sprintf(" ± %g %%", f.StrengthAccuracy)
			}
			add(f.Name+".strength", value, why)
		}
		if !f.Chlorinates() {
			add(f.Name+".ratio", fmt.Sprintf("%.4g mg per mg chlorine", f.Ratio), fmt.Sprintf("%s; stoichiometric %.4g", f.RatioFrom, f.Stoichiometric))
		}
		switch {
		case len(f.Calibration) > 0:
			add(f.Name+".pump_calibration", fmt.Sprintf("%d points", len(f.Calibration)), "straight lines between, through zero below the first")
		case !math.IsNaN(f.FullStroke):
			add(f.Name+".full_stroke", fmt.Sprintf("%.4g %s at 100 %%", f.FullStroke, feedUnit(f)), "output in proportion to the setting")
		}
	}
	cs := contact.DefaultSettings()
	cs.MinCoverage = r.Plant.HourCoverage
	for _, s := range structSettings("contact.", cs) {
		add(s.Name, s.Value, "contact time and CT")
	}
	add("composite_period", compositePeriod.String(), "what a composite stands for; it ends at the result's time")
	add("least_ammonia", fmt.Sprintf("%g mg/L as N", leastAmmonia), "ratios to ammonia are not reckoned below it")
	for _, s := range structSettings("tank.", defaultTankSettings()) {
		add(s.Name, s.Value, "deliveries, and how long what is in store lasts")
	}
	if !r.oneTrain() {
		for _, s := range structSettings("mixture.", defaultMixtureSettings()) {
			add(s.Name, s.Value, "service of an analyser on the water of several trains")
		}
	}
	if len(r.Frame.notes) > 0 {
		for _, s := range structSettings("totaliser.", defaultTotaliserSettings()) {
			add(s.Name, s.Value, "flow from the readings of a totaliser")
		}
	}
}

func feedUnit(f Feed) string {
	if f.Gas() {
		return "lb/d"
	}
	return "gal/h"
}

// accuracyText writes an accuracy as tags.csv takes it.
func accuracyText(percent, absolute float64, unit string) string {
	var parts []string
	if percent > 0 {
		parts = append(parts, fmt.Sprintf("%g %% of reading", percent))
	}
	if absolute > 0 {
		parts = append(parts, fmt.Sprintf("%.4g %s", absolute, unit))
	}
	return "± " + strings.Join(parts, " + ")
}
