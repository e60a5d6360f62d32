package export

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/merge"
)

// mostConflicts is how many pairs of files are told of one by one. Our choice.
const mostConflicts = 4

// conflicts tells where two files, or two rows of one, hold different readings of one
// time: which of them was meant is not known, one was used.
func (r *reader) conflicts(tags map[string]*merge.TagPieces) {
	type pair struct {
		merge.Conflict // of the first tag that has one
		tags           []string
	}
	of := map[[2]int]*pair{}
	for _, name := range lex.SortedKeys(tags) {
		for _, c := range tags[name].Conflicts {
			k := [2]int{c.Kept, c.Lost}
			if of[k] == nil {
				of[k] = &pair{Conflict: c}
				of[k].N = 0
			}
			of[k].N += c.N
			of[k].tags = append(of[k].tags, name)
		}
	}
	var pairs []*pair
	for _, p := range of {
		pairs = append(pairs, p)
	}
	slices.SortFunc(pairs, func(a, b *pair) int {
		return cmp.Or(cmp.Compare(b.N, a.N), cmp.Compare(a.Kept, b.Kept), cmp.Compare(a.Lost, b.Lost))
	})
	number := func(v float64) string {
		if math.IsNaN(v) {
			return "no number"
		}
		return strconv.FormatFloat(v, 'g', 6, 64)
	}
	for i, p := range pairs {
		kept, lost := r.tables[p.Kept].M.Name, r.tables[p.Lost].M.Name
		if i == mostConflicts {
			r.message(ledger.Warning, "", 0, fmt.Sprintf("%s of files more hold different readings of one time; set-aside.csv of a run lists the rows", lex.Counted(len(pairs)-i, "pair", "pairs")))
			return
		}
		text := fmt.Sprintf("%s: at %s a further row", tagsNamed(p.tags), lex.Counted(p.N, "time", "times"))
		advice := "Take out the rows that are not meant"
		if kept != lost {
			text = fmt.Sprintf("%s: at %s this file", tagsNamed(p.tags), lex.Counted(p.N, "time", "times"))
			advice = "Is one a correction, or does one hold averages? Leave out the file that is not meant"
		}
		text += fmt.Sprintf(" holds another reading than %s (first %s of %s: %s in line %d there, %s here); that of %s is used. %s",
			kept, time.UnixMilli(p.T).In(r.opt.Zone).Format("2006-01-02 15:04"), p.tags[0], number(p.KeptV), p.KeptLine, number(p.LostV), kept, advice)
		r.message(ledger.Warning, lost, p.LostLine, text)
	}
}
