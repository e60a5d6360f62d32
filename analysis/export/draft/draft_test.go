package draft_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"math/rand"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export"
	"weirbook/analysis/export/draft"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
	"weirbook/examples"
)

// open splits an example into its exports and what its tags really measure.
func open(t *testing.T, files []examples.File) (exports []export.File, truth map[string]string) {
	truth = map[string]string{}
	for _, f := range files {
		var b bytes.Buffer
		require.NoError(t, f.Write(&b))
		switch body := b.Bytes(); {
		case strings.HasPrefix(f.Name, "exports/"):
			exports = append(exports, mem(f.Name, body))
		case strings.HasSuffix(f.Name, "tags.csv"):
			rows, err := csv.NewReader(bytes.NewReader(body)).ReadAll()
			require.NoError(t, err)
			for _, r := range rows[1:] {
				truth[r[0]] = r[1]
			}
		}
	}
	return exports, truth
}

func mem(name string, body []byte) export.File {
	return export.File{Name: name, Size: int64(len(body)), Open: func() (io.ReadCloser, error) {
		return io.NopCloser(bytes.NewReader(body)), nil
	}}
}

func drafted(t *testing.T, exports ...export.File) *draft.Draft {
	r, err := export.Read(context.Background(), exports, export.Options{Looks: true})
	require.NoError(t, err)
	d := draft.Make(r, draft.Options{ZoneName: "America/Denver"})
	_, err = plant.Load("plant.toml", bytes.NewReader(d.PlantTOML), "tags.csv", bytes.NewReader(d.TagsCSV))
	require.NoError(t, err, "%s\n%s", d.PlantTOML, d.TagsCSV)
	return d
}

// On the example plants no tag is guessed wrong without a question, and most
// are guessed right. The truth is the plants' own tags.csv.
func TestExamples(t *testing.T) {
	if testing.Short() {
		t.Skip("whole simulated months; the tests without -short have it")
	}
	for name, make := range map[string]func(uint64) ([]examples.File, error){"demo": examples.Demo, "two trains": examples.TwoTrains} {
		files, err := make(examples.DemoSeed)
		require.NoError(t, err)
		exports, truth := open(t, files)
		d := drafted(t, exports...)
		right := 0
		for _, g := range d.Guesses {
			want, ok := truth[g.Tag]
			require.True(t, ok, g.Tag)
			if string(g.Measures) == want {
				right++
				continue
			}
			require.NotEmpty(t, g.Ask, "%s: %s taken for %s without a question", g.Tag, want, g.Measures)
		}
		require.Len(t, d.Guesses, len(truth), name)
		require.GreaterOrEqual(t, float64(right), 0.9*float64(len(truth)), "%s: %d of %d right", name, right, len(truth))
	}
}

// The clock of the two trains' second system stayed on winter time. Their own
// tags.csv says which train a tag belongs to, and where it is.
func TestTwoTrains(t *testing.T) {
	if testing.Short() {
		t.Skip("whole simulated months; the tests without -short have it")
	}
	files, err := examples.TwoTrains(examples.DemoSeed)
	require.NoError(t, err)
	exports, _ := open(t, files)
	d := drafted(t, exports...)
	q := d.Questions[len(d.Questions)-1]
	require.Contains(t, q, "clocks: ")
	require.Contains(t, q, "-60 min")
	require.Contains(t, string(d.PlantTOML), "Is one of the clocks off?")

	var b bytes.Buffer
	for _, f := range files {
		if strings.HasSuffix(f.Name, "tags.csv") {
			require.NoError(t, f.Write(&b))
		}
	}
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	want := map[string]string{}
	for _, r := range rows[1:] {
		want[r[0]] = r[2]
	}
	same, train := 0, 0
	for _, g := range d.Guesses {
		if g.At == want[g.Tag] {
			same++
		}
		if g.At[:3] == want[g.Tag][:3] {
			train++
		}
	}
	require.Equal(t, "outfall", want["MB-AIT-921"]) // whose name says the membrane train's
	require.Equal(t, len(want)-1, train)
	require.GreaterOrEqual(t, float64(same), 0.8*float64(len(want)))
	p := answered(t, d)
	require.Equal(t, []string{"FF", "MB"}, p.Trains())
	require.LessOrEqual(t, len(d.Questions), 18)
}

// wide writes an export of one tag, a row a minute.
func wide(head string, value func(i int) string) []byte {
	var b strings.Builder
	b.WriteString("time," + head + "\n")
	start := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	for i := 0; i < 4000; i++ {
		fmt.Fprintf(&b, "%s,%s\n", start.Add(time.Duration(i)*time.Minute).Format("2006-01-02 15:04"), value(i))
	}
	return []byte(b.String())
}

func TestOneTag(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	walk := 0.0
	step := func() float64 { walk = 0.98*walk + r.NormFloat64(); return walk }
	for _, c := range []struct {
		head  string
		value func(i int) string
		kind  quantity.Kind
		read  series.Reading
		unit  string
		ask   string // part of the question; "" if none is wanted, "?" if any
	}{
		// The commonest confusion of the trade: ORP under a unit of mg/L.
		{"AIT-7 (mg/L)", func(int) string { return fmt.Sprintf("%.0f", 640+8*step()) }, quantity.ORP, series.Continuous, "mV", "is the unit column wrong"},
		{"CL2 RESIDUAL [mg/L]", func(int) string { return fmt.Sprintf("%.0f", 640+8*step()) }, quantity.ORP, series.Continuous, "mV", "is the unit column wrong"},
		{"X-17", func(int) string { return fmt.Sprintf("%.0f", 640+8*step()) }, quantity.ORP, series.Continuous, "mV", ""},
		{"ORP (mV)", func(int) string { return fmt.Sprintf("%.1f", 640+8*step()) }, quantity.ORP, series.Continuous, "mV", ""},
		// And the other way round: a residual under the name of the probe.
		{"ORP-2 (mV)", func(int) string { return fmt.Sprintf("%.2f", 1.8+0.1*step()) }, quantity.ORP, series.Continuous, "mV", "?"},
		{"Effluent TRC (mg/L)", func(int) string { return fmt.Sprintf("%.2f", 1.8+0.1*step()) }, quantity.ChlorineTotal, series.Continuous, "mg/L", ""},
		{"Free chlorine (mg/L)", func(int) string { return fmt.Sprintf("%.2f", 1.8+0.1*step()) }, quantity.ChlorineFree, series.Continuous, "mg/L", ""},
		{"Effluent flow (gpm)", func(int) string { return fmt.Sprintf("%.0f", 600+20*step()) }, quantity.Flow, series.Continuous, "gpm", ""},
		{"Durchfluss m³/d", func(int) string { return fmt.Sprintf("%.0f", 9000+200*step()) }, quantity.Flow, series.Continuous, "m³/d", "Is this the flow through"},
		{"FLOW_MGD", func(int) string { return fmt.Sprintf("%.2f", 300+2*step()) }, quantity.Flow, series.Continuous, "MGD", "Is this the flow through"},
		{"Effluent flow (L/s) avg", func(int) string { return fmt.Sprintf("%.1f", 44+step()) }, quantity.Flow, series.Continuous, "L/s", ""},
		{"Effluent flow", func(int) string { return fmt.Sprintf("%.1f", 440+step()) }, quantity.Flow, series.Continuous, "gpm", "The export does not say. [unit: gpm"},
		{"FQI-9 (gal)", func(i int) string { return fmt.Sprint(1000000 + 37*i) }, quantity.FlowTotal, series.Counter, "gal", "Where does it measure?"},
		{"P-4 running", func(i int) string { return []string{"ON", "OFF"}[i/300%2] }, quantity.RunStatus, series.State, "on/off", ""},
		{"Blower1_Amps", func(int) string { return fmt.Sprintf("%.1f", 40+step()) }, quantity.Other, series.Continuous, "", ""},
		{"CCB_Cl2_SP", func(int) string { return "2.0" }, quantity.Other, series.State, "", ""},
		{"PIT-9 (psig)", func(int) string { return fmt.Sprintf("%.2f", 7+0.1*step()) }, quantity.Other, series.Continuous, "", ""},
		{"Metering pump (gph)", func(int) string { return fmt.Sprintf("%.2f", 7+0.1*step()) }, quantity.HypochloriteFeed, series.Continuous, "gal/h", "?"},
		{"pH", func(int) string { return fmt.Sprintf("%.2f", 7.1+0.02*step()) }, quantity.PH, series.Continuous, "pH", "Where does it measure?"},
		{"TIT-3 (degF)", func(int) string { return fmt.Sprintf("%.1f", 58+0.2*step()) }, quantity.Temp, series.Continuous, "°F", "Where does it measure?"},
		{"Turbidity NTU", func(int) string { return fmt.Sprintf("%.2f", 3+math.Abs(0.2*step())) }, quantity.TurbidityK, series.Continuous, "NTU", "Where does it measure?"},
		// Mostly not detected: results of a laboratory, and no state.
		{"Final TRC (mg/L)", func(i int) string { return map[bool]string{true: "0.06", false: "ND"}[i%40 == 7] }, quantity.ChlorineTotal, series.Grab, "mg/L", ""},
		{"ZZ-1", func(int) string { return fmt.Sprintf("%.3f", -4000+step()) }, quantity.Other, series.Continuous, "", "What does this measure"},
	} {
		d := drafted(t, mem("a.csv", wide(c.head, c.value)))
		require.Len(t, d.Guesses, 1)
		g := d.Guesses[0]
		require.Equal(t, c.kind, g.Measures, "%s: %+v", c.head, g)
		require.Equal(t, c.read, g.Reading, "%s: %+v", c.head, g)
		require.Equal(t, c.unit, g.Unit, "%s: %+v", c.head, g)
		switch c.ask {
		case "":
			require.Empty(t, g.Ask, "%s: %+v", c.head, g)
		case "?":
			require.NotEmpty(t, g.Ask, "%s: %+v", c.head, g)
		default:
			require.Contains(t, g.Ask, c.ask, "%s", c.head)
		}
		if c.kind != quantity.Other {
			require.NotEmpty(t, g.Why)
		}
	}
}

// A long export has no heading to split: the unit stays in the tag's name, and
// still is the unit. tags.csv carries it, so that the readings are converted.
func TestUnitInTagName(t *testing.T) {
	var b strings.Builder
	b.WriteString("time,tag,value\n")
	start := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	r := rand.New(rand.NewSource(2))
	for i := 0; i < 500; i++ {
		at := start.Add(time.Duration(i) * time.Minute).Format("2006-01-02 15:04")
		fmt.Fprintf(&b, "%s,Effluent flow (gpm),%.0f\n", at, 600+20*r.NormFloat64())
		fmt.Fprintf(&b, "%s,\"Cl2, µg/L\",%.0f\n", at, 1800+50*r.NormFloat64())
		fmt.Fprintf(&b, "%s,ORP [mV],%.0f\n", at, 640+5*r.NormFloat64())
		fmt.Fprintf(&b, "%s,Durchfluss m³/d,%.0f\n", at, 9000+200*r.NormFloat64())
	}
	d := drafted(t, mem("a.csv", []byte(b.String())))
	got := map[string]string{}
	for _, g := range d.Guesses {
		got[g.Tag] = string(g.Measures) + " " + g.Unit
		require.NotContains(t, g.Ask, "does not say", g.Tag)
	}
	require.Equal(t, map[string]string{"Effluent flow (gpm)": "flow gpm", "Cl2, µg/L": "chlorine_total µg/L", "ORP [mV]": "orp mV", "Durchfluss m³/d": "flow m³/d"}, got)
	require.True(t, bytes.HasPrefix(d.TagsCSV, []byte("\xef\xbb\xbftag,")), "a spreadsheet on Windows needs the mark to see UTF-8")
}

// Two questions about one tag are two sentences.
func TestQuestionsAreSentences(t *testing.T) {
	d := drafted(t, mem("a.csv", wide("Flow", func(i int) string { return fmt.Sprintf("%.3f", 4.5+float64(i%50)/100) })))
	require.Regexp(t, `\?? \[at: basin_outlet \| influent[^]]*\]; In which units are flows`, d.Guesses[0].Ask)
	require.Contains(t, string(d.TagsCSV), "]; In which units are flows")
}

// A file that fits both orders of day and month is asked about in plant.toml.
func TestAsksDateOrder(t *testing.T) {
	d := drafted(t, mem("a.csv", []byte("time,ORP\n05/03/2026 06:00,640\n06/03/2026 06:00,650\n")), mem("b.csv", wide("FIT-1 (MGD)", func(i int) string { return "3.1" })))
	require.Contains(t, string(d.PlantTOML), "#date_order = \"?\"")
}

// The same exports give the same draft, whatever their order.
func TestSameDraft(t *testing.T) {
	a, b := mem("a.csv", wide("ORP", func(i int) string { return fmt.Sprint(600 + i%50) })), mem("b.csv", wide("FIT-1 (MGD)", func(i int) string { return fmt.Sprintf("%.1f", 3+float64(i%7)/10) }))
	x, y := drafted(t, a, b), drafted(t, b, a)
	require.Equal(t, string(x.TagsCSV), string(y.TagsCSV))
	require.Equal(t, string(x.PlantTOML), string(y.PlantTOML))
}

// Where no date order fits alone, that is the first question, and none is made of
// values that nobody has read.
func TestDraftAsksOfFilesFirst(t *testing.T) {
	var b strings.Builder
	b.WriteString("time,tag,value\n")
	for day := 1; day <= 12; day++ {
		fmt.Fprintf(&b, "%02d/09/2026 00:00,FLOW1,2.3\n%02d/09/2026 00:00,HYPO1,5.1\n%02d/09/2026 00:00,XY9,1.5\n", day, day, day)
	}
	d := drafted(t, mem("a.csv", []byte(b.String())))
	require.Contains(t, d.Questions[0], "a.csv: every date fits day-first as well as month-first")
	require.Equal(t, quantity.Flow, d.Guesses[0].Measures)
	for _, g := range d.Guesses {
		require.NotContains(t, g.Ask, "unit")
		require.Contains(t, g.Why, "no reading of it could be read")
	}
	require.NotContains(t, string(d.PlantTOML)+string(d.TagsCSV), "NaN")
	require.Contains(t, string(d.PlantTOML), `#date_order = "?"`)

	d = drafted(t, mem("a.csv", []byte("time;FLOW1\n2026-03-25 06:00;2,386\n2026-03-25 06:15;2,387\n")))
	require.Contains(t, d.Questions[0], "Write decimal =")
	require.Contains(t, string(d.PlantTOML), `#decimal = "?"`)
}

// A chemical, a tank or a system that is named is not always what is measured.
func TestNamedBeside(t *testing.T) {
	for _, c := range []struct {
		name     string
		value    float64
		measures quantity.Kind
		at       string
	}{
		{"Total chlorine after SBS", 0.02, quantity.ChlorineTotal, "outfall"},
		{"Total chlorine before bisulfite", 1.9, quantity.ChlorineTotal, "basin_outlet"},
		{"CCT feed total chlorine residual", 2.4, quantity.ChlorineTotal, ""},
		{"Hypo day tank level", 5.1, quantity.Level, ""},
		{"AerDO1", 2.1, quantity.DissolvedOxygen, "aeration"},
		{"Scrubber ORP", 610, quantity.Other, ""},
		{"CCBTRC", 2.2, quantity.ChlorineTotal, "basin_outlet"},
	} {
		d := drafted(t, mem("a.csv", wide(c.name, func(i int) string { return fmt.Sprintf("%.3f", c.value*(1+float64(i*7%50)/500)) })))
		g := d.Guesses[0]
		require.Equal(t, c.measures, g.Measures, "%s: %v %s", c.name, g.Why, g.Ask)
		if c.at != "" {
			require.Equal(t, c.at, g.At, c.name)
		}
	}
}
