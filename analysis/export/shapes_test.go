package export

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// want is what stands beside a file of testdata/exports, written by hand: the
// options it is read with, every reading, every count set aside, and words that
// a message must hold. Lines:
//
//	option zone NAME | time_zone NAME | decimal D | date_order O | clock_offset D | rule TAG KIND UNIT READING [LOW HIGH]
//	option time_column | tag_column | value_column | quality_column HEADING, good_words | uncertain_words | bad_words WORD…
//	reading TAG TIME VALUE [FLAG]…    (all of them; TIME in UTC)
//	prefix                            (the readings are not listed)
//	aside TAG REASON COUNT            (all of them; TAG - for none)
//	unit TAG UNIT, description TAG TEXT, message WORDS, silent WORDS (that no message holds)
type want struct {
	opt      Options
	readings []string
	aside    []string
	units    [][2]string
	desc     [][2]string
	messages []string
	silent   []string
	prefix   bool
}

func readWant(t *testing.T, name string) want {
	b, err := os.ReadFile(name)
	require.NoError(t, err)
	var w want
	var src rule.SourceRule
	told := false
	s := bufio.NewScanner(bytes.NewReader(b))
	for s.Scan() {
		f := fields(s.Text())
		if len(f) == 0 {
			continue
		}
		switch f[0] {
		case "option":
			switch f[1] {
			case "zone":
				w.opt.Zone, err = time.LoadLocation(f[2])
				require.NoError(t, err)
			case "decimal":
				src.Decimal, told = f[2], true
			case "date_order":
				src.DateOrder, told = f[2], true
			case "time_column":
				src.TimeColumn, told = strings.Join(f[2:], " "), true
			case "value_times":
				src.ValueTimes, told = f[2], true
			case "midnight":
				src.Midnight, told = f[2], true
			case "fill_numbers":
				src.FillNumbers, told = []float64{}, true
				for _, x := range f[2:] {
					src.FillNumbers = append(src.FillNumbers, number(t, x))
				}
			case "value_column":
				src.ValueColumn, told = strings.Join(f[2:], " "), true
			case "tag_column":
				src.TagColumn, told = strings.Join(f[2:], " "), true
			case "quality_column":
				src.QualityColumn, told = strings.Join(f[2:], " "), true
			case "good_words":
				src.GoodWords, told = f[2:], true
			case "uncertain_words":
				src.UncertainWords, told = f[2:], true
			case "bad_words":
				src.BadWords, told = f[2:], true
			case "time_zone": // as [[source]] states it
				src.Zone, err = time.LoadLocation(f[2])
				require.NoError(t, err)
				told = true
			case "clock_offset":
				src.ClockOffset, err = time.ParseDuration(f[2])
				require.NoError(t, err)
				told = true
			case "rule":
				r := rule.TagRule{Kind: quantity.Kind(f[3]), Low: math.NaN(), High: math.NaN()}
				if f[4] != "-" {
					r.Unit, err = quantity.ParseUnit(f[4])
					require.NoError(t, err)
					r.HasUnit = true
				}
				var ok bool
				r.Reading, ok = series.ParseReading(f[5])
				require.True(t, ok)
				if len(f) > 6 { // in the exported unit, for legibility
					r.Low, r.High = number(t, f[6]), number(t, f[7])
					work, err := r.Working()
					require.NoError(t, err)
					r.Low, _ = quantity.Convert(r.Low, r.Unit, work)
					r.High, _ = quantity.Convert(r.High, r.Unit, work)
				}
				if w.opt.Rules == nil {
					w.opt.Rules = map[string]rule.TagRule{}
				}
				w.opt.Rules[f[2]] = r
			}
		case "reading":
			w.readings = append(w.readings, fmt.Sprintf("%s|%s|%s|%s", f[1], f[2], f[3], strings.Join(f[4:], " ")))
		case "aside":
			w.aside = append(w.aside, fmt.Sprintf("%s|%s|%s", f[1], strings.Join(f[2:len(f)-1], " "), f[len(f)-1]))
		case "unit":
			w.units = append(w.units, [2]string{f[1], f[2]})
		case "description":
			w.desc = append(w.desc, [2]string{f[1], strings.Join(f[2:], " ")})
		case "message":
			w.messages = append(w.messages, strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(s.Text()), "message")))
		case "silent":
			w.silent = append(w.silent, strings.Join(f[1:], " "))
		case "prefix":
			w.prefix = true
		default:
			t.Fatalf("%s: %q", name, s.Text())
		}
	}
	if told {
		w.opt.Sources = []rule.SourceRule{src}
	}
	return w
}

// fields splits at blanks, except within quotes.
func fields(s string) []string {
	var out []string
	for s = strings.TrimSpace(s); s != ""; s = strings.TrimSpace(s) {
		if s[0] == '"' {
			i := strings.IndexByte(s[1:], '"')
			out = append(out, s[1:1+i])
			s = s[i+2:]
			continue
		}
		i := strings.IndexByte(s, ' ')
		if i < 0 {
			return append(out, s)
		}
		out = append(out, s[:i])
		s = s[i:]
	}
	return out
}

func number(t *testing.T, s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

func memFile(name string, b []byte) record.File {
	return record.File{Name: name, Size: int64(len(b)), Open: func() (io.ReadCloser, error) { return closer{bytes.NewReader(b)}, nil }}
}

type closer struct{ *bytes.Reader }

func (closer) Close() error { return nil }

func TestShapes(t *testing.T) {
	dir := filepath.Join("..", "..", "testdata", "exports")
	list, err := filepath.Glob(filepath.Join(dir, "*.want"))
	require.NoError(t, err)
	require.Greater(t, len(list), 80)
	for _, wn := range list {
		name := strings.TrimSuffix(filepath.Base(wn), ".want")
		t.Run(name, func(t *testing.T) {
			w := readWant(t, wn)
			b, err := os.ReadFile(filepath.Join(dir, name))
			require.NoError(t, err)
			for _, block := range []int{0, 7, 64} {
				w.opt.BlockSize = block
				r, err := Read(context.Background(), []record.File{memFile(name, b)}, w.opt)
				require.NoError(t, err)
				compare(t, w, r)
			}
		})
	}
}

func compare(t *testing.T, w want, r *Result) {
	t.Helper()
	var got, aside []string
	tol := map[string]bool{}
	for _, x := range w.readings {
		tol[x] = true
	}
	for _, tag := range lex.SortedKeys(r.Series) {
		s := r.Series[tag]
		require.NoError(t, s.Check())
		for i := range s.T {
			tm := time.UnixMilli(s.T[i]).UTC().Format("2006-01-02T15:04:05.000Z")
			tm = strings.Replace(tm, ".000Z", "Z", 1)
			v := strconv.FormatFloat(s.V[i], 'f', -1, 64)
			line := fmt.Sprintf("%s|%s|%s|%s", tag, tm, v, strings.Join(s.F[i].Names(), " "))
			if !tol[line] { // a converted value: as printed, to half its last digit
				for _, x := range w.readings {
					p := strings.Split(x, "|")
					if p[0] == tag && p[1] == tm {
						e := number(t, p[2])
						half := 0.5
						if k := strings.IndexByte(p[2], '.'); k >= 0 {
							half = 0.5 * math.Pow(10, -float64(len(p[2])-k-1))
						}
						if math.Abs(e-s.V[i]) <= half && w.opt.Rules != nil && strings.Contains(p[2], ".") {
							line = fmt.Sprintf("%s|%s|%s|%s", tag, tm, p[2], strings.Join(s.F[i].Names(), " "))
						}
					}
				}
			}
			got = append(got, line)
		}
	}
	var texts []string
	for _, m := range r.Messages {
		texts = append(texts, m.Text)
		if m.Severity == ledger.Warning && strings.Contains(m.Text, "under [[source]]") {
			require.NotEmpty(t, m.Asks.Key, m.Text)
			require.Contains(t, m.Text, m.Asks.Key)
		}
	}
	all := strings.Join(texts, "\n")
	if !w.prefix {
		require.ElementsMatch(t, w.readings, got, "%s\n%+v", all, r.Files)
	} else {
		require.NotEmpty(t, got)
	}
	for _, l := range r.Ledger {
		require.True(t, l.AddsUp(), "%+v", l)
		for _, why := range ledger.Reasons() {
			if n := l.Aside[why]; n > 0 {
				tag := l.Tag
				if tag == "" {
					tag = "-"
				}
				aside = append(aside, fmt.Sprintf("%s|%s|%d", tag, why, n))
			}
		}
	}
	require.ElementsMatch(t, w.aside, aside, all)
	for _, m := range w.messages {
		require.Contains(t, all, m)
	}
	for _, m := range w.silent {
		require.NotContains(t, all, m)
	}
	for _, u := range w.units {
		found := ""
		for _, i := range r.Tags {
			if i.Name == u[0] {
				found = i.Unit
			}
		}
		require.Equal(t, u[1], found)
	}
	for _, u := range w.desc {
		found := ""
		for _, i := range r.Tags {
			if i.Name == u[0] {
				found = i.Description
			}
		}
		require.Equal(t, u[1], found)
	}
}
