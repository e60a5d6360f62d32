package reports

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"weirbook/analysis"
	"weirbook/analysis/contact"
	"weirbook/analysis/review"
	"weirbook/analysis/review/stat"
	"weirbook/reports/chart"
	"weirbook/reports/page"
)

const monthMillis = 30 * 24 * 3_600_000

// reviewMonthsPicture shows for each month how many hours were short, and how many
// could not be determined.
func reviewMonthsPicture(r *analysis.ReviewResult) (page.Picture, bool, error) {
	rec, p := r.Record, r.Review.Main
	c := &chart.Timeline{Title: "Hours short and hours not determined, by month", Zone: r.Plant.Zone, Start: rec.Start(p), End: rec.End(p)}
	for i := range rec.Basins {
		b := &rec.Basins[i]
		short, none := chart.Series{Name: "short", Form: chart.Bars}, chart.Series{Name: "not determined", Form: chart.Bars}
		for h := p.Lo; h < p.Hi; {
			mo, from := rec.At(h).Month(), h
			s, n := 0.0, 0.0
			for ; h < p.Hi && rec.At(h).Month() == mo; h++ {
				switch b.Verdict[h] {
				case contact.Short, contact.ShortWithin:
					s++
				case contact.NotDetermined:
					n++
				}
			}
			w := (rec.Hours[h-1].End - rec.Hours[from].Start)
			short.T, short.Y = append(short.T, rec.Hours[from].Start), append(short.Y, s)
			none.T, none.Y = append(none.T, rec.Hours[from].Start), append(none.Y, n)
			short.Width, none.Width = w*9/10, w*9/10
		}
		c.Panels = append(c.Panels, chart.Panel{Name: sentenceCase(b.Title) + ": short", Unit: "h", Series: []chart.Series{short}, Include: []float64{0, 1}},
			chart.Panel{Name: sentenceCase(b.Title) + ": not determined", Unit: "h", Series: []chart.Series{none}, Include: []float64{0, 1}})
	}
	if p.Len() < 80*24 {
		return page.Picture{}, false, nil
	}
	c.Message = reviewMonthsMessage(r)
	pic, err := picture("charts/hours-by-month.png", c, "")
	return pic, true, err
}

func reviewMonthsMessage(r *analysis.ReviewResult) string {
	var parts []string
	for _, x := range r.Review.Reliability {
		if x.What == "all that is asked" {
			parts = append(parts, fmt.Sprintf("%s: %s short and %s not determined of %s", x.Basin, count(x.Hours.N-x.Hours.Met), count(x.Record-x.Hours.N), plural(x.Record, "hour")))
		}
	}
	return "Hours short and not determined by month. " + strings.Join(parts, "; ") + "."
}

// reviewPlots draws the probability plots, each on the scale on which it is straighter.
func reviewPlots(r *analysis.ReviewResult) ([]page.Picture, error) {
	var out []page.Picture
	for _, pl := range r.Review.Plots {
		scale, straight := "normal", pl.RNormal
		if pl.Log {
			scale, straight = "log-normal", pl.RLog
		}
		c := &chart.Probability{Title: "Probability plot: " + pl.Name, Y: chart.Axis{Name: pl.Name, Unit: pl.Unit, Log: pl.Log}, Share: make([]float64, 0, len(pl.Values)),
			Note: fmt.Sprintf("%s (%s); Blom's plotting positions; %s scale, r = %.3f (%s)", plural(len(pl.Values), "value"), pl.What, scale, straight, otherScale(pl.Log, pl.RNormal, pl.RLog))}
		for i, v := range pl.Values {
			if pl.Log && !(v > 0) {
				continue
			}
			c.Values, c.Share, c.Below = append(c.Values, v), append(c.Share, pl.Position[i]), append(c.Below, pl.Below[i])
		}
		for _, l := range pl.Limits {
			c.Limits = append(c.Limits, chart.Limit{Name: l.Name, Value: l.Value})
		}
		sorted := stat.Sorted(pl.Values)
		for _, q := range []float64{0.5, 0.95, 0.05} {
			// The side that matters: high for a limit, low for what is asked at least.
			if v := stat.Quantile(sorted, q, stat.Type6); stat.Supported(len(sorted), q) && (q == 0.5 || pl.AtLeast == (q < 0.5)) && !(pl.Log && v <= 0) {
				c.Limits = append(c.Limits, chart.Limit{Name: fmt.Sprintf("%g %% of the values", 100*q), Value: significant(v, 3), Level: true})
			}
		}
		c.LineX, c.LineY = pl.Line()
		c.Message = fmt.Sprintf("Probability plot of %s: %d values from %.3g to %.3g %s, nearest to a %s line (r %.3f).", pl.Name, len(sorted), sorted[0], sorted[len(sorted)-1], pl.Unit, scale, straight)
		pic, err := picture("charts/probability-"+fileSlug(pl.Name)+".png", c, "")
		if err != nil {
			return nil, err
		}
		out = append(out, pic)
	}
	return out, nil
}

// otherScale says how straight the values lie on the scale that was not taken.
func otherScale(log bool, normal, logNormal float64) string {
	switch {
	case log:
		return fmt.Sprintf("on a normal scale %.3f", normal)
	case math.IsNaN(logNormal):
		return "none on a log-normal scale: some values are zero"
	}
	return fmt.Sprintf("on a log-normal scale %.3f", logNormal)
}

// significant rounds to so many significant digits, for a label.
func significant(v float64, n int) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', n, 64), 64)
	if err != nil {
		return v
	}
	return r
}

// reviewCapacityPictures draws each basin's residual on flow with the lines held and
// what CT asks.
func reviewCapacityPictures(r *analysis.ReviewResult) ([]page.Picture, error) {
	var out []page.Picture
	for _, pc := range r.Review.Capacity {
		for _, b := range pc.Basins {
			if len(b.X) < 20 || !(b.CT > 0) || math.IsNaN(b.Effective) {
				continue
			}
			k, unit := review.In(r.Plant.Units, 1, "MGD")
			c := &chart.Scatter{Title: "Residual that the " + b.Basin + " held at a flow, and what CT asks", X: chart.Axis{Name: "flow, peak of the hour", Unit: unit, Include: []float64{0}}, Y: chart.Axis{Name: "residual, lowest of the hour", Unit: "mg/L", Include: []float64{0}}}
			x := make([]float64, len(b.X))
			for i := range x {
				x[i] = b.X[i] * k
			}
			c.Groups = []chart.Group{{Name: "hours, instruments believed", X: x, Y: b.Y, Cloud: true}}
			const steps = 60
			var qs, need []float64
			for i := 0; i <= steps; i++ {
				q := b.MinFlow + (b.MaxFlow-b.MinFlow)*float64(i)/steps
				qs, need = append(qs, q*k), append(need, b.CT*q/(stat.MinutesPerDay*b.Effective))
			}
			c.Curves = append(c.Curves, chart.Curve{Name: "residual that CT requires at the flow", X: qs, Y: need})
			for i, n := range []string{"held by half of the hours", "held by nine hours in ten"} {
				l := b.Lines[i]
				if l.N > 0 && !math.IsNaN(l.Slope) {
					c.Curves = append(c.Curves, chart.Curve{Name: n, X: []float64{b.MinFlow * k, b.MaxFlow * k}, Y: []float64{l.At(b.MinFlow), l.At(b.MaxFlow)}})
				}
			}
			for _, v := range []struct {
				n string
				b review.Binding
			}{{"binds, half", b.Median}, {"binds, nine in ten", b.Careful}} {
				if !math.IsNaN(v.b.Flow) {
					c.XLimits = append(c.XLimits, chart.Limit{Name: v.n, Value: v.b.Flow * k})
				}
			}
			c.Message = "Lowest residual of each hour against its peak flow in the " + b.Basin + ", with the lines held by half and by nine in ten of the hours and the residual that CT asks. " + capacityWords(b.Careful, unit, k)
			c.Note = fmt.Sprintf("%d hours drawn of %d; %d left out, an instrument in doubt", len(b.X), b.N, b.Out)
			pic, err := picture("charts/capacity-"+fileSlug(b.Basin)+".png", c, "")
			if err != nil {
				return nil, err
			}
			out = append(out, pic)
		}
	}
	return out, nil
}

func capacityWords(b review.Binding, unit string, k float64) string {
	if math.IsNaN(b.Flow) {
		return sentenceCase(b.Why) + "."
	}
	return fmt.Sprintf("CT binds at %.3g %s for nine hours in ten.", b.Flow*k, unit)
}

// reviewDayPicture draws how each quantity runs over the day, as bands.
func reviewDayPicture(r *analysis.ReviewResult) (page.Picture, bool, error) {
	c := &chart.DayBands{Title: "Over the hours of the day, plant clock"}
	var said []string
	for _, name := range []string{"flow", "CT", "residual, lowest of the hour", "dose", "chlorine demand", "chlorine discharged"} {
		for _, p := range r.Review.Day {
			if p.Name != name || len(c.Panels) == 8 {
				continue
			}
			k, unit := review.In(r.Plant.Units, 1, p.Unit)
			b := chart.DayBand{Name: sentenceCase(p.Name) + ", " + p.Point, Unit: unit, IncludesZero: true}
			for h := range p.P50 {
				b.Lo, b.Mid, b.Hi = append(b.Lo, p.P10[h]*k), append(b.Mid, p.P50[h]*k), append(b.Hi, p.P90[h]*k)
			}
			top, at := stat.Extreme(b.Mid, false)
			low, atLow := stat.Extreme(b.Mid, true)
			if at < 0 {
				continue
			}
			said = append(said, fmt.Sprintf("%s (%s) is highest at %02d:00, %.3g %s, and lowest at %02d:00, %.3g", p.Name, p.Point, at, top, unit, atLow, low))
			c.Panels = append(c.Panels, b)
		}
	}
	if len(c.Panels) == 0 {
		return page.Picture{}, false, nil
	}
	c.Message = "Over the day, by medians of the hours: " + strings.Join(said, "; ") + "."
	pic, err := picture("charts/over-the-day.png", c, "")
	return pic, true, err
}

// reviewUsePicture shows chemical per volume by month.
func reviewUsePicture(r *analysis.ReviewResult) (page.Picture, bool, error) {
	rec, p := r.Record, r.Review.Main
	c := &chart.Timeline{Title: "Chemical per volume dosed, by month", Zone: r.Plant.Zone, Start: rec.Start(p), End: rec.End(p)}
	at := map[string]int{}
	k, unit := review.In(r.Plant.Units, 1, "lb/MG")
	n := 0
	for _, u := range r.Review.Use {
		i, ok := at[u.Feed]
		if !ok {
			i = len(c.Panels)
			at[u.Feed] = i
			c.Panels = append(c.Panels, chart.Panel{Name: u.Feed, Unit: unit, Series: []chart.Series{{Name: u.Feed, Form: chart.Bars, Width: monthMillis * 9 / 10}}, Include: []float64{0}})
		}
		s := &c.Panels[i].Series[0]
		s.T, s.Y = append(s.T, u.Start), append(s.Y, u.PoundsPerMG*k)
		if !math.IsNaN(u.PoundsPerMG) {
			n++
		}
	}
	if n == 0 || p.Len() < 80*24 {
		return page.Picture{}, false, nil
	}
	c.Message = "Chemical per volume of water dosed, month by month, for " + plural(len(c.Panels), "feed") + "."
	pic, err := picture("charts/chemical-by-month.png", c, "")
	return pic, true, err
}

// reviewCurvePictures draws the exceedance curves.
func reviewCurvePictures(r *analysis.ReviewResult) ([]page.Picture, error) {
	var out []page.Picture
	for _, x := range r.Review.Curves {
		k, unit := review.In(r.Plant.Units, 1, x.Unit)
		y := make([]float64, len(x.Values))
		for i := range y {
			y[i] = x.Values[i] * k
		}
		c := &chart.Scatter{Title: "How often exceeded: " + x.Name + ", daily means", X: chart.Axis{Name: "share of days exceeded", Unit: "%", Include: []float64{0, 100}}, Y: chart.Axis{Name: x.Name, Unit: unit, Include: []float64{0}},
			Curves: []chart.Curve{{Name: fmt.Sprintf("%d days", len(y)), X: x.Percent, Y: y}}, Note: "rank / (n + 1)",
			Message: fmt.Sprintf("Exceedance curve of %s: %.3g %s on a tenth of the days, %.3g on half.", x.Name, stat.Quantile(stat.Sorted(y), 0.9, stat.Type6), unit, stat.Median(y))}
		if strings.HasPrefix(x.Name, "CT over") {
			c.Limits = []chart.Limit{{Name: "required", Value: 1}}
		}
		pic, err := picture("charts/exceeded-"+fileSlug(x.Name)+".png", c, "")
		if err != nil {
			return nil, err
		}
		out = append(out, pic)
	}
	return out, nil
}

// reviewTrendPicture stacks the monthly medians that a trend was tested on.
func reviewTrendPicture(r *analysis.ReviewResult) ([]page.Picture, error) {
	rec, p := r.Record, r.Review.Main
	c := &chart.Timeline{Title: "Monthly medians", Zone: r.Plant.Zone, Start: rec.Start(p), End: rec.End(p)}
	var said []string
	for _, t := range r.Review.Trends {
		if t.Why != "" || len(c.Panels) == 7 || t.Name == "pH" {
			continue
		}
		k, unit := review.In(r.Plant.Units, 1, t.Unit)
		y := make([]float64, len(t.Median))
		for i := range y {
			y[i] = t.Median[i] * k
		}
		c.Panels = append(c.Panels, chart.Panel{Name: sentenceCase(t.Name) + ", " + t.Point, Unit: unit, Series: []chart.Series{{Name: "median", T: t.Start, Y: y, Form: chart.Step}}})
		said = append(said, t.Name+": "+t.Says)
	}
	if len(c.Panels) == 0 {
		return nil, nil
	}
	c.Message = "Monthly medians on one clock. " + strings.Join(said, "; ") + "."
	pic, err := picture("charts/monthly-medians.png", c, "")
	return []page.Picture{pic}, err
}

// reviewAgreementPictures draws differences of signal and grab against their mean.
func reviewAgreementPictures(r *analysis.ReviewResult) ([]page.Picture, error) {
	var out []page.Picture
	rec, p := r.Record, r.Review.Main
	for _, x := range r.Review.Instruments {
		if x.Agreement == nil || len(out) == 1 {
			continue
		}
		ok, doubt := chart.Group{Name: "instrument believed", Marker: chart.MarkCircle}, chart.Group{Name: "instrument in doubt, left out", Marker: chart.MarkTriangle}
		for _, q := range rec.Pairs {
			if q.Signal != x.Tag || q.At < rec.Start(p) || q.At >= rec.End(p) {
				continue
			}
			g := &ok
			if q.Doubt {
				g = &doubt
			}
			g.X, g.Y = append(g.X, (q.Read+q.Grab)/2), append(g.Y, q.Read-q.Grab)
		}
		if len(ok.X) > 400 {
			ok.Cloud = true
		}
		a := x.Agreement
		c := &chart.Scatter{Title: "Signal less grab: " + x.Tag, X: chart.Axis{Name: "mean of both", Unit: x.AgreeUnit}, Y: chart.Axis{Name: "signal less grab", Unit: x.AgreeUnit, Include: []float64{0}}, Groups: []chart.Group{ok},
			Limits:  []chart.Limit{{Name: "bias", Value: significant(a.Bias, 2), Level: true}, {Name: "upper limit of agreement", Value: significant(a.Limits.High, 2), Level: true}, {Name: "lower limit of agreement", Value: significant(a.Limits.Low, 2), Level: true}},
			Message: fmt.Sprintf("Differences of %s and %s grabs: bias %.3f %s, limits of agreement %.2f to %.2f.", x.Tag, count(a.N), a.Bias, x.AgreeUnit, a.Limits.Low, a.Limits.High)}
		if len(doubt.X) > 0 {
			c.Groups = append(c.Groups, doubt)
		}
		pic, err := picture("charts/signal-less-grab-"+fileSlug(x.Tag)+".png", c, "")
		if err != nil {
			return nil, err
		}
		out = append(out, pic)
	}
	return out, nil
}
