package discharge

// laws are the definitions followed, by the permit's word for the statistic;
// they stand beside each figure. The marks say how the text is known: verified
// in a retrieved text, or from memory.
var laws = map[string]string{
	"average monthly":              "40 CFR 122.2, average monthly discharge: the sum of the daily discharges measured in the calendar month ÷ their number (verified)",
	"maximum weekly average":       "40 CFR 122.2, average weekly discharge: the sum of the daily discharges measured in the calendar week ÷ their number (verified); EPA DMR form instructions: the highest (verified)",
	"maximum daily":                "40 CFR 122.2, maximum daily discharge: the highest daily discharge of a calendar day, averaged over the day (verified)",
	"minimum daily":                "40 CFR 122.2, daily discharge, averaged over the day (verified); EPA DMR form instructions: the extreme of the period (verified)",
	"instantaneous maximum":        "EPA DMR form instructions: the extreme of all measurements of the period (verified)",
	"instantaneous minimum":        "EPA DMR form instructions: the extreme of all measurements of the period (verified)",
	"range":                        "EPA DMR form instructions: the extremes of all measurements of the period (verified)",
	"range continuous":             "40 CFR 401.17(a): outside the range at most 7 h 26 min in a calendar month, and no excursion longer than 60 min (from memory)",
	"geometric mean monthly":       "EPA DMR form instructions: geometric mean for bacteria (verified)",
	"geometric mean weekly":        "EPA DMR form instructions: geometric mean for bacteria (verified), per week as the permit states",
	"median 7 day":                 "Title 22 section 60301.230: the median of the last seven days for which analyses have been completed (verified)",
	"not more than one in 30 days": "Title 22 section 60301.230: not more than one sample above in any 30 days (verified)",
	"removal monthly minimum":      "40 CFR 133.101(j): percent removal from the 30-day average influent and effluent concentrations (verified)",
	"mass average monthly":         "40 CFR 122.2, daily discharge of a mass: the total mass discharged over the day; averaged over the month (verified)",
	"mass maximum weekly":          "40 CFR 122.2, daily discharge of a mass: the total mass discharged over the day; averaged over the calendar week (verified)",
	"mass maximum daily":           "40 CFR 122.2, daily discharge of a mass: the total mass discharged over the day; the highest (verified)",
	"one hour average":             "EPA recommended criteria: acute, one-hour average (verified); averaging time as in Oregon Table 30 (verified)",
	"four day average":             "EPA recommended criteria: chronic, four-day average (verified); averaging time as in Oregon Table 30 (verified)",
}

const percentileLaw = "EPA 2012 recreational criteria: a threshold not passed by more than the stated share of the samples (verified in a summary)"

func lawOf(statistic string) string {
	if s, ok := laws[statistic]; ok {
		return s
	}
	return percentileLaw
}
