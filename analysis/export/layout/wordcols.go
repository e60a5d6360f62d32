package layout

import (
	"strings"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/sample"
)

// wordsNameTags decides what a column of words beside one column of numbers is
// where no heading says: the names of tags, or something that stood beside the
// one tag that the numbers' heading names ("Residual mg/L, Mode").
func (f *Layout) wordsNameTags(c *sample.Candidate, words, number int) bool {
	head := f.Cols[number].Head
	if head == "" || f.Cols[words].Head == "" {
		return true
	}
	if c.RepeatsTimes(words) {
		return true
	}
	if _, unit := sample.SplitUnit(head); unit != "" || endsInUnit(head) || len(sample.TagWords(head)) > 0 {
		return false
	}
	return c.LikeTags(words) > 0.5
}

// endsInUnit finds a unit behind a heading's last blank: "Residual mg/L".
func endsInUnit(head string) bool {
	i := strings.LastIndexByte(head, ' ')
	return i > 0 && sample.IsUnitCell([]byte(head[i+1:]))
}

// noteUnused names the columns that were not used, with the rows' numbers and
// columns that are empty left out, and other times where those were named.
func (f *Layout) noteUnused(c *sample.Candidate, timesNoted bool) {
	var heads []string
	noted := map[int]bool{}
	if timesNoted {
		for _, k := range f.otherTimes(c) {
			noted[k] = true
		}
	}
	for k := range f.Cols {
		x, q := &f.Cols[k], &c.Kinds[k]
		if x.Role != RoleSkip || noted[k] || f.isPairTime(k) || q.Full() == 0 || sample.NumberColumn(x.Head, q) {
			continue
		}
		heads = append(heads, f.label(k))
	}
	if len(heads) > 0 {
		f.Note(ledger.Note, f.Skip, "columns that are not read: %s", quotedHeads(heads))
	}
}
