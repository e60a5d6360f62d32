// Command make writes the exports of the guide in examples/first-hour, from the
// folder that holds it: go run ./make
package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"log"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"weirbook/examples/simulate"
)

// The tags of the invented plant Heron Slough, in the order of its control system.
var tags = [][2]string{
	{simulate.TagInfluentFlow, "FT_100"}, {simulate.TagHypoFeed, "HYPO_PUMP"}, {simulate.TagTotal, "CCB_CL2"},
	{simulate.TagORPOutlet, "CCB_ORP"}, {simulate.TagPH, "CCB_PH"}, {simulate.TagTemperature, "CCB_TEMP"},
	{simulate.TagEffluentFlow, "FT_700"}, {simulate.TagSulfiteFeed, "SBS_PUMP"}, {simulate.TagFinal, "OUTFALL_CL2"},
}

var labTags = map[string]string{
	simulate.LabTotal: "CCB total chlorine", simulate.LabFinal: "Outfall total chlorine", simulate.LabEColi: "Outfall E. coli",
	simulate.LabTSSInfluent: "Influent TSS", simulate.LabTSSEffluent: "Outfall TSS",
}

func main() {
	loc, err := time.LoadLocation("America/Denver")
	if err != nil {
		log.Fatal(err)
	}
	at := func(d, h int) time.Time { return time.Date(2026, time.May, d, h, 0, 0, 0, loc) }
	plant := simulate.DefaultPlant(simulate.Nitrified)
	plant.Name, plant.HasAmmonia, plant.HasFree, plant.Probes = "Heron Slough", false, false, 1
	m, err := simulate.Run(simulate.Config{
		Name: "first hour", Seed: 4, Start: time.Date(2026, 5, 4, 0, 0, 0, 0, time.UTC), Days: 7, Zone: "America/Denver", Plant: plant,
		Events: []simulate.Event{
			{Start: at(8, 4), End: at(8, 11), Kind: simulate.FeedShort, Severity: simulate.Plain, Size: 0.6},
		},
	})
	if err != nil {
		log.Fatal(err)
	}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	head, units := []string{"Date/Time"}, []string{""}
	for _, t := range tags {
		head, units = append(head, t[1]), append(units, m.Tag(t[0]).Unit)
	}
	w.Write(head)
	w.Write(units)
	for i := 0; i < m.N; i += 5 {
		row := []string{m.Time(i).In(loc).Format("2006-01-02 15:04")}
		for _, t := range tags {
			tag := m.Tag(t[0])
			cell := ""
			if tag.Q[i] > simulate.Bad {
				cell = strconv.FormatFloat(tag.V[i], 'f', tag.Decimals, 64)
			}
			row = append(row, cell)
		}
		w.Write(row)
	}
	w.Flush()
	write("process-2026-05.csv", b.Bytes())
	b.Reset()
	w = csv.NewWriter(&b)
	w.Write([]string{"sampled", "analysis", "result", "unit"})
	for _, l := range m.Lab {
		if name := labTags[l.Tag]; name != "" {
			w.Write([]string{l.Time.Format("2006-01-02 15:04"), name, l.Qualifier + strconv.FormatFloat(l.Value, 'f', l.Decimals, 64), l.Unit})
		}
	}
	w.Flush()
	write("laboratory-2026-05.csv", b.Bytes())
}

func write(name string, body []byte) {
	p := filepath.Join("exports", name)
	if err := os.WriteFile(p, body, 0o666); err != nil {
		log.Fatal(err)
	}
	fmt.Println(p, len(body), "bytes")
}
