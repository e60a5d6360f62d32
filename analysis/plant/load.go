package plant

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math"
	"path"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"weirbook/analysis/quantity"
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
	lines []string
	errs  []error
	zone  *time.Location
}

// line finds the line of a key in the nth table (from 0) of an array of tables,
// or of a key at the top level when table is empty. 0 when it cannot tell.
func (c *checker) line(table string, n int, key string) int {
	cur, count, head := "", map[string]int{}, 0
	part, last, sub := strings.Cut(key, ".") // "require.ct" stands in the table's part "require"
	if !sub {
		last = key
	}
	for i, l := range c.lines {
		l = strings.TrimSpace(l)
		if strings.HasPrefix(l, "[") {
			cur = strings.Trim(strings.SplitN(l, "#", 2)[0], "[] \t")
			if strings.HasPrefix(l, "[[") {
				count[cur]++
			}
			if cur == table && count[cur] == n+1 {
				head = i + 1
			}
			continue
		}
		base, _, _ := strings.Cut(cur, ".")
		here := cur == table && (count[cur] == n+1 || count[cur] == 0)
		here = here || sub && cur == table+"."+part && count[base] == n+1
		if !here {
			continue
		}
		k, _, ok := strings.Cut(l, "=")
		if ok && strings.TrimSpace(k) == last {
			return i + 1
		}
	}
	return head
}

func (c *checker) fail(table string, n int, key, format string, args ...any) {
	place := c.name
	if l := c.line(table, n, key); l > 0 {
		place = fmt.Sprintf("%s:%d", c.name, l)
	}
	c.errs = append(c.errs, fmt.Errorf("%s: %s", place, fmt.Sprintf(format, args...)))
}

// in reads a quantity such as "110000 gal" into the unit asked for; NaN when
// nothing is written.
func (c *checker) in(table string, n int, key, s, unit string) float64 {
	if s == "" {
		return math.NaN()
	}
	want := quantity.MustUnit(unit)
	v, u, err := quantity.ParseQuantity(s)
	if err == nil {
		v, err = quantity.Convert(v, u, want)
	}
	if err != nil {
		c.fail(table, n, key, "%s: %v; write a number with its unit, as in \"10 %s\"", key, err, want.Symbol)
		return math.NaN()
	}
	if v < 0 {
		c.fail(table, n, key, "%s = %q is negative", key, s)
	}
	return v
}

// number gives the value behind a pointer, NaN when nothing is written, and
// complains when it lies outside [low, high].
func (c *checker) number(table string, n int, key string, v *float64, low, high float64) float64 {
	if v == nil {
		return math.NaN()
	}
	if !(*v >= low && *v <= high) {
		c.fail(table, n, key, "%s = %g is outside %g to %g", key, *v, low, high)
	}
	return *v
}

func (c *checker) oneOf(table string, n int, key, v, dflt string, words ...string) string {
	if v == "" {
		return dflt
	}
	for _, w := range words {
		if v == w {
			return v
		}
	}
	c.fail(table, n, key, "%s = %q is unknown; write one of %s", key, v, strings.Join(words, ", "))
	return dflt
}

func (c *checker) loc(table string, n int, key, name string) *time.Location {
	l, err := time.LoadLocation(name)
	if err != nil || name == "" || name == "Local" {
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

func (c *checker) spans(table string, n int, key string, fs []fileSpan) []Span {
	var out []Span
	for i, f := range fs {
		if table == "" {
			table, n = key, i
		}
		from, err := ParseTime(f.From, c.zone)
		if err != nil {
			c.fail(table, n, key, "%s: from: %v", key, err)
			continue
		}
		to, err := ParseTime(f.To, c.zone)
		if err != nil {
			c.fail(table, n, key, "%s: to: %v", key, err)
			continue
		}
		if !from.Before(to) {
			c.fail(table, n, key, "%s: from %s is not before to %s", key, f.From, f.To)
			continue
		}
		out = append(out, Span{from, to})
	}
	return out
}

// decode reads the text and refuses keys that nothing reads: a misspelt key
// would otherwise be a setting that silently does not apply.
func decode(c *checker, text string) (fileRoot, bool) {
	var f fileRoot
	md, err := toml.Decode(text, &f)
	if err != nil {
		var pe toml.ParseError
		if errors.As(err, &pe) {
			line := min(max(pe.Position.Line, 1), 1+strings.Count(text, "\n"))
			c.errs = append(c.errs, fmt.Errorf("%s:%d: %s", c.name, line, tomlWords(pe, text, line)))
		} else {
			c.errs = append(c.errs, fmt.Errorf("%s: %w", c.name, err))
		}
		return f, false
	}
	for _, k := range md.Undecoded() {
		last := k[len(k)-1]
		line := 0
		sc := bufio.NewScanner(strings.NewReader(text))
		for i := 1; sc.Scan(); i++ {
			w, _, _ := strings.Cut(strings.TrimSpace(sc.Text()), "=")
			if strings.Trim(strings.TrimSpace(w), "[]") == last || strings.TrimSpace(w) == last {
				line = i
				break
			}
		}
		c.errs = append(c.errs, fmt.Errorf("%s:%d: nothing reads the key %q; check its spelling", c.name, line, k.String()))
	}
	return f, true
}

// percent reads an accuracy such as "2 %"; NaN when nothing is written.
func (c *checker) percent(table string, n int, key, s string) float64 {
	if s == "" {
		return math.NaN()
	}
	v, u, err := quantity.ParseQuantity(s)
	if err != nil || u.Dimension != quantity.Percent || v < 0 || v > 100 {
		c.fail(table, n, key, "%s = %q is no accuracy in percent; write one such as \"2 %%\"", key, s)
		return math.NaN()
	}
	return v
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
