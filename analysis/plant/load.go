package plant

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"weirbook/analysis/zone"
)

// Load reads and checks plant.toml and tags.csv. The names stand in messages,
// as "plant.toml:12: …". Every mistake found is reported, joined into one error.
func Load(tomlName string, tomlFile io.Reader, tagsName string, tagsFile io.Reader) (*Plant, error) {
	text, err := io.ReadAll(tomlFile)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", tomlName, err)
	}
	sheet, err := io.ReadAll(tagsFile)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", tagsName, err)
	}
	tags, tagErr := readTags(tagsName, bytes.NewReader(sheet))
	p, err := build(tomlName, strings.TrimPrefix(string(text), "\ufeff"), tagsName, tags)
	if err := errors.Join(err, tagErr); err != nil {
		return nil, err
	}
	p.Files = []File{fileOf(tomlName, text), fileOf(tagsName, sheet)}
	return p, nil
}

func fileOf(name string, data []byte) File {
	sum := sha256.Sum256(data)
	return File{Name: path.Base(name), Bytes: int64(len(data)), SHA256: hex.EncodeToString(sum[:])}
}

// checker collects mistakes with their place in plant.toml.
type checker struct {
	name  string
	rows  []string       // the file's lines
	lines map[string]int // of every key, see places
	tree  map[string]any // the file as it is written
	errs  []error
	zone  *time.Location
}

// pathOf is the path of a key in the nth table (from 0) of an array of tables, of a
// table of its own, or at the top level when table is empty.
func (c *checker) pathOf(table string, n int, key string) string {
	if one := fmt.Sprintf("%s[%d]", table, n); c.lines[one] > 0 {
		table = one
	}
	return under(table, key)
}

// line is the line of a key, or of the nearest table above it that is written; 0
// when it cannot tell.
func (c *checker) line(path string) int {
	for path != "" {
		if l := max(c.lines[path], c.lines[path+"[0]"]); l > 0 {
			return l
		}
		path = path[:max(strings.LastIndexAny(path, ".["), 0)]
	}
	return 0
}

func (c *checker) fail(table string, n int, key, format string, args ...any) {
	c.failAt(c.pathOf(table, n, key), format, args...)
}

func (c *checker) failAt(path, format string, args ...any) {
	place := c.name
	if l := c.line(path); l > 0 {
		place = fmt.Sprintf("%s:%d", c.name, l)
	}
	c.errs = append(c.errs, fmt.Errorf("%s: %s", place, fmt.Sprintf(format, args...)))
}

// entry is the nth table of an array of tables as it is written; for what the
// tags of its fields cannot say.
func (c *checker) entry(table string, n int) map[string]any {
	switch list := c.tree[table].(type) {
	case []map[string]any:
		return list[n]
	case []any:
		m, _ := list[n].(map[string]any)
		return m
	}
	return nil
}

// text is what is written as text under a key of an entry; empty when nothing is.
func (c *checker) text(table string, n int, key string) string {
	s, _ := c.entry(table, n)[key].(string)
	return s
}

// quantity reads a field tagged unit:"later", whose unit hangs on other keys.
func (c *checker) quantity(table string, n int, key, unit string) float64 {
	return c.in(c.pathOf(table, n, key), c.text(table, n, key), unit)
}

func (c *checker) loc(table string, n int, key, name string) *time.Location {
	l, err := zone.Load(name)
	if err != nil {
		c.fail(table, n, key, "%s = %q is no time zone; write one such as \"America/Denver\"", key, name)
		return time.UTC
	}
	return l
}

// ParseTime reads a moment as people write it in plant.toml and on the command
// line: RFC 3339, or a local date with or without a time of day.
func ParseTime(s string, loc *time.Location) (time.Time, error) {
	s = strings.TrimSpace(s)
	if t, err := time.Parse(time.RFC3339, s); err == nil {
		return t, nil
	}
	for _, f := range []string{"2006-01-02 15:04:05", "2006-01-02T15:04:05", "2006-01-02 15:04", "2006-01-02T15:04", "2006-01-02"} {
		if t, err := time.ParseInLocation(f, s, loc); err == nil {
			return t, nil
		}
	}
	return time.Time{}, fmt.Errorf("%q is no time; write 2026-03-14, 2026-03-14 06:30 or 2026-03-14T06:30:00-06:00", s)
}

// tomlWords says what does not parse in text at a line, with that line and the one
// before it, and what to look at. The library's own picture of the place cannot
// be used: it panics where a text ends within an escape.
func tomlWords(pe toml.ParseError, text string, line int) string {
	out := strings.TrimRight(pe.Message, ".")
	if strings.Contains(out, "already been defined") {
		out += "; if it belongs to a new block, see that the block's [[name]] line above it is not behind a #"
	}
	lines := strings.Split(text, "\n")
	for n := max(line-1, 1); n <= min(line, len(lines)); n++ {
		out += fmt.Sprintf("\n%7d | %s", n, strings.ReplaceAll(strings.TrimRight(lines[n-1], "\r"), "\t", " "))
	}
	if p := pe.Position; line == p.Line && p.Col > 0 && p.Col <= 200 {
		out += "\n" + strings.Repeat(" ", 9+p.Col) + strings.Repeat("^", min(max(p.Len, 1), 80))
	}
	return out
}
