package sample

import "strings"

// A composite's sheet states when its collecting began and when it ended. A result
// bears the time of its end, from which the day it counts for is found.

var (
	beginWords = []string{"start", "begin", "began", "from", "on", "set", "first"}
	endWords   = []string{"end", "stop", "ended", "to", "until", "off", "finish", "collected", "pulled", "last"}
)

// anyWord says whether one of a heading's words begins as one of a list.
func anyWord(head string, list []string) bool {
	for _, w := range strings.FieldsFunc(strings.ToLower(head), func(r rune) bool { return r < 'a' || r > 'z' }) {
		for _, x := range list {
			if w == x || len(x) > 3 && strings.HasPrefix(w, x) {
				return true
			}
		}
	}
	return false
}

// endOfSampling gives, in place of a laboratory sheet's column of times at which
// sampling began, that of its end.
func (c *Candidate) endOfSampling(k int, heads []string) int {
	if k < 0 || !anyWord(heads[k], beginWords) || anyWord(heads[k], endWords) {
		return k
	}
	laboratory := false
	for _, h := range heads {
		h = strings.Join(strings.FieldsFunc(strings.ToLower(h), func(r rune) bool { return strings.ContainsRune(" _.-", r) }), " ")
		laboratory = laboratory || ParameterHeads[h] || LimitRank(h) > 0 || strings.HasPrefix(h, "result") || strings.Contains(h, "composite") || strings.Contains(h, "sampl")
	}
	if !laboratory {
		return k
	}
	for j := range c.Kinds {
		q := &c.Kinds[j]
		if full := q.Full(); j != k && full > 0 && q.Time*10 >= full*8 && anyWord(heads[j], endWords) && !anyWord(heads[j], beginWords) && TimeRank(heads[j]) >= 0 {
			return j
		}
	}
	return k
}
