// Package discharge makes the monthly discharge summary: each line of the
// permit with its result, by the legal definition of its statistic.
//
// The route: gather.go turns tags into results and daily values (day.go) on the
// plant's calendar (calendar.go); nondetect.go, single.go and censored.go say
// what a "<" counts for; compute.go chooses the statistic, and one file per
// family (average.go, extreme.go, rolling.go, window.go, acidity.go) gives the
// figure; judge.go rounds it (round.go), once, and holds it against its limit;
// frequency.go counts samples; month.go runs all of it into a Month.
//
// Definitions, 40 CFR 122.2: a daily discharge is the discharge of a calendar
// day, or of any 24 hours that fairly represent it for sampling; where the limit
// is a mass it is the mass of that day, otherwise the average over the day. The
// average monthly discharge is the sum of the daily discharges measured in the
// calendar month divided by how many were measured; weekly likewise.
//
// Nothing here decides: the permit, the laboratory and the responsible
// licensed operator do.
package discharge
