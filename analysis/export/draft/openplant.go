package draft

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// Open questions of plant.toml stand as
//
//	#volume = "? gal"    # what is meant
//
// mostly in a block that is a comment as a whole. An answer fills the line; when
// all that a block cannot do without is filled, its # are taken off.

// blockKeys are the questions of a block, and whether it cannot do without.
var blockKeys = map[string]map[string]bool{
	"basin":         {"volume": true, "baffling_factor": true},
	"basin.require": {"ct": false, "contact_time": false, "residual_min": false},
	"feed":          {"strength": true, "specific_gravity": true},
	"limit":         {"value": true, "low": true, "high": true},
	"reporting":     {"facility": false, "permit_number": false, "non_detect": false},
	"source":        {"date_order": true, "decimal": true},
	"point":         {"dechlorinated": false},
	"lab":           {"reporting_limit": true, "upper_limit": true},
}

// optionalBlocks are those that a first report does without.
var optionalBlocks = []string{"limit", "reporting", "point", "lab"}

// keyText asks for a key in words; %s is the block's name.
var keyText = map[string]string{
	"volume": "How much water does %s hold?", "baffling_factor": "How well is %s baffled: T10 over the mean time, from 0 to 1?",
	"ct": "Which CT must %s reach?", "contact_time": "Which contact time must %s give at peak flow?", "residual_min": "Which residual must leave %s at least?",
	"strength": "How strong is the %s as delivered?", "specific_gravity": "What is the specific gravity of the %s as delivered?",
	"dechlorinated": "Is the water dechlorinated before %s?", "date_order": "In which order do the dates of %s stand?", "decimal": "Which sign stands before the decimals in %s?",
	"value": "Which limit does the permit set for %s?", "low": "Lowest %s that the permit allows?", "high": "Highest %s that the permit allows?",
	"facility": "What does the permit call the facility?", "permit_number": "Which number has the permit?",
	"reporting_limit": "What is the laboratory's reporting limit for %s?", "upper_limit": "What is the most that the laboratory's method counts for %s?",
	"non_detect": "What does a result below its limit count as?",
}

var (
	blockHead = regexp.MustCompile(`^#?\[\[?([a-z_.]+)\]\]?\s*(?:#.*)?$`)
	openLine  = regexp.MustCompile(`^#([a-z_]+) *= *"\? ?([^"]*)"\s*(?:#[\s?]*(.*))?$`)
	keyLine   = regexp.MustCompile(`^#?([a-z_]+) *= *(.*)$`)
	zoneAsked = "# ? In which time zone"
)

// part is a block of plant.toml.
type part struct {
	path       string // of its heading, as "basin.require"; "" above the first
	name       string
	head       int // line of the heading; -1: none
	from, to   int // its lines after the heading
	commented  bool
	chemical   string // of a feed
	parent     int    // of a sub-block, the block it belongs to
	parameters []string
}

func textLines(plant []byte) []string {
	return strings.Split(strings.ReplaceAll(string(plant), "\r\n", "\n"), "\n")
}

// unquoted gives a value without quotes and what stands behind it.
func unquoted(v string) string {
	v = strings.TrimSpace(v)
	for _, q := range []string{`"`, `["`} {
		if rest, ok := strings.CutPrefix(v, q); ok {
			v, _, _ = strings.Cut(rest, `"`)
			return v
		}
	}
	v, _, _ = strings.Cut(v, "#")
	return strings.TrimSpace(v)
}

// parts cuts plant.toml into its blocks, commented ones too.
func parts(lines []string) []part {
	out := []part{{head: -1, parent: -1}}
	top := -1
	open := true // lines still belong to the last block
	for i, l := range lines {
		l = strings.TrimRight(l, " \t")
		cur := &out[len(out)-1]
		if m := blockHead.FindStringSubmatch(l); m != nil {
			p := part{path: m[1], head: i, from: i + 1, to: i + 1, commented: l[0] == '#', parent: -1}
			if strings.Contains(m[1], ".") {
				p.parent = top
			} else {
				top = len(out)
			}
			out, open = append(out, p), true
			continue
		}
		m := keyLine.FindStringSubmatch(l)
		if m == nil || cur.commented && l[0] != '#' {
			// A commented block ends with its lines; one that counts, with the next heading.
			open = open && !cur.commented
			continue
		}
		if !open {
			continue
		}
		cur.to = i + 1
		switch v := unquoted(m[2]); m[1] {
		case "name", "facility":
			if cur.name == "" && m[1] == "name" {
				cur.name = v
			}
		case "chemical":
			cur.chemical = v
		case "tag", "parameter", "statistic", "files":
			cur.parameters = append(cur.parameters, v)
		}
	}
	for i := range out {
		p := &out[i]
		switch {
		case p.parent >= 0:
			p.name = out[p.parent].name
		case p.path == "feed" && p.name != "" && len(p.parameters) > 0:
			p.name += " (" + p.parameters[0] + ")"
		case p.path == "limit":
			p.name = strings.Join(p.parameters, ", ")
		case p.name == "" && len(p.parameters) > 0:
			p.name = strings.Join(p.parameters, " ")
		case p.name == "":
			p.name = p.path
		}
	}
	return out
}

func openInPlant(plant []byte) []Open {
	lines := textLines(plant)
	var out []Open
	for i, l := range lines {
		if strings.HasPrefix(l, zoneAsked) {
			out = append(out, Open{Key: "time_zone", Text: "In which time zone are the exports written? A name such as America/Denver.", line: i})
		}
		if l == `name = "My plant"` {
			out = append(out, Open{Key: "name", Text: "What is the plant called?", line: i, Optional: true})
		}
	}
	for _, p := range parts(lines) {
		for i := p.from; i < p.to; i++ {
			m := openLine.FindStringSubmatch(strings.TrimRight(lines[i], " \t"))
			if m == nil {
				continue
			}
			q := Open{Key: p.name + " " + m[1], line: i, Optional: slices.Contains(optionalBlocks, p.path)}
			needed, known := blockKeys[p.path][m[1]]
			if !known {
				continue
			}
			// Dechlorination chemicals and what else a permit asks of a basin can wait.
			if !needed && p.path == "basin.require" && m[1] != "ct" || p.chemical == "bisulfite" {
				q.Optional = true
			}
			q.Text = fmt.Sprintf(keyText[m[1]], p.name)
			if !strings.Contains(keyText[m[1]], "%s") {
				q.Text = keyText[m[1]]
			}
			if m[2] != "" {
				q.Text += " In " + m[2] + ", unless another unit is written."
			}
			if m[3] != "" {
				q.About = []string{m[3]}
			}
			out = append(out, q)
		}
	}
	return out
}

// settleBlocks takes the # off blocks that have all they need.
func settleBlocks(lines []string) {
	all := parts(lines)
	for n := range all {
		p := &all[n]
		if !p.commented || p.parent >= 0 && all[p.parent].commented {
			continue
		}
		filled, missing := false, false
		for i := p.from; i < p.to; i++ {
			m := keyLine.FindStringSubmatch(lines[i])
			if m == nil {
				continue
			}
			needed, asked := blockKeys[p.path][m[1]]
			if !asked {
				continue
			}
			if openLine.MatchString(strings.TrimRight(lines[i], " \t")) {
				missing = missing || needed
			} else {
				filled = true
			}
		}
		if !filled || missing {
			continue
		}
		p.commented = false
		lines[p.head] = strings.TrimPrefix(lines[p.head], "#")
		for i := p.from; i < p.to; i++ {
			if !openLine.MatchString(strings.TrimRight(lines[i], " \t")) && !strings.HasPrefix(lines[i], "# ") {
				lines[i] = strings.TrimPrefix(lines[i], "#")
			}
		}
		for i := p.head - 1; i >= 0 && strings.HasPrefix(lines[i], "# ?"); i-- {
			lines[i] = "#" + strings.TrimPrefix(lines[i], "# ?") // asked and answered
		}
	}
}

// join puts lines together with the line ends that the file has.
func join(lines []string, like []byte) []byte {
	end := "\n"
	if bytes.Contains(like, []byte("\r\n")) {
		end = "\r\n"
	}
	return []byte(strings.Join(lines, end))
}
