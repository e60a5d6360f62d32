package sample

import (
	"weirbook/analysis/export/stamp"
)

// AlsoTime says whether column k holds times of the kind of the first.
func (c *Candidate) AlsoTime(k int) bool {
	q := &c.Kinds[k]
	full := q.Full()
	if c.Times.Kind != stamp.TextTime {
		return IsTimeHead(c.heading(k)) && c.numericTime(k, true) == c.Times.Kind
	}
	return full > 0 && q.Number*2 < full && (q.Time*10 >= full*8 || IsTimeHead(c.heading(k)) && q.Time*2 >= full)
}

// BlankPair says whether column k is headed as a time, and neither it nor what
// stands between it and the next time holds anything in the sample: a pair may
// begin far below the others.
func (c *Candidate) BlankPair(k int) bool {
	if !c.Empty(k) || !IsTimeHead(c.heading(k)) {
		return false
	}
	n := 0
	for k++; k < c.Width && (n == 0 || !IsTimeHead(c.heading(k))); k++ {
		if !c.Empty(k) {
			return false
		}
		n++
	}
	return n > 0
}

func (c *Candidate) Empty(k int) bool { return c.Kinds[k].N == c.Kinds[k].Blank }

// Moves says whether the times of column k go on from row to row, unlike the date
// of a calibration.
func (c *Candidate) Moves(k int) bool {
	q := &c.Kinds[k]
	full := q.Full()
	return full > 2 && len(q.Distinct)*10 >= min(full, 300)*8
}
