package simulate

import (
	"strings"
	"time"
)

// DemoPlant is the plant of the demo, Alder Flats: nitrified, two basin probes.
// Its description in examples/alder-flats says the same in the plant's words.
func DemoPlant() Plant { return DefaultPlant(Nitrified) }

// DemoConfig is the demo month: 28 February to 1 April 2026 at a minute, with
// the clock going forward on 8 March, one upset and one probe fault. The upset,
// on the 17th, is a failing nitrification: ammonia turns free chlorine into
// monochloramine, and the nitrite that comes with it uses up dose; the truth
// lists both causes. The fault is grease on the outlet ORP probe from the 22nd
// to its cleaning on the 26th. The seed changes noise and weather, not events.
func DemoConfig(seed uint64) Config {
	loc, err := time.LoadLocation("America/Denver")
	if err != nil {
		panic(err) // the zone data are embedded
	}
	at := func(d, h, min int) time.Time { return time.Date(2026, time.March, d, h, min, 0, 0, loc) }
	return Config{
		Name: "demo", Seed: seed, Start: time.Date(2026, time.February, 28, 0, 0, 0, 0, time.UTC), Days: 33,
		Zone: "America/Denver", Plant: DemoPlant(),
		Events: []Event{
			{Start: at(17, 5, 10), End: at(17, 15, 40), Kind: Ammonia, Severity: Plain, Size: 0.9},
			{Start: at(17, 6, 0), End: at(17, 14, 50), Kind: DemandSpike, Severity: Plain, Size: 3},
			{Start: at(22, 6, 0), End: at(26, 9, 40), Kind: ORPFouling, Severity: Plain, Size: 110, Subject: TagORPOutlet},
		},
	}
}

// TagsCSV is the tags.csv that fits the month: its tags, and those of the
// laboratory sheet.
func (m *Month) TagsCSV() string {
	rows := append([]Tag(nil), m.Tags...)
	seen := map[string]bool{}
	for _, l := range m.Lab {
		if !seen[l.Tag] {
			seen[l.Tag] = true
			rows = append(rows, Tag{Name: l.Tag, Measures: l.What, At: l.At, Unit: l.Unit, Reading: l.Reading, Note: labNote(l)})
		}
	}
	return tagsCSV(rows)
}

func labNote(l LabResult) string {
	words := []string{"laboratory"}
	if strings.HasPrefix(l.What, "chlorine") {
		words = append(words, "DPD")
	}
	return strings.Join(append(words, l.Reading), " ")
}

// SourceTags lists the tags that a system exports, in order.
func (m *Month) SourceTags(source string) []string {
	var out []string
	for i := range m.Tags {
		if m.Tags[i].Source == source {
			out = append(out, m.Tags[i].Name)
		}
	}
	return out
}
