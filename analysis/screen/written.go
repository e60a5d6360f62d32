package screen

import (
	"fmt"

	"weirbook/analysis/quantity"
)

// UnitFor settles the unit of a tag from the unit that an export or tags.csv
// writes beside it, before any value is read. where names the place, such as
// "aeration.csv:2" or "tags.csv:7".
//
// ORP is a potential and only ever mV or V. An export that calls it mg/L, ppm
// or % has mislabelled it: it is read as mV, and the message says so. Every
// other unit that does not fit the kind is an error, because the values would
// mean something else.
func UnitFor(tag string, kind quantity.Kind, written, where string) (quantity.Unit, *Message, error) {
	u, err := quantity.ParseUnit(written)
	if err != nil {
		return quantity.Unit{}, nil, fmt.Errorf("%s: tag %s: %w", where, tag, err)
	}
	if kind == quantity.ORP && u.Dimension != quantity.Potential {
		return quantity.MustUnit("mV"), &Message{
			Tag: tag, Defect: Unit,
			Text: fmt.Sprintf("%s: tag %s: ORP is written under %s, but ORP is a potential and no concentration; it is read as mV", where, tag, nameOr(u.Symbol, "no unit")),
			Next: "correct the heading in the export; if the tag is a residual after all, set measures in tags.csv",
		}, nil
	}
	if _, err := quantity.Accept(kind, u); err != nil {
		if u.Dimension == quantity.Potential {
			return u, nil, fmt.Errorf("%s: tag %s: %w; a tag in %s is an ORP probe or a raw signal: check measures in tags.csv", where, tag, err, u.Symbol)
		}
		return u, nil, fmt.Errorf("%s: tag %s: %w", where, tag, err)
	}
	return u, nil, nil
}

func nameOr(s, none string) string {
	if s == "" {
		return none
	}
	return s
}
