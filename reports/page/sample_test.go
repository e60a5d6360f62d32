package page

import (
	"math"
	"time"
	_ "time/tzdata" // a machine without zone files must pass too

	"weirbook/analysis/finding"
	"weirbook/reports/chart"
	"weirbook/reports/table"
)

// drawnOnce keeps the pictures, which are the same for every test.
var drawnOnce = map[string][]byte{}

// samplePage is an invented plant's month, made only to be laid out: it has
// every kind of block.
func samplePage() *Page {
	zone, err := time.LoadLocation("America/Chicago")
	if err != nil {
		panic(err)
	}
	ms := func(d, h, m int) int64 { return time.Date(2026, 3, d, h, m, 0, 0, zone).UnixMilli() }
	upset := finding.Finding{Start: ms(19, 4, 46), End: ms(19, 10, 16), Kind: "ct-short", AtFault: finding.Process, Subject: "hypochlorite feed", Severity: finding.Critical,
		Confidence: 0.93, Summary: "CT fell to 3.1 of the required 15 mg·min/L after the hypochlorite feed stopped at 04:10.",
		Evidence: []string{"Feed fell from 160 to 8 lb/d at 04:10 while flow stayed at 4.3 MGD.", "Both ORP probes fell with the residual, by 74 and 69 mV, as a true fall would have them.",
			"The grab of 08:00 read 0.11 mg/L; the analyser read 0.10 mg/L at that minute."},
		CheckNext: []string{"Read the feed pump's fault log for 04:05 to 04:15.", "Check the day tank's level and suction strainer.", "Draw down the pump against its calibration column."},
		Cautions:  []string{"Hypochlorite burns: goggles, gloves, apron, and water within reach.", "Lock out and tag out the pump before opening it.", "The permit, the plant's own procedures and the licensed operator decide; this page only advises."}}
	probe := finding.Finding{Start: ms(18, 1, 10), End: ms(18, 10, 10), Kind: "orp-frozen", AtFault: finding.ORPProbe, Subject: "AIT-302", Severity: finding.Warning, Confidence: 0.85,
		Summary: "The basin ORP stood still at 636 mV for nine hours while the residual moved.", CheckNext: []string{"Compare with a hand-held probe in a cup of basin water."},
		Evidence: []string{"No change of more than 0.1 mV in 540 minutes; its usual is 3 mV a minute."}}
	gap := finding.Finding{Start: ms(14, 13, 0), End: ms(16, 15, 0), Kind: "gap", AtFault: finding.Data, Subject: "AIT-305", Severity: finding.Notice, Confidence: math.NaN(), Summary: "No ammonia readings for two days."}

	n := 2880
	t := chart.Times(ms(18, 0, 0), 60_000, n)
	flow, res := make([]float64, n), make([]float64, n)
	for i := range n {
		h := float64(i) / 60
		flow[i] = 4.6 + 1.4*math.Sin((h-8)/24*2*math.Pi) + 0.03*math.Sin(float64(i))
		res[i] = 1.55 + 0.1*math.Sin(h) + 0.02*math.Sin(float64(i)*1.7)
		if h > 28.7 && h < 34 {
			res[i] = 0.1 + 1.45*math.Exp(-(h-28.7)*1.5)
		}
	}
	tl := &chart.Timeline{Title: "18 and 19 March", Zone: zone, Start: ms(18, 0, 0), End: ms(20, 0, 0),
		Message: "Feed stopped at 04:10 on 19 March; residual fell below its minimum 40 minutes later and stayed there until 10:16.",
		Panels: []chart.Panel{{Name: "Flow", Unit: "MGD", Series: []chart.Series{{T: t, Y: flow}}, Include: []float64{0}},
			{Name: "Total residual", Unit: "mg/L", Series: []chart.Series{{T: t, Y: res}}, Include: []float64{0}, Limits: []chart.Limit{{Name: "minimum", Value: 0.5}}}},
		Spans: []chart.Span{{From: upset.Start, To: upset.End, Name: "CT short"}}, Marks: []chart.Mark{{At: ms(19, 4, 10), Name: "feed stopped", First: true}}}
	grid := &chart.DayHour{Title: "Hours in which CT was met", Zone: zone}
	for h := ms(1, 0, 0); h < ms(32, 0, 0); h += 3600_000 {
		st := chart.Met
		switch {
		case h >= ms(19, 4, 0) && h < ms(19, 11, 0):
			st = chart.Short
		case h >= ms(14, 13, 0) && h < ms(14, 22, 0):
			st = chart.NotDetermined
		case h%(41*3600_000) == 0:
			st = chart.Near
		}
		grid.Hours = append(grid.Hours, chart.HourState{Start: h, State: st})
	}
	picture := func(file, caption string, c chart.Chart) Picture {
		data, ok := drawnOnce[file]
		if !ok {
			var err error
			if data, err = chart.PNG(c); err != nil {
				panic(err)
			}
			drawnOnce[file] = data
		}
		return Picture{File: file, PNG: data, Alt: c.Alt(), Caption: caption}
	}
	loads := &table.Table{Caption: "Loads, dose and chemical by day", Notes: []string{"n.d.: not determined, less than 75 % of the day covered. Pounds by MGD × mg/L × 8.34."},
		Columns: []table.Column{{Name: "Day"}, {Name: "Water", Unit: "MG"}, {Name: "Chlorine fed", Unit: "lb"}, {Name: "Dose", Unit: "mg/L"}, {Name: "Residual load", Unit: "lb/d"}, {Name: "Demand", Unit: "mg/L"}, {Name: "Bisulfite", Unit: "gal"}, {Name: "Lowest CT", Unit: "mg·min/L"}, {Name: "Coverage", Unit: "%"}}}
	for d := 14; d < 21; d++ {
		ct := table.Num(21.4-float64(d%3), 1)
		if d == 19 {
			ct = table.Num(3.1, 1).Bold().To("#event-1")
		}
		if d == 14 {
			ct = table.NA("n.d.")
		}
		loads.Rows = append(loads.Rows, []table.Cell{table.When(time.Date(2026, 3, d, 0, 0, 0, 0, zone), "Mon 2 Jan"), table.Num(4.61+0.1*float64(d%4), 2), table.Num(158.2, 1), table.Num(4.1, 2), table.Num(59.7, 1), table.Num(2.55, 2), table.Num(31, 0), ct, table.Num(99.2, 1)})
	}
	event := EventOf(upset, zone, "event-1", "19 March: CT short after the feed stopped", picture("charts/event-1.png", "Feed stopped at 04:10; the residual followed 40 minutes later, one contact time.", tl))
	event.RuledOut = []string{"Flow stayed within its usual range (coverage 100 %).", "Ammonia stayed below 0.4 mg/L (coverage 97 %)."}
	return &Page{
		Kind: "Disinfection report", Plant: "Alder Creek (invented)", Period: "1 to 31 March 2026, plant clock CST until 8 March, then CDT",
		Verdict: Verdict{Standing: Bad, Word: "short for 6 hours",
			Sentences: []string{"CT was met in 728 of the 734 hours in which it could be determined; it was short for 6 hours on 19 March.",
				"The hypochlorite feed stopped at 04:10 and the residual fell with it; grabs and both ORP probes agree, so the readings behind this can be trusted.",
				"On 18 March the basin ORP probe stood still for 9 hours; that is the probe, not the water."},
			Figures: []Figure{
				{Name: "CT met", Value: "728 of 734", Unit: "h", Standing: Bad, Word: "6 h short", Note: "9 h not determined"},
				{Name: "Lowest CT", Value: "3.1", Unit: "mg·min/L", Standing: Bad, Word: "required: 15", Note: "19 March 09:00"},
				{Name: "ORP and residual disagreed", Value: "9", Unit: "h", Standing: Watch, Word: "ORP probe at fault"},
				{Name: "Highest final residual", Value: "0.04", Unit: "mg/L", Standing: Good, Word: "limit: 0.10"},
				{Name: "E. coli, geometric mean", Value: "n.d.", Unit: "", Standing: Unknown, Note: "no sheet for March"},
				{Name: "Water treated", Value: "142.6", Unit: "MG"},
				{Name: "Chlorine used", Value: "4,871", Unit: "lb", Note: "34.2 lb per MG"}}},
		Sections: []Section{
			{ID: "glance", Title: "The month at a glance", Lead: "Each cell is one hour of the plant's clock; CT is held against 15 mg·min/L.", Blocks: []Block{Chart(picture("charts/glance.png", "One bad night, otherwise steady.", grid))}},
			{ID: "attention", Title: "What needs attention", Blocks: []Block{Findings([]FindingRow{Row(upset, zone, "event-1"), Row(probe, zone, ""), Row(gap, zone, "")})}},
			{ID: "events", Title: "Each event", Blocks: []Block{OneEvent(event)}},
			{ID: "loads", Title: "Loads, dose and chemical", Blocks: []Block{Table(loads), Heading("What the month used"), Points("4,871 lb of chlorine", "961 gal of bisulfite")}},
			{ID: "method", Title: "How it was computed", Blocks: []Block{Text("Hours are the plant's own; an hour counts when at least 75 % of it is covered."),
				Facts(Fact{"CT", "lowest residual of the hour × T10 at its peak flow", "steady method"}, Fact{"Pounds", "MGD × mg/L × 8.34", "trade's factor"}, Fact{"exports/2026-03.csv", "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08", "SHA-256"})}},
			{ID: "cautions", Title: "Cautions, and who decides", Blocks: []Block{Cautions("The permit, local codes, the plant's own procedures and the licensed operator decide.", "Readings may be wrong in ways that no export shows."), Steps("Read the verdict.", "Go and look."), Blanks("Prepared by, date", "Responsible operator, licence number, date")}},
		},
		Foot: "Made by weirbook.",
	}
}
