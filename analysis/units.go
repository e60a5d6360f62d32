package analysis

import (
	"weirbook/analysis/export"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/screen"
)

// declaredUnits settles, for every tag, the unit its exported values are in: the
// one of tags.csv, else the export's own, else the kind's. Where an export calls
// an ORP a concentration it says what an ORP is; other differences between export
// and tags.csv are the reader's to tell.
func declaredUnits(p *plant.Plant, read *export.Result) (map[string]quantity.Unit, []screen.Message) {
	units := map[string]quantity.Unit{}
	var said []screen.Message
	written := map[string]string{}
	for _, i := range read.Tags {
		written[i.Name] = i.Unit
	}
	for _, t := range p.Tags {
		units[t.Name] = t.Unit
		w := written[t.Name]
		if w == "" || t.Measures == quantity.Other {
			continue
		}
		u, msg, err := screen.UnitFor(t.Name, t.Measures, w, "the export")
		switch {
		case msg != nil:
			msg.Line = t.Line
			said = append(said, *msg)
			if !t.HasUnit {
				units[t.Name] = u
			}
		case err != nil: // the reader says so, with the line
		case !t.HasUnit:
			units[t.Name] = u
		}
	}
	return units, said
}
