// Package discharge makes the monthly discharge summary: each line of the
// permit with its result, by the legal definition of its statistic.
//
// The route: gather.go turns tags into samples and daily values on the plant's
// calendar; day.go and week.go hold them; nondetect.go and censored.go say what
// a "<" counts for; one file per family of statistics (average.go, extreme.go,
// rolling.go, window.go, acidity.go) gives the figure; line.go holds it against
// its limit; round.go rounds it, once, at the end; month.go runs all of it.
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
