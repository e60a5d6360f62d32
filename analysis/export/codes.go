package export

import (
	"fmt"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/merge"
	"weirbook/analysis/export/rule"
)

// settleCodes settles how quality numbers are meant, by all of them.
func (r *reader) settleCodes(t *table, p *merge.PassResult) (again bool) {
	if (t.src == nil || t.src.QualityCodes == "") && t.F.HasQuality && cell.MixedCodes(p.Codes) {
		t.F.ByTag, t.F.CodesSure = true, true
		return true
	}
	c, sure := cell.GuessCodes(p.Codes)
	if !t.F.HasQuality || t.F.CodesSure || !sure {
		return false
	}
	again = c != t.F.Codes
	t.F.Codes, t.F.CodesSure = c, true
	return again
}

// settleTagCodes settles the same of each tag in a file whose quality numbers are of
// several kinds.
func (r *reader) settleTagCodes(t *table, p *merge.PassResult) (again bool) {
	f := t.F
	if !f.ByTag {
		return false
	}
	f.TagCodes = map[string]cell.QualityCodes{}
	kinds := map[cell.QualityCodes][]string{}
	var open []string
	for _, name := range lex.SortedKeys(p.TagCodes) {
		c, sure := cell.GuessTagCodes(p.TagCodes[name])
		f.TagCodes[name] = c
		kinds[c] = append(kinds[c], name)
		if !sure {
			open = append(open, name)
		}
	}
	var words []string
	for c, named := range cell.QualityCodeNames {
		if tags := kinds[cell.QualityCodes(c)]; len(tags) > 0 && cell.QualityCodes(c) != cell.CodesUnknown {
			words = append(words, named+" of "+tagsNamed(tags))
		}
	}
	q := ledger.Question{Key: "quality_codes", Values: []string{"opc-da", "opc-ua", "zero-good", "one-good"}}
	text := "the quality numbers are of several kinds; taken as " + strings.Join(words, ", ") + `. If that is wrong, export each kind to a file of its own and write quality_codes for it under [[source]] in plant.toml`
	if len(open) > 0 {
		text += "; nothing tells how those of " + tagsNamed(open) + " are meant"
	}
	r.ask(ledger.Warning, t.M.Name, 0, q, text)
	return true
}

// badAsked is the share of a table's readings from which on it is asked whether what
// makes them bad is a quality. Our choice.
const badAsked = 0.1

// badRows is how many rows a tag must have for its bad ones to be asked about. Our choice.
const badRows = 4

// badQuality asks about qualities that do not tell how they are meant, or that make a
// good part of the table bad, or nearly all of a tag.
func (r *reader) badQuality(t *table) {
	m := t.M.Name
	if t.F.HasQuality && !t.F.CodesSure {
		r.ask(ledger.Warning, m, 0, ledger.Question{Key: "quality_codes", Values: []string{"opc-da", "opc-ua", "zero-good", "one-good"}}, t.F.CodesQuestion())
	}
	if used, bad := r.badShare(t); t.F.HasQuality && float64(bad) > badAsked*float64(used) {
		r.ask(ledger.Warning, m, 0, ledger.Question{Key: "quality_column", Values: []string{rule.NoQuality}}, t.F.BadQuestion(bad, used))
		return
	}
	var tags []string
	for _, k := range t.Tracks {
		if k.Spec.Ruled && t.F.Codes != cell.CodesUnknown && k.Led.Used >= badRows && 2*k.Led.Bad > k.Led.Used {
			tags = append(tags, k.Spec.Name)
		}
	}
	if len(tags) > 0 {
		r.ask(ledger.Warning, m, 0, ledger.Question{Key: "quality_codes", Values: []string{"opc-da", "opc-ua", "zero-good", "one-good"}},
			fmt.Sprintf("by the quality numbers, read as %s, most readings of %s are bad and not used in any mean. If they are good, the numbers of these tags are of another kind: export them to a file of their own and write quality_codes for it under [[source]] in plant.toml", cell.QualityCodeNames[t.F.Codes], tagsNamed(tags)))
	}
}

// badShare counts the readings of a table's tags, and those with bad quality.
func (r *reader) badShare(t *table) (used, bad int) {
	for _, k := range t.Tracks {
		if k != nil {
			used += k.Led.Used
			bad += k.Led.Bad
		}
	}
	return used, bad
}
