package layout

import (
	"fmt"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/sample"
)

// rawWords stand in the headings of what an instrument's input card counted,
// beside the value that was made of it.
var rawWords = lex.Set("raw", "count", "counts", "cnt", "cnts", "adc", "bits", "ma", "milliamp", "milliamps", "volts", "vdc", "unscaled", "rohwert")

// valueWords stand in the headings of the value meant.
var valueWords = lex.Set("value", "val", "pv", "eng", "eu", "engineering", "scaled", "reading", "result", "converted", "final", "wert", "messwert")

// oneOfNumbers picks the value among several columns of numbers beside a column
// of tags; -1 where their headings do not tell.
func (f *Layout) oneOfNumbers(cols []int) int {
	raw, meant := -1, -1
	nRaw, nMeant := 0, 0
	for _, k := range cols {
		isRaw, isMeant := false, false
		for _, w := range strings.FieldsFunc(strings.ToLower(f.Cols[k].Head), func(r rune) bool { return strings.ContainsRune(" ._-/()[]", r) }) {
			isRaw = isRaw || rawWords[w]
			isMeant = isMeant || valueWords[w]
		}
		switch {
		case isRaw:
			raw = k
			nRaw++
		case isMeant:
			meant = k
			nMeant++
		}
	}
	switch {
	case nMeant == 1:
		return meant
	case nMeant == 0 && nRaw == len(cols)-1:
		for _, k := range cols {
			if k != raw && !f.rawHead(k) {
				return k
			}
		}
	}
	return -1
}

func (f *Layout) rawHead(k int) bool {
	for _, w := range strings.Fields(strings.ToLower(f.Cols[k].Head)) {
		if rawWords[w] {
			return true
		}
	}
	return false
}

// scaledBeside looks for a column of scaled values beside one that is just headed
// "Value": that one is raw, then.
func (f *Layout) scaledBeside(c *sample.Candidate, value, tag int) int {
	if value < 0 {
		return value
	}
	for k := range f.Cols {
		q := &c.Kinds[k]
		if k == value || k == tag || f.Cols[k].Role != RoleSkip || q.Number*2 <= q.Full() {
			continue
		}
		for _, w := range strings.Fields(strings.ToLower(f.Cols[k].Head)) {
			if w == "eng" || w == "engineering" || w == "scaled" || w == "converted" {
				f.Note(ledger.Note, f.Skip, "of the numbers in %s, the value is taken from column %q. If that is wrong, write value_column under [[source]] in plant.toml", columnsNamed([]string{f.label(value), f.label(k)}), f.label(k))
				return k
			}
		}
	}
	return value
}

// valueAmong picks the value among the columns of numbers beside the tags; -1
// where the table is none of a row per reading, or does not tell.
func (f *Layout) valueAmong(c *sample.Candidate, tag int, numbers []int, guessed bool) int {
	if len(numbers) == 1 {
		return numbers[0]
	}
	if len(numbers) == 0 || guessed {
		return -1
	}
	head := cell.Bare(f.Cols[tag].Head)
	perReading := c.RepeatsTimes(tag)
	if !perReading && !strings.Contains(head, "tag") && !strings.Contains(head, "point") {
		return -1
	}
	var heads []string
	for _, k := range numbers {
		heads = append(heads, f.label(k))
	}
	if k := f.oneOfNumbers(numbers); k >= 0 {
		f.Note(ledger.Note, f.Skip, "of the numbers in %s, the value is taken from column %q. If that is wrong, write value_column under [[source]] in plant.toml", columnsNamed(heads), f.label(k))
		return k
	}
	if !perReading {
		return -1
	}
	if sample.PlaceHeads[head] {
		f.Note(ledger.Warning, f.Skip, "column %q holds several words at one time, but each of %s is read as one tag, so that rows of one time contradict one another. Export a file for each of these words", f.label(tag), columnsNamed(heads))
		return -1
	}
	f.refused = &Refusal{fmt.Sprintf("%s hold numbers beside the tags of column %q, and no heading says which one is the value. Write value_column = %q, or another of them, for the file under [[source]] in plant.toml",
		columnsNamed(heads), f.label(tag), heads[0]), ledger.Question{Key: "value_column", Values: heads}}
	return -1
}
