package examples

import (
	"fmt"
	"io"
	"math/rand/v2"
	"time"

	"weirbook/examples/simulate"
)

// Record gives the demo plant's description and the exports of any months that the
// generator makes of it, with those months.
func Record(cfg simulate.Config) ([]File, *simulate.Month, error) {
	m, err := simulate.Run(cfg)
	if err != nil {
		return nil, nil, err
	}
	return append(plantFiles(DemoName), monthFiles(m)...), m, nil
}

// Years gives the files of the demo plant over whole calendar years that end with
// 2025: a month of exports at a time, each made when it is written. What is true of
// them stands in truth/years.csv: flow grows by 2 % a year, demand does not, and on
// 1 April of the last year the residual that the plant aims at went from 2.4 to
// 2.0 mg/L and the base dose with it.
func Years(seed uint64, years int) ([]File, error) {
	if years < 1 || years > 20 {
		return nil, fmt.Errorf("%d years; 1 to 20", years)
	}
	out := plantFiles(DemoName)
	truth := "month,design_flow_mgd,setpoint_mg_l,events\n"
	var last *simulate.Month // only one month is kept: its three files are written one after the other
	for k := range 12 * years {
		cfg := YearMonth(seed, years, k)
		write := func(f func(*simulate.Month, io.Writer) error) func(io.Writer) error {
			return func(w io.Writer) error {
				if last == nil || !last.Config.Start.Equal(cfg.Start) {
					m, err := simulate.Run(cfg)
					if err != nil {
						return err
					}
					last = m
				}
				return f(last, w)
			}
		}
		span := cfg.Start.Format("2006-01")
		out = append(out,
			File{"exports/process-" + span + ".csv", write(func(m *simulate.Month, w io.Writer) error {
				return m.WriteLong(w, simulate.Export{Tags: m.SourceTags(simulate.SourceProcess), Changes: true})
			})},
			File{"exports/analysers-" + span + ".csv", write(func(m *simulate.Month, w io.Writer) error {
				return m.WriteWide(w, simulate.Export{Tags: m.SourceTags(simulate.SourceAnalysers)})
			})},
			File{"exports/lab-" + span + ".csv", write(func(m *simulate.Month, w io.Writer) error { return m.WriteLab(w) })})
		truth += fmt.Sprintf("%s,%.3f,%.1f,", span, cfg.Plant.DesignFlowMGD, cfg.Plant.SetpointMgL)
		for i, e := range cfg.Events {
			if i > 0 {
				truth += "; "
			}
			truth += fmt.Sprintf("%s %s to %s", e.Kind, e.Start.Format("2006-01-02T15:04Z"), e.End.Format("2006-01-02T15:04Z"))
		}
		truth += "\n"
	}
	return append(out, File{"truth/years.csv", func(w io.Writer) error { _, err := io.WriteString(w, truth); return err }}), nil
}

// YearMonth is the generator's month k of Years.
func YearMonth(seed uint64, years, k int) simulate.Config {
	first := time.Date(2026-years, time.January, 1, 0, 0, 0, 0, time.UTC)
	start := first.AddDate(0, k, 0)
	p := simulate.DemoPlant()
	p.DesignFlowMGD *= 1 + 0.02*float64(k)/12
	p.SetpointMgL, p.DoseMgL = 2.4, 5.1
	if !start.Before(time.Date(2025, time.April, 1, 0, 0, 0, 0, time.UTC)) {
		p.SetpointMgL, p.DoseMgL = 2.0, 4.7
	}
	cfg := simulate.Config{Name: start.Format("2006-01"), Seed: seed*1000 + uint64(k), Start: start, Days: start.AddDate(0, 1, 0).Add(-time.Hour).Day(), Zone: "America/Denver", Plant: p}
	r := rand.New(rand.NewPCG(seed, uint64(k)))
	add := func(kind simulate.Kind, chance, hours float64) {
		if r.Float64() >= chance {
			return
		}
		at := start.Add(time.Duration(24+r.IntN(24*24)) * time.Hour)
		cfg.Events = append(cfg.Events, simulate.Event{Start: at, End: at.Add(time.Duration(hours * float64(time.Hour))), Kind: kind, Severity: simulate.Plain})
	}
	wet := 0.15
	if m := start.Month(); m >= time.April && m <= time.August {
		wet = 0.5
	}
	add(simulate.Storm, wet, 20)
	add(simulate.Ammonia, 0.12, 9)
	add(simulate.FeedLost, 0.12, 2)
	add(simulate.ORPFouling, 0.2, 96)
	add(simulate.SampleLost, 0.15, 8)
	add(simulate.ReagentDrift, 0.15, 140)
	return cfg
}
