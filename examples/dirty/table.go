package main

import (
	"slices"
	"strings"
)

// line joins cells, with quotes where a cell needs them.
func (w *writer) line(cells ...string) string {
	out := make([]string, len(cells))
	for i, c := range cells {
		out[i] = c
		if strings.Contains(c, w.delimiter) || w.c["head"] == "quoted" || strings.Contains(c, "\n") {
			out[i] = `"` + c + `"`
		}
	}
	s := strings.Join(out, w.delimiter)
	if w.c["tail"] == "trailing delimiters" {
		s += w.delimiter
	}
	return s
}

// table lays the rows out, under what the crossing puts above them.
func (w *writer) table(rows []row) []string {
	var heading []string
	var body [][]string
	switch {
	case strings.HasPrefix(w.c["layout"], "long"):
		heading, body = w.long(rows)
	case strings.HasPrefix(w.c["layout"], "pairs"), w.c["layout"] == "own times":
		heading, body = w.pairs(rows)
	default:
		heading, body = w.wide(rows)
	}
	var lines []string
	for _, b := range body {
		lines = append(lines, w.line(b...))
	}
	if w.c["tail"] == "heading again" && len(lines) > 20 {
		lines = slices.Insert(lines, 20, w.line(heading...))
	}
	return append(w.above(heading), w.below(lines, len(heading))...)
}

// names of the tags' columns, with units where the crossing has them there.
func (w *writer) name(k int) string {
	if w.c["head"] == "units in heading" {
		return tags[k].name + " (" + tags[k].unit + ")"
	}
	return tags[k].name
}

func (w *writer) wide(rows []row) (heading []string, body [][]string) {
	heading = w.stampHead()
	for k := range tags {
		heading = append(heading, w.name(k))
		if w.eachQuality() {
			heading = append(heading, tags[k].name+" quality")
		}
	}
	if w.c["quality"] == "column of -1" {
		heading = append(heading, "Reactor Status")
	}
	for _, r := range rows {
		line := w.stamp(r.t)
		for k := range tags {
			line = append(line, r.cells[k])
			if w.eachQuality() {
				line = append(line, w.quality(r.bad[k]))
			}
		}
		if w.c["quality"] == "column of -1" {
			line = append(line, "-1")
		}
		body = append(body, line)
	}
	return heading, body
}

func (w *writer) long(rows []row) (heading []string, body [][]string) {
	first := w.c["layout"] == "long, value first"
	heading = append(w.stampHead(), "Tag", "Value")
	if first {
		heading = append(append([]string{"Value"}, w.stampHead()...), "Tag")
	}
	switch {
	case w.eachQuality():
		heading = append(heading, "Quality")
	case w.c["quality"] == "column of -1":
		heading = append(heading, "Reactor Status")
	}
	units := w.c["head"] == "units in heading" || w.c["head"] == "units row"
	if units {
		heading = append(heading, "Unit")
	}
	for _, r := range rows {
		for k, tag := range tags {
			line := append(w.stamp(r.t), tag.name, r.cells[k])
			if first {
				line = append(append([]string{r.cells[k]}, w.stamp(r.t)...), tag.name)
			}
			switch {
			case w.eachQuality():
				line = append(line, w.quality(r.bad[k]))
			case w.c["quality"] == "column of -1":
				line = append(line, "-1")
			}
			if units {
				line = append(line, tag.unit)
			}
			body = append(body, line)
		}
	}
	return heading, body
}

// pairs have a time of their own beside each value; "own times" have a row's time,
// too, and each value's is some seconds before it.
func (w *writer) pairs(rows []row) (heading []string, body [][]string) {
	after := w.c["layout"] != "pairs" // the time stands behind its value
	common := w.c["layout"] == "own times"
	if common {
		heading = w.stampHead()
	}
	for k := range tags {
		value := []string{w.name(k)}
		if w.eachQuality() {
			value = append(value, tags[k].name+" quality")
		}
		stamp := w.stampHead()
		if common {
			stamp = []string{"Time of " + tags[k].name}
			if len(w.stampHead()) == 2 {
				stamp = []string{"Date of " + tags[k].name, "Time of " + tags[k].name}
			}
		}
		if after {
			heading = append(append(heading, value...), stamp...)
		} else {
			heading = append(append(heading, stamp...), value...)
		}
	}
	for _, r := range rows {
		var line []string
		if common {
			line = w.stamp(r.t)
		}
		for k := range tags {
			value := []string{r.cells[k]}
			if w.eachQuality() {
				value = append(value, w.quality(r.bad[k]))
			}
			if after {
				line = append(append(line, value...), w.stamp(r.t)...)
			} else {
				line = append(append(line, w.stamp(r.t)...), value...)
			}
		}
		body = append(body, line)
	}
	return heading, body
}

func (w *writer) eachQuality() bool {
	return w.c["quality"] == "words" || w.c["quality"] == "192" || w.c["quality"] == "NULL"
}

func (w *writer) quality(bad bool) string {
	switch {
	case w.c["quality"] == "NULL":
		return "NULL"
	case w.c["quality"] == "192" && bad:
		return "0"
	case w.c["quality"] == "192":
		return "192"
	case bad:
		return "Bad"
	}
	return "Good"
}

// above puts the heading, and what stands around it, over the rows.
func (w *writer) above(heading []string) []string {
	head := w.line(heading...)
	switch w.c["head"] {
	case "title":
		return []string{"Hollow Creek WRF", "Trend export of the operator's station", "", head}
	case "units row":
		if strings.HasPrefix(w.c["layout"], "long") {
			return []string{head}
		}
		units := make([]string, len(heading))
		for i, h := range heading {
			for _, t := range tags {
				if h == t.name {
					units[i] = t.unit
				}
			}
		}
		return []string{head, w.line(units...)}
	case "hash line between":
		return []string{head, "# exported by the shift"}
	case "small table above":
		return []string{w.line("Time", "Note"), w.line("2026-06-09 08:00", "probe cleaned"), "", head}
	case "clock line":
		return []string{head, "# Times: America/Chicago"}
	case "no heading":
		return nil
	case "quoted over two lines":
		return []string{strings.Replace(head, "CL-7", "\"CL-7\"", 1)}
	}
	return []string{head}
}

// below puts what follows the rows under them.
func (w *writer) below(lines []string, columns int) []string {
	switch w.c["tail"] {
	case "average":
		foot := make([]string, columns)
		foot[0], foot[columns-1] = "Average", "12"
		lines = append(lines, w.line(foot...))
	case "end of report":
		lines = append(lines, "", "End of report")
	case "blank lines":
		lines = append(lines, "", "", "")
	case "cut short":
		last := lines[len(lines)-1]
		lines = append(lines[:len(lines)-1:len(lines)-1], last[:len(last)-len(last)/3])
	}
	return lines
}
