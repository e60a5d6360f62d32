package draft

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"weirbook/analysis/quantity"
)

// Answer writes an answer into the files: the number of a choice, or what is to be
// written. Of a question about several tags, "AIT-1 outfall, AIT-2 secondary" answers
// for each. The error says what is wrong with it, and the files are as before.
func (q Open) Answer(f Files, answer string) (Files, error) {
	answer = strings.TrimSpace(answer)
	if answer == "" {
		return f, fmt.Errorf("nothing was answered")
	}
	if len(q.rows) > 0 {
		return q.answerTags(f, answer)
	}
	lines := textLines(f.Plant)
	switch q.Key {
	case "time_zone":
		loc, err := Zone(answer)
		if err != nil {
			return f, err
		}
		lines = slices.Delete(lines, q.line, q.line+1)
		for i, l := range lines {
			if strings.HasPrefix(l, "time_zone") {
				lines[i] = fmt.Sprintf("time_zone = %q", loc.String())
			}
		}
	case "name":
		lines[q.line] = fmt.Sprintf("name = %q", answer)
	default:
		m := openLine.FindStringSubmatch(strings.TrimRight(lines[q.line], " \t"))
		if m == nil {
			return f, fmt.Errorf("line %d of plant.toml does not ask for it any more", q.line+1)
		}
		v, err := tomlValue(m[1], m[2], answer)
		if err != nil {
			return f, err
		}
		lines[q.line] = "#" + m[1] + " = " + v
		if m[3] != "" {
			lines[q.line] += "   # " + m[3]
		}
		if m[1] == "dechlorinated" {
			lines[q.line] = strings.TrimPrefix(lines[q.line], "#")
		}
		settleBlocks(lines)
	}
	f.Plant = join(lines, f.Plant)
	return f, nil
}

var bareKeys = []string{"baffling_factor", "strength", "specific_gravity", "value", "low", "high"}

// tomlValue writes an answer as the value of a key.
func tomlValue(key, unit, answer string) (string, error) {
	switch {
	case slices.Contains(bareKeys, key):
		a := strings.TrimSpace(strings.TrimRight(answer, "% "))
		if _, err := strconv.ParseFloat(a, 64); err != nil {
			return "", fmt.Errorf("%q is no number; write it with a point and without a unit", answer)
		}
		if v, _ := strconv.ParseFloat(a, 64); key == "baffling_factor" && !(v > 0 && v <= 1) {
			return "", fmt.Errorf("%s is outside 0 to 1", answer)
		}
		if strings.HasPrefix(a, ".") {
			a = "0" + a
		}
		return strings.TrimPrefix(a, "+"), nil
	case key == "dechlorinated":
		switch strings.ToLower(answer) {
		case "y", "yes", "true":
			return "true", nil
		case "n", "no", "false":
			return "false", nil
		}
		return "", fmt.Errorf("write yes or no")
	case unit != "":
		if _, err := strconv.ParseFloat(strings.ReplaceAll(answer, ",", ""), 64); err == nil {
			answer += " " + unit
		}
		v, u, err := quantity.ParseQuantity(answer)
		if err == nil && v >= 0 {
			_, err = quantity.Convert(v, u, quantity.MustUnit(unit))
		}
		if err != nil || v < 0 {
			return "", fmt.Errorf("%q is no figure in %s; write a number with its unit, as in \"10 %s\"", answer, unit, unit)
		}
	}
	return strconv.Quote(answer), nil
}

// answerTags writes an answer into the rows that ask.
func (q Open) answerTags(f Files, answer string) (Files, error) {
	before := f
	values := make([]string, len(q.rows))
	n, err := strconv.Atoi(answer)
	switch {
	case err == nil && (n < 1 || n > len(q.Choices)):
		return f, fmt.Errorf("there is no choice %d; write a number from 1 to %d, or a word", n, len(q.Choices))
	case err == nil:
		for i, r := range q.rows {
			values[i] = r.ask.choices[n-1]
		}
	default:
		if values, err = q.each(answer); err != nil {
			return f, err
		}
	}
	for i, r := range q.rows {
		if values[i] == "" {
			continue
		}
		if f, err = r.settle(f, values[i]); err != nil {
			return before, err
		}
	}
	return f, nil
}

// each reads an answer in words: one for all, or "tag words, tag words".
func (q Open) each(answer string) ([]string, error) {
	out := make([]string, len(q.rows))
	byTag := false
	for _, p := range strings.Split(answer, ",") {
		p = strings.TrimSpace(p)
		for i, r := range q.rows {
			if rest, ok := strings.CutPrefix(p, r.tag+" "); ok {
				out[i], byTag = strings.TrimSpace(rest), true
			}
		}
	}
	if byTag {
		return out, nil
	}
	for i := range out {
		out[i] = answer
	}
	return out, nil
}

// settle writes the words of an answer into a row, and into plant.toml what follows.
func (r openRow) settle(f Files, value string) (Files, error) {
	s, err := readSheet(f.Tags)
	if err != nil {
		return f, err
	}
	words := strings.Fields(value)
	if len(r.ask.columns) == 1 {
		words = []string{value}
	}
	if len(words) < len(r.ask.columns) {
		// A kind alone: its place is that of the choice with this kind.
		for _, c := range r.ask.choices {
			if strings.HasPrefix(c, words[0]+" ") {
				words = strings.Fields(c)
			}
		}
	}
	cells := map[string]string{}
	for i, c := range r.ask.columns {
		if i < len(words) {
			cells[c] = words[i]
		}
	}
	if k, ok := cells["measures"]; ok {
		if _, err := quantity.ParseKind(k); err != nil {
			return f, fmt.Errorf("%q is nothing that a tag measures%s", k, didYouMean(k, kindNames()))
		}
	}
	if at, ok := cells["at"]; ok {
		if !pointWord.MatchString(at) {
			return f, fmt.Errorf("%q is no name for a point; write one word, such as %s", at, basinOutlet)
		}
		known := pointNames(f.Plant)
		if hint := didYouMean(at, known); hint != "" && !slices.Contains(known, at) {
			return f, fmt.Errorf("no point is called %q%s", at, hint)
		}
	}
	if u, ok := cells["unit"]; ok {
		if _, err := quantity.ParseUnit(u); err != nil {
			return f, err
		}
	}
	for _, row := range s.rows {
		if s.get(row, "tag") != r.tag {
			continue
		}
		asks, rest := asksOf(s.get(row, "note"))
		asks = slices.DeleteFunc(asks, func(a ask) bool { return a.text == r.ask.text })
		cells["note"] = noteOf(asks, rest)
		kind := quantity.Kind(s.get(row, "measures"))
		if k, ok := cells["measures"]; ok {
			// A unit that the new kind does not come in was the old one's.
			if u, err := quantity.ParseUnit(s.get(row, "unit")); err == nil && cells["unit"] == "" {
				if _, err := quantity.Accept(quantity.Kind(k), u); err != nil {
					cells["unit"], cells["low"], cells["high"] = "", "", ""
				}
			}
			f.Plant = refeed(f.Plant, r.tag, kind, quantity.Kind(k), cells["at"])
		}
	}
	if f.Tags, err = s.with(r.tag, cells); err != nil {
		return f, err
	}
	if at := cells["at"]; at != "" {
		f.Plant = withPoint(f.Plant, at)
	}
	return f, nil
}

var pointWord = regexp.MustCompile(`^[\p{L}0-9_-]+$`)

// noteOf writes the questions that are left before what else a note says.
func noteOf(asks []ask, rest string) string {
	if len(asks) == 0 {
		rest = strings.TrimSpace(rest)
		if strings.HasPrefix(rest, "(") && strings.HasSuffix(rest, ")") {
			rest = rest[1 : len(rest)-1]
		}
		return "asked; " + rest
	}
	var parts []string
	for _, a := range asks {
		parts = append(parts, a.String())
	}
	return check + strings.Join(parts, "; ") + " " + strings.TrimSpace(rest)
}

func kindNames() []string {
	var out []string
	for _, k := range quantity.Kinds() {
		out = append(out, string(k))
	}
	return out
}

// pointNames are the points of plant.toml and those that a draft knows.
func pointNames(plant []byte) []string {
	out := slices.Clone(route)
	for _, p := range parts(textLines(plant)) {
		if p.path == "point" {
			out = append(out, p.name)
		}
	}
	return out
}

// withPoint adds a point that plant.toml does not have.
func withPoint(plant []byte, at string) []byte {
	lines := textLines(plant)
	flowAt, last := "", -1
	for _, p := range parts(lines) {
		if p.path != "point" || p.commented {
			continue
		}
		if p.name == at {
			return plant
		}
		last = p.to
		for i := p.from; i < p.to; i++ {
			if m := keyLine.FindStringSubmatch(lines[i]); m != nil && m[1] == "flow_at" && lines[i][0] != '#' {
				flowAt = unquoted(m[2])
			}
		}
	}
	block := []string{"", "[[point]]", fmt.Sprintf("name = %q", at), fmt.Sprintf("title = %q", title(at))}
	switch {
	case at == influent:
		block = append(block, "influent = true")
	case flowAt != "" && flowAt != at:
		block = append(block, fmt.Sprintf("flow_at = %q", flowAt))
	}
	if at == outfall {
		block = append(block, "outfall = true", `#dechlorinated = "?"   # true where chlorine is taken out before the outfall, or false`)
	}
	if last < 0 {
		last = len(lines)
	}
	return join(slices.Insert(lines, last, block...), plant)
}

// refeed keeps the commented block of a feed true to what its tag turned out to be.
func refeed(plant []byte, tag string, was, is quantity.Kind, at string) []byte {
	if was == is {
		return plant
	}
	lines := textLines(plant)
	for _, p := range parts(lines) {
		if p.path != "feed" || !p.commented || !slices.Contains(p.parameters, tag) {
			continue
		}
		name, flowAt := "", ""
		for i := p.from; i < p.to; i++ {
			switch m := keyLine.FindStringSubmatch(lines[i]); {
			case m == nil:
			case m[1] == "flow_at":
				flowAt = unquoted(m[2])
			case m[1] == "name":
				name = unquoted(m[2])
			}
		}
		name = strings.Replace(name, chemicalOf(was), chemicalOf(is), 1)
		return join(slices.Replace(lines, p.head, p.to, feedBlock(tag, name, is, at, flowAt)...), plant)
	}
	if block := feedBlock(tag, chemicalOf(is), is, at, basinOutlet); block != nil {
		return join(append(lines, block...), plant)
	}
	return plant
}
