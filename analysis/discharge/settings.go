package discharge

import (
	"weirbook/analysis/loading"
	"weirbook/analysis/plant"
)

// Settings holds every number of this package that is not the permit's own.
// The summary prints them.
type Settings struct {
	// Factor turns MGD x mg/L into lb/d: 8.34, the trade's factor, so that a
	// reviewer can recompute. Results in kg/d use the exact 3.785411784.
	Factor float64
	// DayCover and HourCover are the shares of a day and an hour that a signal
	// must cover for their mean to be stated.
	DayCover, HourCover float64
	// AcidityTotalMin and AcidityLongestMin are the minutes that a continuously
	// measured pH may lie outside its range: in a calendar month in all, and in
	// one go. 40 CFR 401.17(a): 7 hours 26 minutes; 60 minutes.
	AcidityTotalMin, AcidityLongestMin float64
	// ScaleEnd and ScaleOver are shares of a signal's stated span: from so near
	// below its upper end, and up to so far above it, a reading is one of an
	// instrument at the end of its scale; ScaleMinutes of them make a day "at
	// least". Common practice, no source.
	ScaleEnd, ScaleOver, ScaleMinutes float64
	MinDetected                       int     // least number of detected values for maximum likelihood; common practice, no source
	CountFloor                        float64 // what a count of zero organisms counts for where a logarithm is taken
}

// DefaultSettings with the coverages of the plant.
func DefaultSettings(p *plant.Plant) Settings {
	return Settings{
		Factor:            float64(loading.Trade),
		DayCover:          p.DayCoverage,
		HourCover:         p.HourCoverage,
		AcidityTotalMin:   446,
		AcidityLongestMin: 60,
		ScaleEnd:          0.001,
		ScaleOver:         0.1,
		ScaleMinutes:      5,
		MinDetected:       3,
		CountFloor:        1,
	}
}
