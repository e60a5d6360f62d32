package merge

import (
	"weirbook/analysis/export/rows"
	"weirbook/analysis/export/stamp"
)

// A file whose rows are shuffled shows the rows of a repeated hour in several groups.
// Each group by itself looks like one pass; that they are two shows when groups
// disagree about a time. Then the file is read again, and the hour's readings of that
// tag are set aside.

// scattered remembers the groups of rows of each repeated hour, by the time of its
// clock change.
type scattered struct {
	groups map[int64][][]placed
	mixed  map[int64]bool // hours of which two groups disagree
	aside  map[int64]bool // hours found so when the file was first read
}

// note keeps a group that is about to be told apart. It gives true when the readings
// of its hour are to be set aside.
func (s *scattered) note(c *stamp.Clock, group []placed) bool {
	at := c.ChangeAfter(group[0].t)
	if s.aside[at] {
		return true
	}
	if s.disagree(at, group) {
		if s.mixed == nil {
			s.mixed = map[int64]bool{}
		}
		s.mixed[at] = true
	}
	if s.groups == nil {
		s.groups = map[int64][][]placed{}
	}
	s.groups[at] = append(s.groups[at], group)
	return false
}

// disagree says whether a group has a reading at a time at which an earlier group has
// none like it, but another.
func (s *scattered) disagree(at int64, group []placed) bool {
	for _, p := range group {
		met, like := false, false
		for _, g := range s.groups[at] {
			for _, q := range g {
				if p.t == q.t && (p.f|q.f)&rows.FHole == 0 {
					met, like = true, like || same(p.reading, q.reading)
				}
			}
		}
		if met && !like {
			return true
		}
	}
	return false
}

// FindShuffled notes the repeated hours whose two passes stand mixed. It gives true
// where there are any, so that the file has to be read again.
func (t *Table) FindShuffled() (again bool) {
	for _, k := range t.Tracks {
		if k == nil {
			continue
		}
		if len(k.amb) > 0 {
			k.hours.note(&k.clock, k.amb)
		}
		for at := range k.hours.mixed {
			if t.shuffled == nil {
				t.shuffled = map[string]map[int64]bool{}
			}
			if t.shuffled[k.Spec.Name] == nil {
				t.shuffled[k.Spec.Name] = map[int64]bool{}
			}
			t.shuffled[k.Spec.Name][at] = true
			again = true
		}
	}
	return again
}
