package export

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
)

// reportStates says how a state tag's words were taken, with their counts.
func (r *reader) reportStates(name string, words map[string]int) {
	byMeaning := map[cell.StateMeaning][]string{}
	list := lex.SortedKeys(words)
	sort.SliceStable(list, func(i, j int) bool { return words[list[i]] > words[list[j]] })
	plain := true
	for _, w := range list {
		m := r.states.Meaning(w)
		byMeaning[m] = append(byMeaning[m], fmt.Sprintf("%q (%d)", w, words[w]))
		_, two := cell.StateWords[strings.ToLower(w)]
		plain = plain && two
	}
	join := func(m cell.StateMeaning) string {
		l := byMeaning[m]
		if n := len(l); n > 12 {
			l = append(slices.Clip(l[:12]), fmt.Sprintf("and %d more", n-12))
		}
		return strings.Join(l, ", ")
	}
	if len(byMeaning[cell.StateUnknown]) > 0 {
		r.message(ledger.Warning, "", 0, fmt.Sprintf("tag %s: words known neither as on nor as off: %s. The state is taken as unknown there; write what they mean under [state_words] in plant.toml: on = [\"…\"], off = [\"…\"] or bad = [\"…\"]", name, join(cell.StateUnknown)))
	}
	var parts []string
	for _, m := range []cell.StateMeaning{cell.StateOn, cell.StateOff, cell.StateLost} {
		if len(byMeaning[m]) > 0 {
			parts = append(parts, []string{cell.StateOn: "on: ", cell.StateOff: "off: ", cell.StateLost: "bad quality: "}[m]+join(m))
		}
	}
	if !plain && len(parts) > 0 {
		r.message(ledger.Note, "", 0, "tag "+name+": its words are taken as "+strings.Join(parts, "; ")+". [state_words] in plant.toml says otherwise where that is wrong")
	}
}
