package sample

import (
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/lex"
)

// personHeads are headings of words that tell who, or in which weather: they
// name no tag and are none.
var personHeads = lex.Set("operator", "operators", "oper", "initials", "operator initials", "by", "sampled by", "collected by",
	"read by", "taken by", "entered by", "recorded by", "analyzed by", "analysed by", "technician", "sampler", "sampler initials", "collector",
	"staff", "crew", "shift", "weather", "sky", "weekday", "day of week", "bediener", "wetter", "schicht", "担当者", "天気")

func PersonColumn(head string, q *ColKind) bool {
	return personHeads[cell.Bare(head)] && q.Number*2 <= q.Full()
}

// LikeTags is the share of a column's different texts that are written as tags
// are.
func (c *Candidate) LikeTags(k int) float64 {
	like, all := 0, 0
	for s := range c.Kinds[k].Distinct {
		all++
		if strings.ContainsAny(s, "._") || strings.ContainsAny(s, "0123456789") && strings.IndexByte(s, ' ') < 0 {
			like++
		}
	}
	return float64(like) / float64(max(all, 1))
}

// MostLikeTags picks the column of words whose words look most like tags.
func (c *Candidate) MostLikeTags(cols []int) int {
	best := cols[0]
	for _, k := range cols[1:] {
		if c.LikeTags(k) > c.LikeTags(best) {
			best = k
		}
	}
	return best
}

// RepeatsTimes says whether the sample has several words of column k at one
// time, as a row per reading has.
func (c *Candidate) RepeatsTimes(k int) bool {
	at := map[string]string{}
	times, again := 0, 0
	for i := c.Start; i < len(c.Fields); i++ {
		fs := c.Fields[i]
		if len(fs) != c.Width {
			continue
		}
		t := string(c.Times.cell(fs))
		w := string(lex.Trim(fs[k]))
		if before, met := at[t]; !met {
			at[t] = w
			times++
		} else if before != w {
			again++
		}
	}
	return again*4 >= times && again > 0
}
