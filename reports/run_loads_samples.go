package reports

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"weirbook/analysis"
	"weirbook/analysis/discharge"
	"weirbook/analysis/loading"
	"weirbook/analysis/plant"
	"weirbook/analysis/series"
	"weirbook/analysis/sheet"
	"weirbook/reports/table"
)

// factorOf is the pounds factor of the report's unit system.
func factorOf(p *plant.Plant) loading.Factor {
	if p.Units == plant.Metric {
		return loading.Exact
	}
	return loading.Trade
}

// samplesTable sums up the loads of laboratory results, tag by tag.
func samplesTable(r *analysis.Result) *table.Table {
	t := &table.Table{Caption: "Loads of laboratory samples", Columns: []table.Column{{Name: "Sample"}, {Name: "Tag"}, {Name: "Kind"}, {Name: "Results"}, {Name: "Mean", Unit: "mg/L"}, {Name: "Flow-weighted", Unit: "mg/L"},
		{Name: "Mean load", Unit: unitOf(r, "lb/d")}, {Name: "Lowest", Unit: unitOf(r, "lb/d")}, {Name: "Highest", Unit: unitOf(r, "lb/d")}}}
	k := factorOf(r.Plant)
	for _, s := range r.Sampled {
		var mgL, loads []float64
		flow, product := 0.0, 0.0
		censored := 0
		for _, x := range s.Samples {
			mgL = append(mgL, x.MgL)
			loads = append(loads, k.PoundsPerDay(float64(x.Load), 1))
			if x.Flag&(series.LessThan|series.GreaterThan) != 0 {
				censored++
			}
			if !math.IsNaN(float64(x.Load)) {
				flow += x.FlowMGD
				product += float64(x.Load)
			}
		}
		_, mean, _, n := spread(mgL)
		if n == 0 {
			continue
		}
		low, load, high, known := spread(loads)
		weighted := table.NA("n.d.")
		if s.Tag.Reading == series.Grab {
			weighted = table.NA("–")
		} else if flow > 0 {
			weighted = table.Sig(product/flow, 3)
		}
		if known == 0 {
			load = math.NaN()
		}
		t.Rows = append(t.Rows, []table.Cell{table.Str(measured(r, s.Tag)), table.Str(s.Tag.Name), table.Str(s.Samples[0].Label), table.Int(n), table.Sig(mean, 3), weighted,
			sig(r, load, "lb/d"), sig(r, low, "lb/d"), sig(r, high, "lb/d")})
		if censored > 0 {
			t.Notes = append(t.Notes, fmt.Sprintf("%s: %s with < or > taken at the number written.", s.Tag.Name, plural(censored, "result")))
		}
	}
	if len(t.Rows) > 0 {
		t.Notes = append([]string{"A composite is applied to its own 24 hours, which end at its time. A grab stands for its moment: its load is a rate then, and no day's mass. samples.csv has every result."}, t.Notes...)
	}
	return t
}

func measured(r *analysis.Result, t plant.Tag) string {
	return kindTitle(t.Measures) + ", " + r.Plant.Title(t.At)
}

// sampleRow is a row of samples.csv. A column's unit stands after a blank in its
// tag and goes into its heading as the report's system has it.
type sampleRow struct {
	Start     sheet.Moment `csv:"sample_start" about:"begin of sampling, on the plant's clock"`
	End       sheet.Moment `csv:"sample_end" about:"its end; the same for a grab"`
	Tag       string       `csv:"tag" about:"the tag"`
	Measures  string       `csv:"measures" about:"what it measures, a word of tags.csv"`
	At        string       `csv:"at" about:"the sampling point"`
	Sample    string       `csv:"sample" about:"grab, or a composite with its hours"`
	Qualifier string       `csv:"qualifier" about:"< or > before the result"`
	Result    sheet.Number `csv:"result_mg_per_l" about:"the result, of a concentration"`
	Flow      sheet.Number `csv:"flow MGD" about:"flow while it was sampled"`
	Cover     sheet.Number `csv:"flow_coverage" about:"share of that time in which the flow is known"`
	Load      sheet.Number `csv:"load lb/d" about:"flow times concentration"`
	LoadLow   sheet.Number `csv:"load_low lb/d" about:"lower end of its band by the accuracies stated"`
	LoadHigh  sheet.Number `csv:"load_high lb/d" about:"upper end of its band"`
	Mass      sheet.Number `csv:"mass lb" about:"load over the sampling period; none of a grab"`
	Value     sheet.Number `csv:"result" about:"the result in the unit beside it, of whatever was measured"`
	Unit      string       `csv:"unit" about:"unit of result"`
	Written   string       `csv:"as_written" about:"what stands in the sheet, where that is more than a number"`
	Remark    string       `csv:"remark" about:"why it was left out, or how it was taken"`
	StartUTC  sheet.Moment `csv:"sample_start_utc" about:"begin in UTC"`
	EndUTC    sheet.Moment `csv:"sample_end_utc" about:"end in UTC"`
}

// compositeReach is how long a composite collects before its time, in milliseconds.
const compositeReach = 24 * 3_600_000

// labRemark says why a result was left out, or how it was taken.
func labRemark(x discharge.Result) string {
	if x.Note != "" {
		return "left out: " + x.Note
	}
	return x.Remark
}

// samplesCSV writes every laboratory result, those of concentrations with their
// load, and every word that stands in place of one.
func samplesCSV(r *analysis.Result) ([]byte, error) {
	var rows []sampleRow
	k := factorOf(r.Plant)
	num := func(v float64, working string) sheet.Number {
		v, _ = shown(v, working, r.Plant.Units)
		return digits(v, 7)
	}
	loads := map[string]analysis.SampledLoads{}
	for _, s := range r.Sampled {
		loads[s.Tag.Name] = s
	}
	for _, t := range r.Plant.Tags {
		if !t.Sampled() {
			continue
		}
		results := discharge.LabResults(r.Plant, discharge.TagData{Tag: t, Series: r.Series[t.Name], Lab: r.Read.Lab[t.Name]}, r.From-compositeReach, r.To+compositeReach)
		s, carried := loads[t.Name]
		withLoad := map[int64]bool{}
		of := func(at int64) (discharge.Result, bool) {
			for _, x := range results {
				if x.T == at {
					return x, true
				}
			}
			return discharge.Result{}, false
		}
		for _, x := range s.Samples {
			qualifier := string(discharge.SignOf(x.Flag))
			lbd := k.PoundsPerDay(float64(x.Load), 1)
			low, high := math.NaN(), math.NaN()
			if b := s.Band(x).Scale(k.PoundsPerDay(1, 1)); b.Half > 0 {
				low, high = math.Max(0, b.Low()), b.High()
			}
			lb := math.NaN()
			if x.End > x.Start { // a grab's moment carries no mass
				lb = lbd * float64(x.End-x.Start) / 86_400_000
			}
			rows = append(rows, sampleRow{sheet.At(x.Start, r.Plant.Zone), sheet.At(x.End, r.Plant.Zone), s.Tag.Name, string(s.Tag.Measures), s.Tag.At, x.Label, qualifier, digits(x.MgL, 7),
				num(x.FlowMGD, "MGD"), digits(x.FlowCover, 4), num(lbd, "lb/d"), num(low, "lb/d"), num(high, "lb/d"), num(lb, "lb"),
				digits(x.MgL, 7), s.Tag.Working.Symbol, "", "", sheet.Moment{}, sheet.Moment{}})
			withLoad[x.End] = true
			if lab, ok := of(x.End); ok {
				row := &rows[len(rows)-1]
				row.Written, row.Remark = lab.Written, labRemark(lab)
			}
		}
		for _, x := range results {
			at := x.T
			if t.Reading == series.Composite {
				at -= compositeReach / 2 // the middle of its 24 hours lies in the period
			}
			if carried && withLoad[x.T] || at < r.From || at >= r.To {
				continue
			}
			start := x.T
			if t.Reading == series.Composite {
				start -= compositeReach
			}
			row := sampleRow{Start: sheet.At(start, r.Plant.Zone), End: sheet.At(x.T, r.Plant.Zone), Tag: t.Name, Measures: string(t.Measures), At: t.At, Sample: t.Reading.String(),
				Qualifier: string(x.Value.Sign), Result: digits(math.NaN(), 7), Flow: digits(math.NaN(), 7), Cover: digits(math.NaN(), 4), Load: digits(math.NaN(), 7), LoadLow: digits(math.NaN(), 7),
				LoadHigh: digits(math.NaN(), 7), Mass: digits(math.NaN(), 7), Value: digits(x.Value.V, 7), Unit: t.Working.Symbol, Written: x.Written, Remark: labRemark(x)}
			if t.Working.Symbol == "mg/L" {
				row.Result = row.Value
			}
			rows = append(rows, row)
		}
	}
	for i := range rows {
		rows[i].StartUTC, rows[i].EndUTC = rows[i].Start.UTC(), rows[i].End.UTC()
	}
	return sheet.Rows(rows, unitHeading(r.Plant.Units))
}

// unitHeading is the heading of a column whose unit stands after a blank.
func unitHeading(system plant.System) func(string) string {
	return func(name string) string {
		if name, symbol, ok := strings.Cut(name, " "); ok {
			return columnKey(name, inSystem(unit(symbol), system))
		}
		return name
	}
}

// digits keeps so many significant digits, so that a written number does not carry
// the noise of its last bits.
func digits(v float64, n int) sheet.Number {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return sheet.Number(math.NaN())
	}
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', n, 64), 64)
	if err != nil {
		return sheet.Number(math.NaN())
	}
	return sheet.Number(r)
}
