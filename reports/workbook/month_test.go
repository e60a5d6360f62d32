package workbook

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
	"weirbook/analysis/series"
)

// An invented plant with a limit of every kind.
const plantText = `name = "=Alder & Ford"
time_zone = "America/Denver"
[[point]]
name = "outfall"
title = "+Outfall 001"
outfall = true
flow_at = "effluent"
[[point]]
name = "raw"
influent = true
`

const tagText = `tag,measures,at,unit,reading,low,high,note
Q,flow,effluent,MGD,continuous,,,
TRC,chlorine_total,outfall,mg/L,continuous,,,
PH,ph,outfall,,continuous,,,
L-TRC,chlorine_total,outfall,mg/L,grab,,,
L-EC,e_coli,outfall,MPN/100mL,grab,,,
L-TSS,tss,outfall,mg/L,composite,,,
L-TSI,tss,raw,mg/L,composite,,,
L-NH3,ammonia_n,outfall,mg/L,grab,,,
`

var everyLimit = []string{
	"tss|average monthly|value = 30.0", "tss|maximum weekly average|value = 45", "tss|maximum daily|value = 60\nfrequency = \"3/week\"", "tss|minimum daily|value = 0",
	"tss|mass average monthly|value = 500", "tss|mass maximum weekly|value = 750", "tss|mass maximum daily|value = 400\nunit = \"kg/d\"",
	"tss|removal monthly minimum|value = 85", "tss|percentile 90|value = 40", "e_coli|geometric mean monthly|value = 126", "e_coli|geometric mean weekly|value = 200",
	"e_coli|instantaneous maximum|value = 235\nseason = \"03-10..10-31\"", "e_coli|median 7 day|value = 100", "e_coli|not more than one in 30 days|value = 400",
	"chlorine_total|instantaneous maximum|value = 19\nunit = \"µg/L\"\nsample = \"grab\"", "chlorine_total|four day average|value = 11\nunit = \"µg/L\"\nsample = \"continuous\"",
	"chlorine_total|mass average monthly|value = 10\nsample = \"continuous\"", "chlorine_total|average monthly|value = 0.5\nsample = \"continuous\"",
	"ph|range continuous|low = 6.0\nhigh = 9.0", "ammonia_n|average monthly|value = 2.0", "ammonia_n|geometric mean monthly|report_only = true",
}

// month makes a month of invented results. below is the share of results under
// their reporting limit.
func month(t *testing.T, rule string, below float64, seed uint64) *discharge.Month {
	t.Helper()
	return edited(t, rule, below, seed, "half-up", nil)
}

// edited is a month whose results are changed before it is summed up.
func edited(t *testing.T, rule string, below float64, seed uint64, rounding string, edit func(map[string]*series.Series)) *discharge.Month {
	t.Helper()
	var toml strings.Builder
	toml.WriteString(plantText)
	for _, l := range everyLimit {
		p := strings.SplitN(l, "|", 3)
		fmt.Fprintf(&toml, "[[limit]]\nparameter = %q\nat = \"outfall\"\nstatistic = %q\n%s\n", p[0], p[1], p[2])
	}
	fmt.Fprintf(&toml, "[reporting]\nnon_detect = %q\nnon_detect_value = 0.3\nfacility = \"@home\"\nrounding = %q\n", rule, rounding)
	p, err := plant.Load("plant.toml", strings.NewReader(toml.String()), "tags.csv", strings.NewReader(tagText))
	require.NoError(t, err)
	r := rand.New(rand.NewPCG(seed, 9))
	s := map[string]*series.Series{}
	for _, tg := range p.Tags {
		s[tg.Name] = &series.Series{Tag: tg.Name}
	}
	at := func(day, hour int) time.Time { return time.Date(2026, 3, day, hour, 0, 0, 0, p.Zone) }
	for x := at(-1, 0); x.Before(at(33, 0)); x = x.Add(5 * time.Minute) {
		h := float64(x.Unix()) / 3600
		s["Q"].Append(x.UnixMilli(), 3+math.Sin(h/4), 0)
		s["TRC"].Append(x.UnixMilli(), 0.02+0.01*math.Sin(h/5+1), 0)
		s["PH"].Append(x.UnixMilli(), 7.2+2*math.Max(0, math.Sin(h/40)-0.97)*30, 0)
	}
	put := func(tag string, x time.Time, v, limit float64, dec int) {
		f := series.Flag(0)
		if r.Float64() < below { // limits differ from day to day
			v, f = limit*float64(1+r.IntN(3)), series.LessThan
		}
		k := math.Pow(10, float64(dec))
		s[tag].Append(x.UnixMilli(), math.Max(math.Round(v*k), 1)/k, f)
	}
	for day := -1; day <= 33; day++ {
		put("L-EC", at(day, 9), math.Exp(3+1.2*r.NormFloat64()), 2, 0)
		put("L-TRC", at(day, 8), 0.02*math.Exp(0.5*r.NormFloat64()), 0.01, 3)
		put("L-NH3", at(day, 8), math.Exp(0.4*r.NormFloat64()), 0.2, 2)
		put("L-NH3", at(day, 16), math.Exp(0.4*r.NormFloat64()), 0.2, 2)
		if day%3 == 0 {
			put("L-TSS", at(day, 7), 12*math.Exp(0.5*r.NormFloat64()), 2, 1)
			put("L-TSI", at(day, 7), 210*math.Exp(0.2*r.NormFloat64()), 2, 0)
		}
	}
	if edit != nil {
		edit(s)
	}
	in := discharge.Input{Plant: p, Year: 2026, Month: time.March}
	for _, tg := range p.Tags {
		in.Tags = append(in.Tags, discharge.TagData{Tag: tg, Series: s[tg.Name], Rule: align.Rule{Reading: tg.Reading, MaxGap: time.Hour}})
	}
	m, err := discharge.Summarise(in)
	require.NoError(t, err)
	return m
}
