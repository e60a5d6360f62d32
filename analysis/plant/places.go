package plant

import (
	"fmt"
	"strings"
)

// Bounds of plant.toml: far beyond what a plant needs, and short of what would
// keep a parser busy for minutes.
const (
	maxText  = 4 << 20 // bytes
	maxKeys  = 20_000
	maxDepth = 8 // of dotted keys, and of brackets within brackets
)

// places finds the line of every key of a plant.toml, as "basin[1].require.ct",
// and of every table's heading, as "basin[1]". It bounds what the parser gets, and
// leaves what is wrong with the text to it.
func places(name, text string) (map[string]int, error) {
	if len(text) > maxText {
		return nil, fmt.Errorf("%s: %d MB is no plant description; is this an export?", name, len(text)>>20)
	}
	s := &scanner{name: name, text: text, line: 1, lines: map[string]int{}, count: map[string]int{}}
	for s.at < len(text) && s.err == nil {
		s.statement()
	}
	return s.lines, s.err
}

type scanner struct {
	name, text string
	at, line   int
	table      string         // path of the table that keys belong to
	count      map[string]int // of each array of tables, by its path
	lines      map[string]int
	keys       int
	err        error
}

func (s *scanner) fail(format string, args ...any) {
	s.err = fmt.Errorf("%s:%d: %s", s.name, s.line, fmt.Sprintf(format, args...))
}

// statement passes over blank space, a comment, a heading, or a key with its value.
func (s *scanner) statement() {
	switch c := s.text[s.at]; {
	case c == '\n':
		s.line++
		s.at++
	case c == ' ' || c == '\t' || c == '\r':
		s.at++
	case c == '#':
		s.comment()
	case c == '[':
		s.heading()
	default:
		s.key()
	}
}

func (s *scanner) comment() {
	for s.at < len(s.text) && s.text[s.at] != '\n' {
		s.at++
	}
}

// heading takes [table] and [[table]].
func (s *scanner) heading() {
	array := strings.HasPrefix(s.text[s.at:], "[[")
	s.at++
	if array {
		s.at++
	}
	parts := s.path("]")
	if len(parts) > maxDepth {
		s.fail("a heading of more than %d parts; none of a plant description has more than three", maxDepth)
	}
	path := ""
	for i, p := range parts {
		path = under(path, p)
		if n := s.count[path]; i < len(parts)-1 && n > 0 {
			path = fmt.Sprintf("%s[%d]", path, n-1)
		}
	}
	switch n := s.count[path]; {
	case array:
		s.count[path]++
		path = fmt.Sprintf("%s[%d]", path, n)
	case n > 0:
		path = fmt.Sprintf("%s[%d]", path, n-1)
	}
	s.table = path
	s.note(path)
	s.comment()
}

// key takes a key with its value, whose own keys are left to their line.
func (s *scanner) key() {
	line := s.line
	parts := s.path("=")
	if len(parts) > maxDepth {
		s.fail("a key of more than %d parts; none of a plant description has more than three", maxDepth)
	}
	path := s.table
	for _, p := range parts {
		path = under(path, p)
	}
	if s.lines[path] == 0 {
		s.lines[path] = line
	}
	if s.keys++; s.keys > maxKeys {
		s.fail("more than %d keys; is this a plant description?", maxKeys)
	}
	depth := 0
	for s.at < len(s.text) {
		switch c := s.text[s.at]; c {
		case '\n':
			if depth <= 0 {
				return
			}
			s.line++
			s.at++
		case '"', '\'':
			s.quoted(c)
		case '#':
			s.comment()
		case '[', '{':
			if depth++; depth > maxDepth {
				s.fail("more than %d brackets within each other; no value of a plant description needs that", maxDepth)
				return
			}
			s.at++
		case ']', '}':
			depth--
			s.at++
		default:
			s.at++
		}
	}
}

// path takes a dotted key up to the sign that ends it, or to the line's end.
func (s *scanner) path(end string) []string {
	var parts []string
	var b strings.Builder
	for s.at < len(s.text) && s.text[s.at] != '\n' && len(parts) <= maxDepth {
		c := s.text[s.at]
		switch {
		case c == '"' || c == '\'':
			from := s.at
			s.quoted(c)
			b.WriteString(strings.Trim(s.text[from:s.at], `"'`))
			continue
		case c == end[0]:
			s.at++
			return append(parts, strings.TrimSpace(b.String()))
		case c == '.':
			parts = append(parts, strings.TrimSpace(b.String()))
			b.Reset()
		default:
			b.WriteByte(c)
		}
		s.at++
	}
	return append(parts, strings.TrimSpace(b.String()))
}

// quoted passes over a string, of one line or of several.
func (s *scanner) quoted(q byte) {
	long := strings.Repeat(string(q), 3)
	if strings.HasPrefix(s.text[s.at:], long) {
		s.at += 3
		for s.at < len(s.text) && !strings.HasPrefix(s.text[s.at:], long) {
			switch {
			case s.text[s.at] == '\n':
				s.line++
			case s.text[s.at] == '\\' && q == '"' && s.at+1 < len(s.text) && s.text[s.at+1] != '\n':
				s.at++
			}
			s.at++
		}
		s.at = min(s.at+3, len(s.text))
		return
	}
	for s.at++; s.at < len(s.text) && s.text[s.at] != '\n'; s.at++ {
		switch {
		case s.text[s.at] == q:
			s.at++
			return
		case s.text[s.at] == '\\' && q == '"' && s.at+1 < len(s.text) && s.text[s.at+1] != '\n':
			s.at++
		}
	}
}

func (s *scanner) note(path string) {
	if s.lines[path] == 0 {
		s.lines[path] = s.line
	}
}

func under(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}
