package discharge

// statistic is one word of the permit: the definition followed, the spreadsheet's
// function over the cells of its days, results or weeks where one does it, and how
// it is computed.
type statistic struct {
	word  string
	law   string // marks: verified in a retrieved text, or from memory
	sheet string // empty: none does
	run   func(j *job, part int)
}

// statistics are those of plant.Statistics, each once; tests hold the two together.
var statistics = []statistic{
	{"average monthly",
		"40 CFR 122.2, average monthly discharge: the sum of the daily discharges measured in the calendar month ÷ their number (verified)",
		"AVERAGE", func(j *job, part int) { j.averageMonthly() }},
	{"maximum weekly average",
		"40 CFR 122.2, average weekly discharge: the sum of the daily discharges measured in the calendar week ÷ their number (verified); EPA DMR form instructions: the highest (verified)",
		"MAX", func(j *job, part int) { j.maximumWeekly(arithmetic) }},
	{"maximum daily",
		"40 CFR 122.2, maximum daily discharge: the highest daily discharge of a calendar day, averaged over the day (verified)",
		"MAX", func(j *job, part int) { j.extremeDaily(false) }},
	{"minimum daily",
		"40 CFR 122.2, daily discharge, averaged over the day (verified); EPA DMR form instructions: the extreme of the period (verified)",
		"MIN", func(j *job, part int) { j.extremeDaily(true) }},
	{"instantaneous maximum",
		"EPA DMR form instructions: the extreme of all measurements of the period (verified)",
		"MAX", func(j *job, part int) { j.instantaneous(false) }},
	{"instantaneous minimum",
		"EPA DMR form instructions: the extreme of all measurements of the period (verified)",
		"MIN", func(j *job, part int) { j.instantaneous(true) }},
	{"range",
		"EPA DMR form instructions: the extremes of all measurements of the period (verified)",
		"", func(j *job, part int) { j.rangeOf(part == 0) }},
	{"range continuous",
		"40 CFR 401.17(a): outside the range at most 7 h 26 min in a calendar month, and no excursion longer than 60 min (from memory)",
		"", func(j *job, part int) { j.acidity(part == 1) }},
	{"geometric mean monthly",
		"EPA DMR form instructions: geometric mean for bacteria (verified)",
		"GEOMEAN", func(j *job, part int) { j.geometricMonthly() }},
	{"geometric mean weekly",
		"EPA DMR form instructions: geometric mean for bacteria (verified), per week as the permit states",
		"MAX", func(j *job, part int) { j.maximumWeekly(geometric) }},
	{"median 7 day",
		"Title 22 section 60301.230: the median of the last seven days for which analyses have been completed (verified)",
		"", func(j *job, part int) { j.medianSevenDay() }},
	{"not more than one in 30 days",
		"Title 22 section 60301.230: not more than one sample above in any 30 days (verified)",
		"", func(j *job, part int) { j.oneIn30() }},
	{"removal monthly minimum",
		"40 CFR 133.101(j): percent removal from the 30-day average influent and effluent concentrations (verified)",
		"", func(j *job, part int) { j.removal() }},
	{"mass average monthly",
		"40 CFR 122.2, daily discharge of a mass: the total mass discharged over the day; averaged over the month (verified)",
		"AVERAGE", func(j *job, part int) { j.massAverage() }},
	{"mass maximum weekly",
		"40 CFR 122.2, daily discharge of a mass: the total mass discharged over the day; averaged over the calendar week (verified)",
		"MAX", func(j *job, part int) { j.massWeekly() }},
	{"mass maximum daily",
		"40 CFR 122.2, daily discharge of a mass: the total mass discharged over the day; the highest (verified)",
		"MAX", func(j *job, part int) { j.massDaily() }},
	{"one hour average",
		"EPA recommended criteria: acute, one-hour average (verified); averaging time as in Oregon Table 30 (verified)",
		"MAX", func(j *job, part int) { j.oneHour() }},
	{"four day average",
		"EPA recommended criteria: chronic, four-day average (verified); averaging time as in Oregon Table 30 (verified)",
		"", func(j *job, part int) { j.fourDay() }},
	{"rolling 7 day average",
		"the highest mean of so many calendar days in a row that end in the month, of the daily values measured in them; as the permit states (common practice, no source)",
		"", func(j *job, _ int) { j.rolling() }},
	{"rolling 30 day average",
		"the highest mean of so many calendar days in a row that end in the month, of the daily values measured in them; as the permit states (common practice, no source)",
		"", func(j *job, _ int) { j.rolling() }},
	{"rolling 7 day geometric mean",
		"the highest geometric mean of so many calendar days in a row that end in the month, of the daily values measured in them; as the permit states (common practice, no source)",
		"", func(j *job, _ int) { j.rolling() }},
	{"rolling 30 day geometric mean",
		"the highest geometric mean of so many calendar days in a row that end in the month, of the daily values measured in them; as the permit states (common practice, no source)",
		"", func(j *job, _ int) { j.rolling() }},
	{"average quarterly",
		"the sum of the daily discharges measured in the calendar period ÷ their number, as 40 CFR 122.2 has it for a month; the permit states the period (from memory)",
		"", func(j *job, _ int) { j.overMonths() }},
	{"average annual",
		"the sum of the daily discharges measured in the calendar period ÷ their number, as 40 CFR 122.2 has it for a month; the permit states the period (from memory)",
		"", func(j *job, _ int) { j.overMonths() }},
	{"geometric mean quarterly",
		"the geometric mean of the results of the calendar period; the permit states the period (from memory)",
		"", func(j *job, _ int) { j.overMonths() }},
}

// percentile is that of every word "percentile 90".
var percentile = statistic{
	law: "EPA 2012 recreational criteria: a threshold not passed by more than the stated share of the samples (verified in a summary)",
	run: func(j *job, _ int) { j.percentile() },
}

func statisticOf(word string) statistic {
	for _, s := range statistics {
		if s.word == word {
			return s
		}
	}
	return percentile
}

// SheetFunction is the spreadsheet function that makes a statistic of the cells it
// is made of; empty where none does.
func SheetFunction(word string) string { return statisticOf(word).sheet }
