package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/finding"
	"weirbook/analysis/orp"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/reports/chart"
)

// onLine is a residual measured on line: its tag, the word for it, and its minutes.
type onLine struct {
	tag  plant.Tag
	word string
	col  []float64
}

// lawResidual is the on-line residual that a probe's law stands on; where that is
// not measured, the residual that CT is reckoned with.
func lawResidual(r *analysis.Result, b *analysis.Basin, m orp.Model) onLine {
	kind, word := quantity.ChlorineTotal, "total residual"
	if m.OnFree {
		kind, word = quantity.ChlorineFree, "free residual"
	}
	for _, t := range r.Plant.TagsAt(kind, b.Outlet) {
		if !t.Sampled() {
			return onLine{t, word, r.Minutes(t)}
		}
	}
	return onLine{b.ResidualTag, "residual", b.Residual}
}

// leastSlope is the slope, mV a decade, below which a fit tells of something else
// than chlorine: two electrons give 30 by Nernst's equation at 25 °C.
const leastSlope = 10

// namedEvents is how many events a scatter names, the longest first; the rest
// share one shape.
const namedEvents = 5

// orpScatter holds a probe against the residual that its law stands on, with what
// was fitted, and the grabs on top.
func orpScatter(r *analysis.Result, b *analysis.Basin, m orp.Model, on onLine, fs []finding.Finding) *chart.Scatter {
	tag, _ := r.Plant.Tag(m.Tag)
	mv := r.Minutes(tag)
	residual := on.col
	c := &chart.Scatter{Title: tag.Name + ", " + r.Plant.Title(tag.At) + ": ORP against residual" + atFault(fs),
		X: chart.Axis{Name: sentenceCase(on.word) + ", " + on.tag.Name, Unit: "mg/L", Log: true}, Y: chart.Axis{Name: "ORP", Unit: "mV"}, Note: m.Law}
	lo, hi, _ := cut(r, r.From, r.To)
	c.Bands, c.Curves = fittedBand(residual, m, lo, hi)
	least, below := 0.0, 0 // traces would push all that matters to the edge
	if len(c.Curves) > 0 {
		least = c.Curves[0].X[0] / 10
	}
	fs = slices.Clone(fs)
	slices.SortStableFunc(fs, func(a, b finding.Finding) int { return cmp.Compare(b.End-b.Start, a.End-a.Start) })
	group := make([]chart.Group, 1+min(len(fs), namedEvents+1))
	group[0] = chart.Group{Name: "minute means, every tenth", Cloud: true}
	for k, f := range fs {
		if k == namedEvents {
			group[k+1].Name = plural(len(fs)-namedEvents, "other event")
			break
		}
		group[k+1].Name = fmt.Sprintf("%s, %s", kindName(f.Kind), time.UnixMilli(f.Start).In(r.Plant.Zone).Format("2 Jan"))
	}
	for i := lo; i < hi; i += 10 {
		x, y := residual[i], mv[i]
		if !(x > 0) || math.IsNaN(y) {
			continue
		}
		if x < least {
			below++
			continue
		}
		k := 0
		at := r.Grid.Milli(i)
		for j, f := range fs {
			if f.Start <= at && at < f.End {
				k = min(j, namedEvents) + 1
				break
			}
		}
		group[k].X, group[k].Y = append(group[k].X, x), append(group[k].Y, y)
	}
	grabs := chart.Group{Strong: true}
	for _, t := range r.Plant.TagsAt(on.tag.Measures, b.Outlet) {
		s, ok := r.Series[t.Name]
		if !ok || !t.Sampled() {
			continue
		}
		from, to := s.Between(r.From, r.To)
		for k := from; k < to; k++ {
			i := r.Grid.Index(s.T[k])
			if i < lo || i >= hi || !s.Usable(k) || s.V[k] <= 0 || s.V[k] < least || math.IsNaN(mv[i]) {
				continue
			}
			grabs.X, grabs.Y = append(grabs.X, s.V[k]), append(grabs.Y, mv[i])
			grabs.Name = "grabs " + t.Name
		}
	}
	for _, g := range append(group, grabs) {
		if len(g.X) > 0 {
			c.Groups = append(c.Groups, g)
		}
	}
	if !m.Identified || m.Slope < leastSlope || m.Slope < 2*m.SlopeSD {
		c.Note = "These readings do not tell how ORP goes with the residual: it hardly varied, or something else sets the ORP"
	}
	if below > 0 {
		c.Note += fmt.Sprintf("; %s below %.2g mg/L not drawn", plural(below, "reading"), least)
	}
	return c
}

// fittedBand is the expected ORP over residual: for each step of residual the
// middle of what the model expected there. A step that was met for less than half
// an hour, or a hundredth of the time, says little and is left out.
func fittedBand(residual []float64, m orp.Model, lo, hi int) ([]chart.CurveBand, []chart.Curve) {
	const steps = 24
	x0, x1 := math.Inf(1), math.Inf(-1)
	for i := lo; i < hi; i++ {
		if residual[i] > 0 && !math.IsNaN(m.Expected[i]) {
			x0, x1 = math.Min(x0, residual[i]), math.Max(x1, residual[i])
		}
	}
	if !(x1 > x0) {
		return nil, nil
	}
	var sum [steps][3]float64
	var n [steps]float64
	w := math.Log(x1/x0) / steps
	for i := lo; i < hi; i++ {
		if !(residual[i] > 0) || math.IsNaN(m.Expected[i]) {
			continue
		}
		k := min(int(math.Log(residual[i]/x0)/w), steps-1)
		sum[k][0] += m.Lo[i]
		sum[k][1] += m.Expected[i]
		sum[k][2] += m.Hi[i]
		n[k]++
	}
	total := 0.0
	for _, v := range n {
		total += v
	}
	band := chart.CurveBand{Name: "normal range"}
	curve := chart.Curve{Name: "normal"}
	for k := range n {
		if n[k] < math.Max(30, total/100) {
			continue
		}
		x := x0 * math.Exp((float64(k)+0.5)*w)
		band.X, band.Lo, band.Hi = append(band.X, x), append(band.Lo, sum[k][0]/n[k]), append(band.Hi, sum[k][2]/n[k])
		curve.X, curve.Y = append(curve.X, x), append(curve.Y, sum[k][1]/n[k])
	}
	if len(curve.X) < 2 {
		return nil, nil
	}
	return []chart.CurveBand{band}, []chart.Curve{curve}
}

// atFault is the message of a probe's chart: for how long it was at fault.
func atFault(fs []finding.Finding) string {
	ms := int64(0)
	for _, f := range fs {
		if f.AtFault == finding.ORPProbe && f.Alarm() {
			ms += f.End - f.Start
		}
	}
	if ms == 0 {
		return ""
	}
	return ", the probe at fault for " + finding.Length(time.Duration(ms)*time.Millisecond)
}
