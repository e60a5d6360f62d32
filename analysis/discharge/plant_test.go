package discharge

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/plant"
	"weirbook/analysis/series"
)

// An invented plant for the tests: samples at the outfall and the influent, a
// flow, a residual analyser and a pH meter.
const testHead = `name = "Alder Ford"
time_zone = "America/Denver"
[[point]]
name = "outfall"
title = "Outfall 001"
outfall = true
flow_at = "effluent"
[[point]]
name = "raw"
influent = true
`

const testTags = `tag,measures,at,unit,reading,low,high,note,accuracy
Q,flow,effluent,MGD,continuous,,,,2 %
TRC,chlorine_total,outfall,mg/L,continuous,,,,0.005
PH,ph,outfall,,continuous,,,,
L-TRC,chlorine_total,outfall,mg/L,grab,,,,
L-EC,e_coli,outfall,MPN/100mL,grab,,,,
L-TC,total_coliform,outfall,MPN/100mL,grab,,,,
L-TSS,tss,outfall,mg/L,composite,,,,10 %
L-TSI,tss,raw,mg/L,composite,,,,
`

type bottles struct {
	t    *testing.T
	loc  *time.Location
	p    *plant.Plant
	data map[string]*series.Series
}

func newLab(t *testing.T, toml string) *bottles {
	t.Helper()
	p, err := plant.Load("plant.toml", strings.NewReader(testHead+toml), "tags.csv", strings.NewReader(testTags))
	require.NoError(t, err)
	return &bottles{t: t, loc: p.Zone, p: p, data: map[string]*series.Series{}}
}

func limit(parameter, statistic, rest string) string {
	at := "outfall"
	if parameter == "flow" {
		at = "effluent"
	}
	return "[[limit]]\nparameter = \"" + parameter + "\"\nat = \"" + at + "\"\nstatistic = \"" + statistic + "\"\n" + rest + "\n"
}

// add puts a result "2026-03-02 09:00", "<2".
func (l *bottles) add(tag, at, result string) {
	l.t.Helper()
	tm, err := time.ParseInLocation("2006-01-02 15:04", at, l.loc)
	require.NoError(l.t, err)
	v := values(l.t, result)[0]
	f := series.Flag(0)
	switch v.Sign {
	case Less:
		f = series.LessThan
	case Greater:
		f = series.GreaterThan
	}
	l.series(tag).Append(tm.UnixMilli(), v.V, f)
}

func (l *bottles) series(tag string) *series.Series {
	if l.data[tag] == nil {
		l.data[tag] = &series.Series{Tag: tag}
	}
	return l.data[tag]
}

// signal puts a reading every step from a to b (local), of the value at that time.
func (l *bottles) signal(tag, a, b string, step time.Duration, f func(time.Time) float64) {
	l.t.Helper()
	from, err := time.ParseInLocation("2006-01-02 15:04", a, l.loc)
	require.NoError(l.t, err)
	to, err := time.ParseInLocation("2006-01-02 15:04", b, l.loc)
	require.NoError(l.t, err)
	for t := from; !t.After(to); t = t.Add(step) {
		l.series(tag).Append(t.UnixMilli(), f(t), 0)
	}
}

func (l *bottles) input(year int, m time.Month) Input {
	in := Input{Plant: l.p, Year: year, Month: m, Settings: DefaultSettings(l.p)}
	for _, tg := range l.p.Tags {
		in.Tags = append(in.Tags, TagData{Tag: tg, Series: l.series(tg.Name), Rule: align.Rule{Reading: tg.Reading, MaxGap: time.Hour}})
	}
	return in
}

func (l *bottles) month(year int, m time.Month) *Month {
	l.t.Helper()
	got, err := Summarise(l.input(year, m))
	require.NoError(l.t, err)
	return got
}

func constant(v float64) func(time.Time) float64 { return func(time.Time) float64 { return v } }
