package reports

import (
	"time"

	"weirbook/analysis"
	"weirbook/analysis/upset"
	"weirbook/reports/chart"
	"weirbook/reports/page"
)

// maxLogMarks is how many entries of the plant's log a timeline marks; all stand
// in the list beside it.
const maxLogMarks = 4

// logBlocks tells what the plant's log says of a time.
func logBlocks(r *analysis.Result, from, to int64) []page.Block {
	var lines []string
	for _, e := range analysis.Logged(r.Plant, from, to) {
		lines = append(lines, analysis.LogLine(r.Plant, &e)+".")
	}
	if len(lines) == 0 {
		return nil
	}
	return []page.Block{page.Heading("The plant's log"), page.Points(lines...)}
}

// logMarks marks entries of the log in a timeline; none where there are too many
// to read.
func logMarks(r *analysis.Result, from, to int64) []chart.Mark {
	var out []chart.Mark
	for _, e := range r.Plant.Log {
		if t := e.From.UnixMilli(); t >= from && t < to {
			out = append(out, chart.Mark{At: t, Name: "log: " + e.Short()})
		}
	}
	if len(out) > maxLogMarks {
		return nil
	}
	return out
}

// notedMarks does the same for an upset.
func notedMarks(in *upset.Input, from, to int64) []chart.Mark {
	var out []chart.Mark
	for _, n := range in.Log {
		if n.Start >= from && n.Start < to {
			out = append(out, chart.Mark{At: n.Start, Name: "log: " + n.Short})
		}
	}
	if len(out) > maxLogMarks {
		return nil
	}
	return out
}

// monthLog is the month's part of the plant's log.
func monthLog(r *analysis.MonthResult) (page.Section, error) {
	s := page.Section{ID: "log", Title: "The plant's log", Lead: "As written in log.csv. What it says of an instrument's service is left out of the readings."}
	from := time.Date(r.Month.Year, r.Month.Month, 1, 0, 0, 0, 0, r.Plant.Zone)
	var lines []string
	for _, e := range analysis.Logged(r.Plant, from.UnixMilli(), from.AddDate(0, 1, 0).UnixMilli()) {
		lines = append(lines, analysis.LogLine(r.Plant, &e)+".")
	}
	if len(lines) > 0 {
		s.Blocks = []page.Block{page.Points(lines...)}
	}
	return s, nil
}
