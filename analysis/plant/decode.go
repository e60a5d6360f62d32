package plant

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"weirbook/analysis/quantity"
)

// The keys of plant.toml are the fields of Plant and of what it holds. A field's
// tags say how its key is read:
//
//	toml:"volume"       the key
//	unit:"gal"          a number with its unit, "110000 gal", kept in this unit; "%" is
//	                    an accuracy; "later": the unit hangs on another key, see
//	                    checker.quantity
//	range:"0.01 1"      the least and most that a number, a quantity in its unit, or a
//	                    span of time may be
//	oneof:"us metric"   the words it may be; the first stands where nothing is written,
//	                    unless the list begins with a blank
//	default:"0.75"      what stands where nothing is written: else 0, "" or, of
//	                    numbers with a fraction, NaN

// decode fills p from the text and refuses keys that nothing reads: a misspelt key
// would otherwise be a setting that silently does not apply.
func decode(c *checker, text string, p *Plant) bool {
	_, err := toml.Decode(text, &c.tree)
	if err != nil {
		var pe toml.ParseError
		if errors.As(err, &pe) {
			line := min(max(pe.Position.Line, 1), 1+strings.Count(text, "\n"))
			c.errs = append(c.errs, fmt.Errorf("%s:%d: %s", c.name, line, tomlWords(pe, text, line)))
		} else {
			c.errs = append(c.errs, fmt.Errorf("%s: %w", c.name, err))
		}
		return false
	}
	// Times are read on the plant's clock, so that comes first.
	if zone, ok := c.tree["time_zone"].(string); ok && zone != "" {
		c.zone = c.loc("", 0, "time_zone", zone)
	} else {
		c.fail("", 0, "time_zone", "no time_zone; write one such as time_zone = \"America/Denver\"")
	}
	c.table("", c.tree, reflect.ValueOf(p).Elem())
	return true
}

// table fills a struct from the table at a path.
func (c *checker) table(path string, from map[string]any, into reflect.Value) {
	known := map[string]bool{}
	for i := range into.NumField() {
		f := into.Type().Field(i)
		key := f.Tag.Get("toml")
		if key == "" {
			continue
		}
		known[key] = true
		c.defaults(f, into.Field(i))
		if v, ok := from[key]; ok {
			c.value(under(path, key), f, v, into.Field(i))
		} else if f.Type.Kind() == reflect.Struct && f.Type != reflect.TypeFor[time.Time]() { // its defaults
			c.value(under(path, key), f, map[string]any{}, into.Field(i))
		}
	}
	for _, k := range slices.Sorted(maps.Keys(from)) {
		if !known[k] {
			c.failAt(under(path, k), "nothing reads the key %q; check its spelling", withoutIndex(under(path, k)))
		}
	}
}

// defaults sets what stands where nothing is written.
func (c *checker) defaults(f reflect.StructField, into reflect.Value) {
	d, ok := f.Tag.Lookup("default")
	switch into.Kind() {
	case reflect.Float64:
		into.SetFloat(math.NaN())
		if ok {
			v, _ := strconv.ParseFloat(d, 64)
			into.SetFloat(v)
		}
	case reflect.Int, reflect.Int64:
		if span, err := time.ParseDuration(d); err == nil {
			into.SetInt(int64(span))
		}
		if v, err := strconv.Atoi(d); err == nil {
			into.SetInt(int64(v))
		}
	case reflect.String:
		if words, ok := f.Tag.Lookup("oneof"); ok {
			into.SetString(strings.Split(words, " ")[0])
		}
	}
}

// value puts what is written at a path into a field.
func (c *checker) value(path string, f reflect.StructField, v any, into reflect.Value) {
	switch x := into.Addr().Interface().(type) {
	case *time.Duration:
		if s, ok := c.word(path, v); ok {
			*x = c.span(path, f, s)
		}
		return
	case *time.Time:
		*x = c.moment(path, v)
		return
	case *[]time.Time:
		for _, e := range c.list(path, v) {
			if t := c.moment(path, e); !t.IsZero() {
				*x = append(*x, t)
			}
		}
		return
	case *[]Span:
		*x = c.periods(path, v)
		return
	}
	switch into.Kind() {
	case reflect.String:
		if s, ok := c.word(path, v); ok {
			into.SetString(c.oneOf(path, f, s))
		}
	case reflect.Bool:
		if b, ok := v.(bool); ok {
			into.SetBool(b)
		} else {
			c.failAt(path, "%s = %v; write true or false", keyOf(path), v)
		}
	case reflect.Float64:
		into.SetFloat(c.number(path, f, v))
	case reflect.Int:
		if n := c.number(path, f, v); n == math.Trunc(n) {
			into.SetInt(int64(n))
		} else if !math.IsNaN(n) {
			c.failAt(path, "%s = %g is no whole number", keyOf(path), n)
		}
	case reflect.Pointer:
		into.Set(reflect.New(into.Type().Elem()))
		c.value(path, f, v, into.Elem())
	case reflect.Struct:
		if m, ok := v.(map[string]any); ok {
			c.table(path, m, into)
		} else {
			c.failAt(path, "%s is a table; write [%s] above its keys", keyOf(path), withoutIndex(path))
		}
	case reflect.Map:
		m, ok := v.(map[string]any)
		if !ok {
			c.failAt(path, "%s is a table; write [%s] above its keys", keyOf(path), withoutIndex(path))
			return
		}
		into.Set(reflect.MakeMap(into.Type()))
		for _, k := range slices.Sorted(maps.Keys(m)) {
			into.SetMapIndex(reflect.ValueOf(k), reflect.ValueOf(c.number(under(path, k), reflect.StructField{}, m[k])))
		}
	case reflect.Array:
		list, ok := v.([]any)
		if !ok || len(list) != into.Len() {
			c.failAt(path, "%s: write %d numbers between brackets, as in [1.5, 2000]", keyOf(path), into.Len())
			return
		}
		for i, e := range list {
			c.value(path, f, e, into.Index(i))
		}
	case reflect.Slice:
		c.slice(path, f, v, into)
	default:
		panic("plant: no way to read a " + into.Type().String())
	}
}

func (c *checker) slice(path string, f reflect.StructField, v any, into reflect.Value) {
	tables := into.Type().Elem().Kind() == reflect.Struct
	for i, e := range c.list(path, v) {
		one := reflect.New(into.Type().Elem()).Elem()
		at := path
		if tables {
			at = fmt.Sprintf("%s[%d]", path, i)
			if _, ok := e.(map[string]any); !ok {
				c.failAt(path, "%s is a list of tables; write [[%s]] above the keys of each", keyOf(path), withoutIndex(path))
				return
			}
		}
		mistakes := len(c.errs)
		c.value(at, reflect.StructField{Tag: f.Tag}, e, one)
		if tables || len(c.errs) == mistakes {
			into.Set(reflect.Append(into, one))
		}
	}
}

// list takes ["a", "b"] and "a".
func (c *checker) list(path string, v any) []any {
	switch x := v.(type) {
	case []any:
		return x
	case []map[string]any:
		var out []any
		for _, m := range x {
			out = append(out, m)
		}
		return out
	}
	return []any{v}
}

func (c *checker) word(path string, v any) (string, bool) {
	s, ok := v.(string)
	if !ok {
		c.failAt(path, "%s = %v is no text; write it between quotation marks: \"%v\"", keyOf(path), v, v)
	}
	return s, ok
}

// percentMeant suggests the word that "trade %" stands for.
func percentMeant(s string, words []string) string {
	long := strings.Join(strings.Fields(strings.ReplaceAll(s, "%", " percent")), " ")
	for _, w := range words {
		if long != s && strings.EqualFold(w, long) {
			return fmt.Sprintf("; did you mean %q?", w)
		}
	}
	return ""
}

// oneOf holds a word against those of the field's tag.
func (c *checker) oneOf(path string, f reflect.StructField, s string) string {
	list, ok := f.Tag.Lookup("oneof")
	if !ok {
		return s
	}
	words := strings.Split(list, " ")
	if s == "" {
		return words[0]
	}
	for _, w := range words {
		if strings.EqualFold(w, strings.TrimSpace(s)) {
			return w
		}
	}
	c.failAt(path, "%s = %q is unknown; write one of %s%s", keyOf(path), s, strings.TrimPrefix(strings.Join(words, ", "), ", "), percentMeant(s, words))
	return words[0]
}

// number takes a number, or a quantity where the field's tag names a unit.
func (c *checker) number(path string, f reflect.StructField, v any) float64 {
	unit := f.Tag.Get("unit")
	var x float64
	switch n := v.(type) {
	case int64:
		x = float64(n)
	case float64:
		x = n
	default:
		s, ok := v.(string)
		switch {
		case ok && unit == "later":
			return math.NaN()
		case ok && unit == "%":
			return c.percent(path, s)
		case ok && unit != "":
			return c.inRange(path, f, c.in(path, s, unit), s)
		}
		c.failAt(path, "%s = %v is no number; write it without quotation marks and unit", keyOf(path), quoted(v))
		return math.NaN()
	}
	if unit == "later" {
		unit = "gal"
	}
	if unit != "" {
		c.failAt(path, "%s = %g has no unit; write it with its unit between quotation marks, as in \"10 %s\"%s", keyOf(path), x, unit, unitsThatFit(quantity.MustUnit(unit)))
		return math.NaN()
	}
	if math.IsNaN(x) || math.IsInf(x, 0) {
		c.failAt(path, "%s = %g is no number", keyOf(path), x)
		return math.NaN()
	}
	return c.inRange(path, f, x, "")
}

func quoted(v any) any {
	if s, ok := v.(string); ok {
		return strconv.Quote(s)
	}
	return v
}

// inRange holds a number against the least and the most of the field's tag.
func (c *checker) inRange(path string, f reflect.StructField, v float64, written string) float64 {
	bounds, ok := f.Tag.Lookup("range")
	if !ok || math.IsNaN(v) {
		return v
	}
	a, b, _ := strings.Cut(bounds, " ")
	low, err1 := strconv.ParseFloat(a, 64)
	high, err2 := strconv.ParseFloat(b, 64)
	if err1 != nil || err2 != nil {
		panic("plant: range " + bounds)
	}
	if !(v >= low && v <= high) {
		unit := ""
		if u := f.Tag.Get("unit"); u != "" {
			unit = " " + u
		}
		if written == "" {
			written = fmt.Sprintf("%g", v)
		}
		c.failAt(path, "%s = %s is outside %g to %g%s", keyOf(path), written, low, high, unit)
	}
	return v
}

// in reads a quantity such as "110000 gal" into the unit asked for; NaN when
// nothing is written.
func (c *checker) in(path, s, unit string) float64 {
	if s == "" {
		return math.NaN()
	}
	want := quantity.MustUnit(unit)
	v, u, err := quantity.ParseQuantity(s)
	if err == nil {
		v, err = quantity.Convert(v, u, want)
	}
	if err != nil {
		c.failAt(path, "%s: %v; write a number with its unit, as in \"10 %s\"%s", keyOf(path), err, want.Symbol, unitsThatFit(want))
		return math.NaN()
	}
	if v < 0 {
		c.failAt(path, "%s = %q is negative", keyOf(path), s)
	}
	return v
}

// unitsThatFit lists what a quantity may be written in, where there is a choice.
func unitsThatFit(u quantity.Unit) string {
	all := quantity.SymbolsOf(u.Dimension)
	if len(all) < 2 {
		return ""
	}
	return " (" + strings.Join(all, ", ") + ")"
}

// percent reads an accuracy such as "2 %"; NaN when nothing is written.
func (c *checker) percent(path, s string) float64 {
	if s == "" {
		return math.NaN()
	}
	v, u, err := quantity.ParseQuantity(s)
	if err != nil || u.Dimension != quantity.Percent || v < 0 || v > 100 {
		c.failAt(path, "%s = %q is no accuracy in percent; write one such as \"2 %%\"", keyOf(path), s)
		return math.NaN()
	}
	return v
}

// span reads a span of time within the bounds of the field's tag.
func (c *checker) span(path string, f reflect.StructField, s string) time.Duration {
	bare := strings.TrimLeft(s, "-−+ ")
	d, err := parseDuration(bare)
	if strings.HasPrefix(s, "-") || strings.HasPrefix(s, "−") {
		d = -d
	}
	if err != nil {
		c.failAt(path, "%s: %v", keyOf(path), err)
		return d
	}
	if a, b, ok := strings.Cut(f.Tag.Get("range"), " "); ok {
		low, err1 := time.ParseDuration(a)
		high, err2 := time.ParseDuration(b)
		if err1 != nil || err2 != nil {
			panic("plant: range " + f.Tag.Get("range"))
		}
		if d < low || d > high {
			c.failAt(path, "%s = %q is outside %s to %s", keyOf(path), s, spanWords(low), spanWords(high))
		}
	}
	return d
}

func spanWords(d time.Duration) string {
	switch {
	case d%(24*time.Hour) == 0 && d != 0:
		return fmt.Sprintf("%g days", d.Hours()/24)
	case d%time.Minute == 0:
		return fmt.Sprintf("%g min", d.Minutes())
	}
	return fmt.Sprintf("%g s", d.Seconds())
}

// moment reads a time on the plant's clock, written as text or as TOML's own; the
// zero time where it cannot.
func (c *checker) moment(path string, v any) time.Time {
	switch x := v.(type) {
	case time.Time:
		// A time without an offset comes in a zone that only says so.
		if name := x.Location().String(); name == "datetime-local" || name == "date-local" {
			return time.Date(x.Year(), x.Month(), x.Day(), x.Hour(), x.Minute(), x.Second(), 0, c.zone)
		}
		return x
	case string:
		t, err := ParseTime(x, c.zone)
		if err != nil {
			c.failAt(path, "%s: %v", keyOf(path), err)
			return time.Time{}
		}
		return t
	}
	c.failAt(path, "%s = %v is no time; write 2026-03-14, 2026-03-14 06:30 or 2026-03-14T06:30:00-06:00", keyOf(path), v)
	return time.Time{}
}

// periods reads tables with from and to.
func (c *checker) periods(path string, v any) []Span {
	var out []Span
	for i, e := range c.list(path, v) {
		at := fmt.Sprintf("%s[%d]", path, i)
		m, ok := e.(map[string]any)
		if !ok {
			c.failAt(path, "%s: write { from = \"2026-03-01\", to = \"2026-03-08\" }", keyOf(path))
			continue
		}
		for _, k := range slices.Sorted(maps.Keys(m)) {
			if k != "from" && k != "to" {
				c.failAt(under(at, k), "nothing reads the key %q; check its spelling", withoutIndex(under(at, k)))
			}
		}
		if m["from"] == nil || m["to"] == nil {
			c.failAt(at, "%s: a stretch of time needs from and to", keyOf(path))
			continue
		}
		from, to := c.moment(under(at, "from"), m["from"]), c.moment(under(at, "to"), m["to"])
		if from.IsZero() || to.IsZero() {
			continue
		}
		if !from.Before(to) {
			c.failAt(at, "%s: from %v is not before to %v", keyOf(path), m["from"], m["to"])
			continue
		}
		out = append(out, Span{from, to})
	}
	return out
}

// keyOf is a path as it is written within its table: "require.ct" for
// "basin[1].require.ct".
func keyOf(path string) string {
	if _, key, ok := strings.Cut(path, "]."); ok {
		return keyOf(key)
	}
	return withoutIndex(path)
}

func withoutIndex(path string) string {
	var b strings.Builder
	for part := range strings.SplitSeq(path, "[") {
		if i := strings.IndexByte(part, ']'); i >= 0 && b.Len() > 0 {
			part = part[i+1:]
		}
		b.WriteString(part)
	}
	return b.String()
}
