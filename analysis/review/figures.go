package review

import (
	"fmt"
	"math"

	"weirbook/analysis/review/stat"
)

// figures gathers every figure with its definition for review.csv.
func (m *maker) figures(r *Review) {
	var out []Figure
	add := func(f Figure) {
		if f.Period == "" {
			f.Period = "whole"
		}
		u := f.Unit
		f.Value, f.Unit = In(m.rec.Plant.Units, f.Value, u)
		f.Low, _ = In(m.rec.Plant.Units, f.Low, u)
		f.High, _ = In(m.rec.Plant.Units, f.High, u)
		out = append(out, f)
	}
	blank := math.NaN()
	for _, x := range r.Reliability {
		for _, s := range []struct {
			name string
			s    Share
			per  int
		}{{"hours", x.Hours, x.Record}, {"days", x.Days, x.Record / 24}, {"months", x.Months, 0}} {
			f := Figure{Section: "reliability", Statistic: "share of " + s.name + " met", Parameter: x.What, Point: x.Basin, Value: s.s.Value(), Unit: "ratio", Low: s.s.Low, High: s.s.High, N: s.s.N, Effective: s.s.Effective,
				InDoubt: s.s.InDoubt, Coverage: blank, Definition: "determined " + s.name + " without a short hour over all determined; Clopper-Pearson interval for the effective n", Source: "Clopper and Pearson 1934 (from memory); n(1-r1)/(1+r1)"}
			if s.per > 0 {
				f.Coverage = math.Min(1, float64(s.s.N)/float64(s.per))
			}
			add(f)
			if s.name == "hours" {
				f.Statistic, f.Value, f.Low, f.High, f.N, f.InDoubt = "share of hours met, instruments believed", s.s.Sure(), blank, blank, s.s.N-s.s.InDoubt, 0
				f.Effective, f.Definition = blank, "the same without hours that rest on an instrument in doubt"
				add(f)
			}
		}
		add(Figure{Section: "reliability", Statistic: "longest short stretch", Parameter: x.What, Point: x.Basin, Value: float64(x.Longest.Hours), Unit: "h", Low: blank, High: blank, N: x.Hours.N, Effective: blank, Coverage: blank, Definition: "consecutive short hours; an hour not determined ends a stretch"})
		for _, c := range Causes() {
			add(Figure{Section: "reliability", Statistic: "short hours by cause: " + string(c), Parameter: x.What, Point: x.Basin, Value: float64(x.Causes[c]), Unit: "h", Low: blank, High: blank, N: x.Hours.N - x.Hours.Met, Effective: blank, Coverage: blank,
				Definition: "what took most CT in that hour by the account of its upset; an hour in doubt counts as instrument in doubt"})
		}
	}
	for _, l := range r.Limits {
		add(Figure{Section: "limits", Statistic: "share of months within", Parameter: l.Parameter, Point: l.Point + ", " + l.Statistic + " " + l.Limit, Value: l.Within.Value(), Unit: "ratio", Low: l.Within.Low, High: l.Within.High, N: l.Within.N, Effective: l.Within.Effective, Coverage: blank,
			Definition: "calendar months wholly in the record, by the legal definition of the statistic; the interval takes months as independent", Source: "see weirbook month"})
		add(Figure{Section: "limits", Statistic: "expected share of months within", Parameter: l.Parameter, Point: l.Point + ", " + l.Statistic, Value: l.Expected, Unit: "ratio", Low: blank, High: blank, N: l.Within.N, Effective: blank, Coverage: blank,
			Definition: "log-normal with the mean and cv of the months' own figures, from six months on", Source: "Niku, Schroeder and Samaniego 1979 (from memory)"})
		add(Figure{Section: "limits", Statistic: "coefficient of reliability at 95 %", Parameter: l.Parameter, Point: l.Point + ", " + l.Statistic, Value: l.Reliability, Unit: "ratio", Low: blank, High: blank, N: l.Within.N, Effective: blank, Coverage: blank,
			Definition: "mean over limit that holds it in 95 of 100 months, log-normal", Source: "Niku, Schroeder and Samaniego 1979 (from memory)"})
	}
	for _, p := range r.Percentiles {
		for i, l := range p.Levels {
			d := fmt.Sprintf("percentile of %s, definition %d of Hyndman and Fan; not given beyond 1/(n+1)", p.What, m.set.Percentile)
			if p.NonDetects > 0 {
				d = "percentile by Kaplan and Meier's method; what stays below the smallest detect lies at the smallest limit"
				if p.Below[i] {
					d += "; this one is only known to lie below the value"
				}
			}
			add(Figure{Section: "percentiles", Statistic: fmt.Sprintf("percentile %g", 100*l), Parameter: p.Parameter, Point: p.Point, Period: p.Group, Value: p.Values[i], Unit: p.Unit, Low: blank, High: blank, N: p.N, Effective: p.Effective, InDoubt: p.InDoubt, Coverage: p.Coverage,
				Definition: d, Source: "Hyndman and Fan 1996"})
		}
	}
	for _, w := range r.WhatIf {
		add(Figure{Section: "what if", Statistic: "share of " + w.What2 + " short: " + w.Change, Parameter: w.What, Point: w.Basin, Value: w.Share(), Unit: "ratio", Low: blank, High: blank, N: w.N, Effective: w.Effective, InDoubt: w.InDoubt, Coverage: blank, Definition: fmt.Sprintf("asked %.4g %s; %s", w.Asked, w.Unit, w.Assumption)})
		add(Figure{Section: "what if", Statistic: "chlorine that would have held: " + w.Change, Parameter: w.What, Point: w.Basin, Value: w.Pounds, Unit: "lb", Low: blank, High: blank, N: w.Short, Effective: blank, Coverage: blank, Definition: "sum of (asked - CT)/contact time × flow × 8.34/24 over the short hours, demand as it was"})
	}
	for _, x := range r.Potentials {
		for _, v := range []struct {
			n string
			v float64
		}{{"factor 99/99", x.Factor99}, {"projected maximum 99/99", x.Projected99}, {"factor 95/95", x.Factor95}, {"projected maximum 95/95", x.Projected95}, {"long-term average", x.LongTerm}, {"daily maximum", x.DailyMaximum}, {"monthly average", x.MonthlyAverage}} {
			add(Figure{Section: "derived limits", Statistic: v.n, Parameter: x.Parameter, Point: x.Point, Value: v.v, Unit: x.Unit, Low: blank, High: blank, N: x.N, Effective: blank, Coverage: blank,
				Definition: fmt.Sprintf("log-normal, cv %.3g, highest %.4g; the present limit (%s) taken as an acute allocation, %d samples a month", x.CV, x.Highest, x.LimitName, max(4, x.PerMonth)), Source: "EPA/505/2-90-001 chapters 3 and 5 (tables from memory)"})
		}
	}
	for _, c := range r.Capacity {
		for _, v := range []struct {
			n string
			b Binding
		}{{"flow at which CT binds, half of the hours", c.All[0]}, {"flow at which CT binds, nine in ten", c.All[1]}, {"the same with the largest basin out, half of the hours", c.LargestOut[0]}, {"the same with the largest basin out, nine in ten", c.LargestOut[1]}} {
			n, in := 0, 0
			for _, b := range c.Basins {
				n, in = n+b.N, in+b.Out
			}
			add(Figure{Section: "capacity", Statistic: v.n, Parameter: "CT", Point: c.Name, Value: v.b.Flow, Unit: "MGD", Low: blank, High: blank, N: n, Effective: c.Basins[0].NEff, InDoubt: in, Coverage: blank, Why: v.b.Why,
				Definition: "quantile line of the lowest residual of the hour on its peak flow, hours with instruments in doubt left out, met with 1440·BF·V; never beyond the largest flow seen", Source: "Koenker and Bassett 1978; 40 CFR 141.720"})
		}
	}
	for _, c := range r.Capacity {
		for _, b := range c.Basins {
			add(Figure{Section: "capacity", Statistic: "flow at which CT binds, nine in ten, with first-order decay", Parameter: "CT", Point: b.Basin, Value: b.Decay.Flow, Unit: "MGD", Low: blank, High: blank, N: b.N, Effective: b.NEff, InDoubt: b.Out, Coverage: blank, Why: b.Decay.Why,
				Definition: "quantile line of the logarithm of the residual on the contact time; the flow with the shorter contact time, never beyond the largest seen", Source: "Koenker and Bassett 1978"})
		}
	}
	for _, s := range r.Peaks {
		for _, k := range s.Peaks {
			add(Figure{Section: "peaks", Statistic: k.Name, Parameter: "flow", Point: s.Point, Value: k.Flow, Unit: "MGD", Low: blank, High: blank, N: k.N, Effective: blank, Coverage: blank, Definition: k.Note})
			add(Figure{Section: "peaks", Statistic: k.Name + ", factor", Parameter: "flow", Point: s.Point, Value: k.Factor, Unit: "ratio", Low: blank, High: blank, N: k.N, Effective: blank, Coverage: blank, Definition: "over the average daily flow of the days known"})
		}
	}
	for _, f := range r.Feeds {
		for _, v := range []struct {
			n string
			v float64
			u string
		}{{"median", f.Median, f.Unit}, {"percentile 5", f.P5, f.Unit}, {"percentile 95", f.P95, f.Unit}, {"highest", f.Max, f.Unit}, {"hours at 95 % of capacity or above", float64(f.AtTop), "h"}, {"range, percentile 95 over 5", f.Turndown, "ratio"}} {
			add(Figure{Section: "feeds", Statistic: v.n, Parameter: "feed", Point: f.Feed, Value: v.v, Unit: v.u, Low: blank, High: blank, N: f.N, Effective: blank, Coverage: float64(f.N) / float64(r.Main.Len()), Definition: "hourly means"})
		}
	}
	for _, set := range []struct {
		n string
		p []Pattern
	}{{"hour of day", r.Day}, {"day of week", r.Week}} {
		for _, p := range set.p {
			for k := range p.Groups {
				for _, v := range []struct {
					n string
					v float64
				}{{"percentile 10", p.P10[k]}, {"median", p.P50[k]}, {"percentile 90", p.P90[k]}} {
					add(Figure{Section: "pattern, " + set.n, Statistic: v.n, Parameter: p.Name, Point: p.Point, Period: p.Groups[k], Value: v.v, Unit: p.Unit, Low: blank, High: blank, N: p.N[k], Effective: blank, Coverage: blank, Definition: "of the hours of that " + set.n + ", on the plant's clock"})
				}
			}
		}
	}
	for _, d := range r.Drivers {
		add(Figure{Section: "drivers", Statistic: "slope of daily demand on " + d.With, Parameter: "chlorine demand", Point: d.Demand, Value: d.Slope, Unit: "mg/L per " + d.Unit, Low: d.Low, High: d.High, N: d.N, Effective: d.Effective, Coverage: blank, Definition: fmt.Sprintf("least squares on one thing at a time, r² %.2f; interval for the effective n of what is left", d.R2)})
	}
	for _, o := range r.Overfeeds {
		add(Figure{Section: "overfeed", Statistic: "chlorine beyond what was asked", Parameter: "chlorine", Point: o.Basin, Value: o.Excess, Unit: "lb", Low: blank, High: blank, N: o.Hours, Effective: blank, Coverage: o.Coverage, Definition: o.Assumption})
		add(Figure{Section: "overfeed", Statistic: "chlorine beyond what was asked, cost", Parameter: "chlorine", Point: o.Basin, Value: o.Cost, Unit: o.Currency, Low: blank, High: blank, N: o.Hours, Effective: blank, Coverage: o.Coverage, Definition: "at the price in plant.toml"})
		add(Figure{Section: "overfeed", Statistic: "chlorine that short hours lacked", Parameter: "chlorine", Point: o.Basin, Value: o.Lacking, Unit: "lb", Low: blank, High: blank, N: o.Hours, Effective: blank, Coverage: o.Coverage, Definition: "the same below what was asked"})
	}
	for _, z := range r.Zones {
		for _, v := range []struct {
			n string
			v float64
		}{{"median", z.Median}, {"percentile 90", z.P90}} {
			add(Figure{Section: "load zones", Statistic: v.n + " of daily loads", Parameter: z.Parameter, Point: z.Point, Period: z.Name, Value: v.v, Unit: "lb/d", Low: blank, High: blank, N: z.Days, Effective: blank, Coverage: blank,
				Definition: "days by the rank of their mean flow", Source: "Minnesota Pollution Control Agency, stormwater manual (zones)"})
		}
	}
	for _, d := range r.Dechlors {
		add(Figure{Section: "dechlorination", Statistic: "applied over needed", Parameter: "chemical", Point: d.Feed, Value: d.Excess, Unit: "lb", Low: blank, High: blank, N: d.Hours, Effective: blank, Coverage: float64(d.Hours) / float64(r.Main.Len()), Definition: "hour by hour, by the ratio in use"})
	}
	for _, u := range r.Use {
		p := timeIn(u.Start, m.rec.Plant.Zone).Format("2006-01")
		add(Figure{Section: "chemical", Statistic: "pounds per MG", Parameter: "chemical", Point: u.Feed, Period: p, Value: u.PoundsPerMG, Unit: "lb/MG", Low: blank, High: blank, N: 1, Effective: blank, Coverage: u.Coverage, Definition: "sum of pounds over sum of MG dosed, of hours in which both are known"})
		add(Figure{Section: "chemical", Statistic: "cost per MG", Parameter: "chemical", Point: u.Feed, Period: p, Value: u.CostPerMG, Unit: u.Currency + "/MG", Low: blank, High: blank, N: 1, Effective: blank, Coverage: u.Coverage, Definition: "the same at the price in plant.toml"})
	}
	for _, t := range r.Trends {
		add(Figure{Section: "trend", Statistic: "Sen's slope a year", Parameter: t.Name, Point: t.Point, Value: t.Slope, Unit: t.Unit + "/yr", Low: t.Slopes.Low, High: t.Slopes.High, N: len(stat.Known(t.Median)), Effective: blank, InDoubt: t.InDoubt, Coverage: blank, Why: t.Why, Definition: "of monthly medians; within a calendar month's years where there are three of ten months or more", Source: "Hirsch, Slack and Smith 1982; Hirsch and Slack 1984"})
		add(Figure{Section: "trend", Statistic: "p of no trend", Parameter: t.Name, Point: t.Point, Value: t.P, Low: blank, High: blank, N: len(stat.Known(t.Median)), Effective: blank, Coverage: blank, Why: t.Why, Definition: t.Says})
	}
	for _, t := range r.Trends {
		if a := t.AtFlow; a != nil {
			add(Figure{Section: "trend", Statistic: "Sen's slope a year, at equal flow", Parameter: t.Name, Point: t.Point, Value: a.Slope, Unit: t.Unit + "/yr", Low: a.Slopes.Low, High: a.Slopes.High, N: len(stat.Known(t.Median)), Effective: blank, InDoubt: t.InDoubt, Coverage: blank, Definition: fmt.Sprintf("of what a line of the monthly medians on the flow's leaves; p of no trend %.3g", a.P), Source: "Helsel et al., USGS TM4-A3 (from memory)"})
		}
	}
	for _, c := range r.Comparisons {
		add(Figure{Section: "comparison", Statistic: "shift, later less earlier", Parameter: c.Name, Point: c.Point, Value: c.By, Unit: c.Unit, Low: c.Limits.Low, High: c.Limits.High, N: c.N1 + c.N2, Effective: c.Effective, InDoubt: c.InDoubt, Coverage: blank, Why: c.Why,
			Definition: fmt.Sprintf("Hodges-Lehmann of medians of %d days, each less the middle of its calendar month in both periods; the interval for the effective n; %s", m.set.CompareDays, c.Says), Source: "Hollander and Wolfe; Helsel et al., USGS TM4-A3"})
	}
	for _, x := range r.Instruments {
		for _, v := range []struct {
			n string
			v int
		}{{"hours believed", x.Believed}, {"hours in doubt", x.InDoubt}, {"hours without a reading", x.Gone}, {"hours it cost", x.CostHours}} {
			add(Figure{Section: "instruments", Statistic: v.n, Parameter: x.What, Point: x.Tag, Value: float64(v.v), Unit: "h", Low: blank, High: blank, N: x.Hours, Effective: blank, Coverage: blank, Definition: "an hour is in doubt where a quarter of it is"})
		}
		add(Figure{Section: "instruments", Statistic: "mean time between failures", Parameter: x.What, Point: x.Tag, Value: finite(x.Between.Mean), Unit: "h", Low: x.Between.Limits.Low, High: finite(x.Between.Limits.High), N: len(x.Failures), Effective: blank, Coverage: blank,
			Definition: fmt.Sprintf("hours believed over failures (doubts and silences, those within %d h one), constant rate", m.set.FailureGapHours), Source: "NIST/SEMATECH e-Handbook 8.4.5.1"})
		if g := x.Agreement; g != nil {
			add(Figure{Section: "instruments", Statistic: "bias against grabs", Parameter: x.What, Point: x.Tag, Value: g.Bias, Unit: x.AgreeUnit, Low: g.Limits.Low, High: g.Limits.High, N: g.N, Effective: blank, InDoubt: x.AgreeDoubt, Coverage: blank, Definition: "signal less grab; low and high are the limits of agreement, bias ± 1.96 SD", Source: "Bland and Altman 1986 (from memory)"})
		}
		if d := x.Drift; d != nil && !math.IsNaN(d.Median) {
			add(Figure{Section: "instruments", Statistic: "days to leave its band, one in ten", Parameter: x.What, Point: x.Tag, Value: d.Tenth, Unit: "d", Low: blank, High: blank, N: d.Services, Effective: blank, Coverage: blank, Definition: "Weibull life by maximum likelihood, interval-censored; services without a doubt before the next end the watch"})
			add(Figure{Section: "instruments", Statistic: "days to leave its band, half", Parameter: x.What, Point: x.Tag, Value: d.Median, Unit: "d", Low: blank, High: blank, N: d.Services, Effective: blank, Coverage: blank, Definition: "the same"})
		}
	}
	r.Figures = out
}

func finite(v float64) float64 {
	if math.IsInf(v, 0) {
		return math.NaN()
	}
	return v
}
