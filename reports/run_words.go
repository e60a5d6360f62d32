package reports

import (
	"strings"

	"weirbook/analysis"
	"weirbook/analysis/finding"
	"weirbook/analysis/orp"
)

// kindName is a finding's kind as people write it: "ORP drift" for orp-drift.
func kindName(kind string) string {
	words := strings.Split(kind, "-")
	for i, w := range words {
		switch w {
		case "orp", "ct":
			words[i] = strings.ToUpper(w)
		}
	}
	return strings.Replace(strings.Join(words, " "), "e coli", "E. coli", 1)
}

// named is a finding with its subject as the plant description calls it: a
// basin or a point by its title, not by its key.
func named(r *analysis.Result, f finding.Finding) finding.Finding {
	if b := basinNamed(r, f.Subject); b != nil {
		f.Subject = b.Title
	} else if _, ok := r.Plant.Point(f.Subject); ok {
		f.Subject = r.Plant.Title(f.Subject)
	}
	return f
}

// inWords joins names as in a sentence.
func inWords(names []string) string {
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}

// untold leaves out of an event's evidence what its table of witnesses says.
func untold(f finding.Finding) []string {
	told := map[string]bool{}
	for _, v := range f.Votes {
		told[v.Witness+": "+v.Says] = true
	}
	var out []string
	for _, e := range f.Evidence {
		if !told[e] {
			out = append(out, e)
		}
	}
	return out
}

// modelWords is what must be known about a probe's model.
func modelWords(m orp.Model) string {
	if m.Place == orp.Final {
		return m.Tag + " stands past dechlorination: it is held against the final residual, and no relation to the basin's residual is drawn."
	}
	return m.Tag + ": " + m.Note + "."
}
