package draft_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export"
	"weirbook/analysis/export/draft"
	"weirbook/examples/simulate"
)

// tally counts process tags of a draft against the truth.
type tally struct {
	tags, right, asked, silent, questions int
	wrong                                 []string // silently
	open                                  []string // asked and not right
}

func (t *tally) add(o tally) {
	t.tags, t.right, t.asked, t.silent, t.questions = t.tags+o.tags, t.right+o.right, t.asked+o.asked, t.silent+o.silent, t.questions+o.questions
}

// want is what a tag is and where.
type want struct{ measures, at string }

// scored holds a draft against the truth: right without a question, asked about
// (whatever the guess), or wrong without a word.
func scored(d *draft.Draft, truth map[string]want) tally {
	out := tally{questions: len(d.Questions)}
	for _, g := range d.Guesses {
		w, ok := truth[g.Tag]
		if !ok {
			continue
		}
		out.tags++
		is := string(g.Measures) == w.measures && g.At == w.at
		switch {
		case g.Ask != "":
			out.asked++
			if !is {
				out.open = append(out.open, fmt.Sprintf("%s: %s@%s taken for %s@%s", g.Tag, w.measures, w.at, g.Measures, g.At))
			}
		case is:
			out.right++
		default:
			out.silent++
			out.wrong = append(out.wrong, fmt.Sprintf("%s: %s@%s taken for %s@%s (%s)", g.Tag, w.measures, w.at, g.Measures, g.At, strings.Join(g.Why, "; ")))
		}
	}
	return out
}

// named writes a month's exports under a style's names: a wide sheet of minutes,
// or every tag stored by exception, and the laboratory's sheet.
func named(m *simulate.Month, s style, exception bool) ([]export.File, map[string]want) {
	truth := map[string]want{}
	split := func(role string) (string, string) {
		n, d, _ := strings.Cut(s.tags[role], "|")
		return n, d
	}
	var long bytes.Buffer
	w := csv.NewWriter(&long)
	w.Write([]string{"Tag", "Description", "Time", "Value", "Unit"})
	for i := range m.Tags {
		t := &m.Tags[i]
		name, desc := split(t.Name)
		if name == "" {
			continue
		}
		truth[name] = want{t.Measures, t.At}
		unit := ""
		if s.units {
			unit = t.Unit
		}
		lastV, lastI := math.NaN(), -1<<30
		for k := range t.V {
			if t.Q[k] <= simulate.Bad || math.IsNaN(t.V[k]) {
				continue
			}
			// A value is stored when it left the deadband of half a percent of the
			// span, or after an hour.
			if exception && math.Abs(t.V[k]-lastV) < 0.005*(t.High-t.Low) && k-lastI < 60 {
				continue
			}
			lastV, lastI = t.V[k], k
			w.Write([]string{name, desc, time.Unix(m.Start+60*int64(k), 0).In(m.Loc).Format("2006-01-02 15:04:05"), strconv.FormatFloat(t.V[k], 'f', t.Decimals, 64), unit})
		}
	}
	w.Flush()
	var lab bytes.Buffer
	w = csv.NewWriter(&lab)
	w.Write([]string{"sampled", "tag", "result", "unit", "sample"})
	for _, l := range m.Lab {
		name, _ := split(l.Tag)
		if name == "" {
			continue
		}
		truth[name] = want{l.What, l.At}
		unit := l.Unit
		if !s.units {
			unit = ""
		}
		w.Write([]string{l.Time.Format("2006-01-02 15:04"), name, l.Qualifier + strconv.FormatFloat(l.Value, 'f', l.Decimals, 64), unit, l.Reading})
	}
	w.Flush()
	return []export.File{mem("history.csv", long.Bytes()), mem("lab.csv", lab.Bytes())}, truth
}

// TestStyles scores the draft on a plant under several ways to name its tags:
// nine of ten tags right or asked, none silently wrong.
func TestStyles(t *testing.T) {
	if testing.Short() {
		t.Skip("simulated fortnights; the tests without -short have it")
	}
	full := os.Getenv("DRAFT_SCORE") // "tune" and "held" score more plants, and print every tag that is not right
	regimes := []simulate.Regime{simulate.Nitrified}
	if full != "" {
		regimes = append(regimes, simulate.Chloraminated, simulate.Partly)
	}
	var all tally
	for _, regime := range regimes {
		m, err := simulate.Run(simulate.Config{Seed: 11, Days: 12, Plant: simulate.DefaultPlant(regime)})
		require.NoError(t, err)
		for k, s := range styles {
			if s.held != (full == "held") {
				continue
			}
			exports, truth := named(m, s, k%2 == 1)
			r, err := export.Read(context.Background(), exports, export.Options{Looks: true, Zone: m.Loc})
			require.NoError(t, err)
			d := draft.Make(r, draft.Options{ZoneName: "America/Denver"})
			got := scored(d, truth)
			all.add(got)
			t.Logf("%s, %s: %d tags, %d right, %d asked (%d of these guessed wrong), %d silently wrong, %d questions", regime, s.name, got.tags, got.right, got.asked, len(got.open), got.silent, got.questions)
			for _, x := range append(got.wrong, got.open...) {
				t.Log("   ", x)
			}
			for _, q := range d.Questions {
				if full != "" {
					t.Log("   ? ", q)
				}
			}
		}
	}
	t.Logf("all: %d tags, %d right, %d asked, %d silently wrong", all.tags, all.right, all.asked, all.silent)
	if full == "" {
		require.Zero(t, all.silent)
		require.GreaterOrEqual(t, float64(all.right), 0.7*float64(all.tags))
	}
}
