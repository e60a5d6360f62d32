package analysis

import (
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"
	"strings"
	"time"
	"unicode"

	"weirbook/analysis/quantity"
)

// structSettings lists the exported fields of a settings struct: numbers, spans
// of time and words. Every package keeps its thresholds in one such struct, so
// the report can print them all without naming them twice.
func structSettings(prefix string, settings any) []Setting {
	var out []Setting
	v := reflect.ValueOf(settings)
	for i := range v.NumField() {
		f := v.Type().Field(i)
		if !f.IsExported() {
			continue
		}
		if f.Type.Kind() == reflect.Struct { // a step's thresholds within its package's
			out = append(out, structSettings(prefix, v.Field(i).Interface())...)
			continue
		}
		var text string
		switch x := v.Field(i).Interface().(type) {
		case *time.Location:
			continue // a clock, not a threshold
		case time.Duration:
			text = x.String()
		case float64, int, bool, string:
			text = fmt.Sprint(x)
		case map[quantity.Kind]float64:
			for _, k := range slices.Sorted(maps.Keys(x)) {
				out = append(out, Setting{Name: prefix + snake(f.Name) + "." + string(k), Value: fmt.Sprint(x[k])})
			}
			continue
		default:
			continue
		}
		out = append(out, Setting{Name: prefix + snake(f.Name), Value: text})
	}
	return out
}

// override sets the named thresholds of a settings struct (a pointer to it), those of
// the structs in it among them, by the names that structSettings prints.
func override(settings any, by map[string]float64) error {
	fields := map[string]reflect.Value{}
	var collect func(v reflect.Value)
	collect = func(v reflect.Value) {
		for i := range v.NumField() {
			switch f := v.Field(i); f.Kind() {
			case reflect.Struct:
				collect(f)
			case reflect.Int, reflect.Float64:
				fields[snake(v.Type().Field(i).Name)] = f
			}
		}
	}
	collect(reflect.ValueOf(settings).Elem())
	for _, name := range slices.Sorted(maps.Keys(by)) {
		f, ok := fields[name]
		x := by[name]
		switch {
		case !ok:
			return fmt.Errorf("there is no setting %q; there are %s", name, strings.Join(slices.Sorted(maps.Keys(fields)), ", "))
		case !(x > 0) || x > 1e9:
			return fmt.Errorf("%s = %v: a positive number is needed", name, x)
		case f.Kind() == reflect.Int && x != math.Trunc(x):
			return fmt.Errorf("%s = %v: a whole number is needed", name, x)
		case f.Kind() == reflect.Int:
			f.SetInt(int64(x))
		default:
			f.SetFloat(x)
		}
	}
	return nil
}

// snake turns FrozenFor into frozen_for.
func snake(s string) string {
	var b strings.Builder
	rs := []rune(s)
	for i, c := range rs {
		if unicode.IsUpper(c) && i > 0 && (unicode.IsLower(rs[i-1]) || i+1 < len(rs) && unicode.IsLower(rs[i+1])) {
			b.WriteByte('_')
		}
		b.WriteRune(unicode.ToLower(c))
	}
	return b.String()
}
