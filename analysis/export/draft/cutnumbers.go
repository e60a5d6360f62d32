package draft

import (
	"fmt"
	"sort"
)

// byNumber cuts by loop numbers that run alike: FT-110, AIT-111, AIT-112 and FT-120,
// AIT-121, AIT-122. Three instruments that measure the same at the same last digits
// make two tens (or two hundreds) look alike; one must tell of disinfection, and one
// of flow or feed. What stands further down the water does not count as alike: a
// residual before dechlorination is none behind it.
func byNumber(gs []Guess) []*family {
	var out []*family
	for _, base := range []int{10, 100} {
		type group struct {
			series string
			value  int
		}
		has := map[group]map[string][]string{} // by last digits, class and place: tags
		for _, g := range gs {
			n, ok := numbered(g.Tag)
			c := class(g)
			if !ok || c == "" || n.digits < 3 {
				continue
			}
			at := g.At
			if at == basinInlet || at == basinMiddle || at == basinOutlet {
				at = "basin"
			}
			k := group{n.series, n.value / base}
			if has[k] == nil {
				has[k] = map[string][]string{}
			}
			look := fmt.Sprintf("%d %s %s", n.value%base, c, at)
			has[k][look] = append(has[k][look], g.Tag)
		}
		f := &family{strict: true, text: Guess.label}
		var groups []group
		for k := range has {
			groups = append(groups, k)
		}
		sort.Slice(groups, func(i, j int) bool { return groups[i].value < groups[j].value })
		for _, a := range groups {
			for _, b := range groups {
				if a == b || a.series != b.series || !alikeGroups(has[a], has[b]) {
					continue
				}
				label := fmt.Sprintf("%d%s", a.value, map[int]string{10: "x", 100: "xx"}[base])
				for _, tags := range has[a] {
					for _, tag := range tags {
						f.add(label, label, tag, "its number is one of "+label)
					}
				}
			}
		}
		if len(f.values) >= 2 {
			out = append(out, f)
		}
	}
	return out
}

// alikeGroups says whether two runs of numbers hold the same instruments.
func alikeGroups(a, b map[string][]string) bool {
	same := 0
	classes := map[string]int{}
	for look := range a {
		if len(b[look]) == 0 {
			continue
		}
		same++
		var n int
		var c string
		fmt.Sscanf(look, "%d %s", &n, &c)
		classes[c]++
	}
	return same >= 3 && disinfects(classes) && classes["flow"]+classes["feed"] > 0
}
