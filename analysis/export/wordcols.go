package export

import "strings"

// personHeads are headings of words that tell who, or in which weather: they
// name no tag and are none.
var personHeads = set("operator", "operators", "oper", "initials", "operator initials", "by", "sampled by", "collected by",
	"read by", "taken by", "entered by", "recorded by", "analyzed by", "analysed by", "technician", "sampler", "sampler initials", "collector",
	"staff", "crew", "shift", "weather", "sky", "weekday", "day of week", "bediener", "wetter", "schicht", "担当者", "天気")

func personColumn(head string, q *colKind) bool {
	return personHeads[bare(head)] && q.number*2 <= q.n-q.blank
}

// wordsNameTags decides what a column of words beside one column of numbers is
// where no heading says: the names of tags, or something that stood beside the
// one tag that the numbers' heading names ("Residual mg/L, Mode").
func (f *format) wordsNameTags(c *candidate, words, number int) bool {
	head := f.cols[number].head
	if head == "" || f.cols[words].head == "" {
		return true
	}
	if c.repeatsTimes(words) {
		return true
	}
	if _, unit := splitUnit(head); unit != "" || endsInUnit(head) || len(tagWords(head)) > 0 {
		return false
	}
	return c.likeTags(words) > 0.5
}

// likeTags is the share of a column's different texts that are written as tags
// are.
func (c *candidate) likeTags(k int) float64 {
	like, all := 0, 0
	for s := range c.kinds[k].distinct {
		all++
		if strings.ContainsAny(s, "._") || strings.ContainsAny(s, "0123456789") && strings.IndexByte(s, ' ') < 0 {
			like++
		}
	}
	return float64(like) / float64(max(all, 1))
}

// mostLikeTags picks the column of words whose words look most like tags.
func (c *candidate) mostLikeTags(cols []int) int {
	best := cols[0]
	for _, k := range cols[1:] {
		if c.likeTags(k) > c.likeTags(best) {
			best = k
		}
	}
	return best
}

// endsInUnit finds a unit behind a heading's last blank: "Residual mg/L".
func endsInUnit(head string) bool {
	i := strings.LastIndexByte(head, ' ')
	return i > 0 && isUnitCell([]byte(head[i+1:]))
}

// repeatsTimes says whether the sample has several words of column k at one
// time, as a row per reading has.
func (c *candidate) repeatsTimes(k int) bool {
	at := map[string]string{}
	times, again := 0, 0
	for i := c.start; i < len(c.fields); i++ {
		fs := c.fields[i]
		if len(fs) != c.width {
			continue
		}
		t := string(c.times.cell(fs))
		w := string(trim(fs[k]))
		if before, met := at[t]; !met {
			at[t] = w
			times++
		} else if before != w {
			again++
		}
	}
	return again*4 >= times && again > 0
}

// noteUnused names the columns that were not used, with the rows' numbers and
// columns that are empty left out, and other times where those were named.
func (f *format) noteUnused(c *candidate, timesNoted bool) {
	var heads []string
	noted := map[int]bool{}
	if timesNoted {
		for _, k := range f.otherTimes(c) {
			noted[k] = true
		}
	}
	for k := range f.cols {
		x, q := &f.cols[k], &c.kinds[k]
		if x.role != roleSkip || noted[k] || f.ownsTime(k) || q.n == q.blank || numberColumn(x.head, q) {
			continue
		}
		heads = append(heads, f.label(k))
	}
	if len(heads) > 0 {
		f.note(Note, f.skip, "columns that are not read: %s", quotedHeads(heads))
	}
}
