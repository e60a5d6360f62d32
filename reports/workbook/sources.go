package workbook

import (
	"fmt"
	"math"
	"strings"

	"weirbook/analysis/discharge"
)

// sources tells what the figures rest on: rules, definitions, tags, files.
func (k *writer) sources() {
	s, m := Sources, k.m
	k.width(s, 26, 18, 16, 12, 12, 11, 11, 34, 17, 26)
	k.text(s, 1, 1, "Sources and settings, "+m.Name(), "big")
	row := 3
	head := func(words ...string) {
		for i, w := range words {
			k.text(s, i+1, row, w, "head")
		}
		k.height(s, row, 28)
		row++
	}
	wide := func(t string) {
		k.do(k.f.MergeCell(s, cell(1, row), cell(10, row)))
		k.text(s, 1, row, t, "wrap")
		k.height(s, row, float64(13*rowsOf(t, 190)+2))
		row++
	}
	k.text(s, 1, row, "Rules and settings", "bold")
	row++
	for _, r := range m.Rules {
		wide("• " + r)
	}
	row++
	k.text(s, 1, row, "Definitions followed", "bold")
	row++
	seen := map[string]bool{}
	for _, l := range m.Lines {
		if !seen[l.Statistic] {
			seen[l.Statistic] = true
			wide("• " + l.Statistic + ": " + l.Law)
		}
	}
	row++
	k.text(s, 1, row, "Where the limits stand", "bold")
	row++
	for _, l := range m.Lines {
		if l.ForPlant && l.Part != "highest" && l.Part != "longest excursion" {
			src := l.Limit.Source
			if src == "" {
				src = "no source stated"
			}
			wide(fmt.Sprintf("• %s, %s, %s: plant.toml line %d; %s", l.Parameter, l.Point, l.Statistic, l.Limit.Line, src))
		}
	}
	row++
	k.text(s, 1, row, "Tags that the month rests on", "bold")
	row++
	head("Tag", "Measures", "At", "Unit", "Kind", "Readings", "Used", "Left out", "Hours covered", "Days whole / in part / not determined")
	for _, t := range m.Sources {
		k.source(row, t)
		row++
	}
	row++
	k.text(s, 1, row, "Files read", "bold")
	row++
	for _, in := range k.b.Inputs {
		wide("• " + in.Name + "    SHA-256 " + in.SHA256)
	}
	wide("Made by Weirbook " + k.b.Version + " from plant.toml and tags.csv of " + m.Plant + ".")
	row++
	k.text(s, 1, row, "Cautions", "bold")
	row++
	for _, c := range m.Cautions {
		wide("• " + c)
	}
	k.area(s, 0, row-1, 10)
}

func (k *writer) source(row int, t discharge.Source) {
	s := Sources
	for i, w := range []string{t.Tag, t.Measures, t.At, t.Unit, t.Reading} {
		k.text(s, i+1, row, w, "box wrap")
	}
	k.number(s, 6, row, float64(t.Readings), "box d0")
	k.number(s, 7, row, float64(t.Used), "box d0")
	var left []string
	for _, c := range t.LeftOut {
		left = append(left, fmt.Sprintf("%d %s", c.N, c.Reason))
	}
	if len(left) == 0 {
		left = []string{"none"}
	}
	k.text(s, 8, row, strings.Join(left, ", "), "box wrap")
	hours, days := "–", "–"
	if !math.IsNaN(t.Hours) {
		hours = fmt.Sprintf("%.1f of %.0f", t.Hours, t.HoursOf)
		days = fmt.Sprintf("%d / %d / %d", t.DaysWhole, t.DaysPart, t.DaysShort)
	}
	k.text(s, 9, row, hours, "box right")
	k.text(s, 10, row, days, "box right")
}
