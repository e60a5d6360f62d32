package draft_test

import (
	"bytes"
	"cmp"
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export"
	"weirbook/analysis/export/draft"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/examples"
	"weirbook/examples/plants"
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
		if w.at == "" { // plays no part: any place, and it may stay unnamed
			is = is || string(g.Measures) == w.measures || g.Measures == quantity.Other
		}
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
	w.Write([]string{"sampled", "tag", "description", "result", "unit", "sample"})
	for _, l := range m.Lab {
		name, desc := split(l.Tag)
		if name == "" {
			continue
		}
		truth[name] = want{l.What, l.At}
		unit := l.Unit
		if !s.units {
			unit = ""
		}
		w.Write([]string{l.Time.Format("2006-01-02 15:04"), name, desc, l.Qualifier + strconv.FormatFloat(l.Value, 'f', l.Decimals, 64), unit, l.Reading})
	}
	w.Flush()
	return []export.File{mem("history.csv", long.Bytes()), mem("lab.csv", lab.Bytes())}, truth
}

// answeredTrue answers every question about tags with the truth, as a person who
// knows the plant would, and gives the number of answers, those that a first report
// wants of plant.toml among them, and the tags that are then still wrong.
func answeredTrue(t *testing.T, d *draft.Draft, truth map[string]want, units map[string]string) (answers int, wrong []string) {
	f := draft.Files{Plant: d.PlantTOML, Tags: d.TagsCSV}
	for {
		open, err := draft.OpenQuestions(f)
		require.NoError(t, err)
		k := slices.IndexFunc(open, func(q draft.Open) bool { return len(q.Choices) > 0 })
		if k < 0 {
			for _, q := range open {
				if !q.Optional {
					answers++
				}
			}
			break
		}
		answers++
		var parts []string
		for tag, w := range truth {
			p := tag
			for _, c := range strings.Fields(open[k].Key) {
				switch c {
				case "measures":
					p += " " + w.measures
				case "at":
					p += " " + cmp.Or(w.at, "basin_outlet")
				case "unit":
					p += " " + units[tag]
				}
			}
			parts = append(parts, p)
		}
		f, err = open[k].Answer(f, strings.Join(parts, ", "))
		require.NoError(t, err, "%s: %s", open[k].Key, parts)
	}
	p, err := plant.Load("plant.toml", bytes.NewReader(f.Plant), "tags.csv", bytes.NewReader(f.Tags))
	require.NoError(t, err, "%s", f.Plant)
	for _, tag := range p.Tags {
		if w, ok := truth[tag.Name]; ok && w.at != "" && (string(tag.Measures) != w.measures || tag.At != w.at) {
			wrong = append(wrong, fmt.Sprintf("%s: %s@%s stands as %s@%s", tag.Name, w.measures, w.at, tag.Measures, tag.At))
		}
	}
	return answers, wrong
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
	most := 0
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
			units := map[string]string{}
			for i := range m.Tags {
				name, _, _ := strings.Cut(s.tags[m.Tags[i].Name], "|")
				units[name] = m.Tags[i].Unit
			}
			answers, wrong := answeredTrue(t, d, truth, units)
			most = max(most, answers)
			require.Len(t, wrong, got.silent, "%v", wrong)
			t.Logf("     %d answers to a first report", answers)
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
	t.Logf("at most %d answers to a first report", most)
	if full == "" {
		require.Less(t, most, 10)
		require.Zero(t, all.silent)
		require.GreaterOrEqual(t, float64(all.right), 0.70*float64(all.tags))
	}
}

// pointOf writes a point of package plants as a draft names it; train is the
// second one's "2", or "".
func pointOf(at string) (point, train string) {
	at, second := strings.CutSuffix(at, "_2")
	if second {
		train = "2"
	}
	if at == "inlet" || at == "middle" || at == "outlet" {
		at = "basin_" + at
	}
	return at, train
}

// TestOtherPlants scores the draft on the plants of package plants, whose tags
// another hand named, whose readings are stored by exception and by swinging
// doors, and whose exports state no unit.
func TestOtherPlants(t *testing.T) {
	full := os.Getenv("DRAFT_SCORE")
	if testing.Short() {
		t.Skip("simulated fortnights; the tests without -short have it")
	}
	half, every := plants.Tune, 4
	if full == "held" {
		half = plants.HeldOut
	}
	if full != "" {
		every = 1
	}
	configs, err := plants.Months(half, 0)
	require.NoError(t, err)
	var all tally
	drafts, readings, readRight := 0, 0, 0
	for k, c := range configs {
		if len(c.Events) > 0 || k%every != 0 {
			continue
		}
		c.Days = 12
		rec, err := plants.Make(c)
		if err != nil {
			t.Log(c.Name, err)
			continue
		}
		var exports []export.File
		truth, how := map[string]want{}, map[string]string{}
		for _, f := range rec.Files() {
			if strings.HasPrefix(f.Name, "exports/") {
				exports = append(exports, mem(f.Name, f.Data))
			} else if strings.HasSuffix(f.Name, "tags.csv") {
				rows, err := csv.NewReader(bytes.NewReader(f.Data)).ReadAll()
				require.NoError(t, err)
				for _, row := range rows[1:] {
					truth[row[0]] = want{row[1], row[2]}
					how[row[0]] = row[4]
				}
			}
		}
		r, err := export.Read(context.Background(), exports, export.Options{Looks: true, Zone: rec.Loc})
		require.NoError(t, err)
		d := draft.Make(r, draft.Options{ZoneName: c.Site.Zone})
		// Points are compared without the names of trains: of two trains the tags of
		// the second must not stand where those of the first do.
		firstAt := map[string]bool{}
		for _, g := range d.Guesses {
			if w, ok := truth[g.Tag]; ok {
				if _, second := pointOf(w.at); second == "" {
					firstAt[g.At] = true
				}
			}
		}
		for i := range d.Guesses {
			g := &d.Guesses[i]
			w, ok := truth[g.Tag]
			if !ok {
				continue
			}
			readings++
			if g.Reading.String() == how[g.Tag] {
				readRight++
			} else if full != "" {
				t.Logf("     reading %s %s for %s: %v", g.Tag, g.Reading, how[g.Tag], g.Why)
			}
			point, second := pointOf(w.at)
			at := g.At
			if c.Site.Trains == 2 && strings.HasSuffix(at, "_"+point) && (second == "" || !firstAt[at]) {
				at = point
			}
			if c.Site.Trains == 2 && point == "outfall" && strings.HasSuffix(at, "dechlorinated") {
				at = point
			}
			if second != "" && at == g.At {
				at = "not of its train: " + at
			}
			truth[g.Tag] = want{w.measures, point}
			g.At = at
		}
		got := scored(d, truth)
		all.add(got)
		drafts++
		t.Logf("%s (style %d, %d trains): %d tags, %d right, %d asked (%d of these guessed wrong), %d silently wrong, %d questions", c.Name, c.Site.Style, c.Site.Trains, got.tags, got.right, got.asked, len(got.open), got.silent, got.questions)
		for _, x := range append(got.wrong, got.open...) {
			t.Log("     ", x)
		}
		for _, q := range d.Questions {
			if full != "" {
				t.Log("     ? ", q)
			}
		}
	}
	if full == "" {
		require.Zero(t, all.silent)
	}
	t.Logf("all: %d drafts, %d tags, %d right, %d asked, %d silently wrong; %d of %d readings right; %.1f questions a plant", drafts, all.tags, all.right, all.asked, all.silent, readRight, readings, float64(all.questions)/float64(drafts))
}

// TestExamplesScored scores the draft on the plants that come with the program.
func TestExamplesScored(t *testing.T) {
	if testing.Short() {
		t.Skip("whole simulated months; the tests without -short have it")
	}
	for name, make := range map[string]func(uint64) ([]examples.File, error){"demo": examples.Demo, "two trains": examples.TwoTrains} {
		files, err := make(examples.DemoSeed)
		require.NoError(t, err)
		exports, _ := open(t, files)
		truth := map[string]want{}
		for _, f := range files {
			if strings.HasSuffix(f.Name, "tags.csv") {
				var b bytes.Buffer
				require.NoError(t, f.Write(&b))
				rows, err := csv.NewReader(&b).ReadAll()
				require.NoError(t, err)
				for _, r := range rows[1:] {
					truth[r[0]] = want{r[1], r[2]}
				}
			}
		}
		d := drafted(t, exports...)
		got := scored(d, truth)
		t.Logf("%s: %d tags, %d right, %d asked (%d of these guessed wrong), %d silently wrong, %d questions", name, got.tags, got.right, got.asked, len(got.open), got.silent, got.questions)
		for _, x := range append(got.wrong, got.open...) {
			t.Log("   ", x)
		}
		for _, q := range d.Questions {
			t.Log("   ? ", q)
		}
		require.Zero(t, got.silent)
	}
}
