package plant

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func logPlant(t *testing.T) *Plant {
	t.Helper()
	zone, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	return &Plant{Zone: zone,
		Tags:   []Tag{{Name: "AIT-424"}, {Name: "AIT-421"}},
		Feeds:  []Feed{{Name: "hypo", Title: "hypochlorite", Tag: "FIC-411", Chemical: "hypochlorite", Strength: 12.5, StrengthAs: TradePercent, SpecificGravity: math.NaN(), HalfLifeDays: math.NaN()}, {Name: "gas", Chemical: "chlorine"}},
		Basins: []Basin{{Name: "north"}}, Probes: []Probe{{Tag: "AIT-424"}}}
}

func TestLog(t *testing.T) {
	p := logPlant(t)
	err := p.ReadLog("log.csv", strings.NewReader("\ufefffrom,to,what,where,value,unit,note\n"+
		"# an explanation,,,,,,\n"+
		"2026-03-14 09:30,2026-03-14 10:05,cleaned,AIT-424,,,with acid\n"+
		"2026-03-08 06:00,,Delivery,Hypochlorite,11.2,,\n"+
		"2026-03-15 11:00,,calibrated,AIT-421,2.10 -> 1.95,mg/L,\n"+
		"2026-03-16,2026-03-18 12:00,closed,north,,,painting\n"+
		"2026-03-20 04:00,,remark,,,,\"rags, again\"\n"))
	require.NoError(t, err)
	require.Len(t, p.Log, 5)
	require.Equal(t, Delivery, p.Log[0].What, "by time")
	require.Equal(t, LoggedStrength{At: p.Log[0].From, Value: 11.2, As: TradePercent}, p.Feeds[0].Logged[0])
	clean := p.Log[1]
	require.True(t, clean.Masks())
	require.Equal(t, "AIT-424 cleaned (with acid)", clean.Says())
	require.Equal(t, []time.Time{clean.From}, p.Probes[0].Cleaned)
	cal := p.Log[2]
	require.Equal(t, ServiceTime, cal.Until().Sub(cal.From), "a service without an end")
	require.Equal(t, "AIT-421 calibrated, 2.1 before, 1.95 after mg/L", cal.Says())
	require.Equal(t, p.Log[3].To, p.Basins[0].Closed[0].To)
	require.Equal(t, "rags, again", p.Log[4].Says())
	require.Len(t, p.Files, 1)
}

// Every mistake is told with its line and what to write, all at once.
func TestLogMistakes(t *testing.T) {
	for _, c := range []struct{ row, says string }{
		{"2026-03-14 09:30,,cleaned,AIT-999,,,", `"AIT-999" is no tag of this plant; there are AIT-424, AIT-421`},
		{"2026-03-14 09:30,,cleaned,,,,", `column where is empty; "cleaned" needs the name of a tag`},
		{"14 March,,remark,,,,x", `"14 March" is no time; write 2026-03-14`},
		{",,remark,,,,x", "column from is empty"},
		{"2026-03-14 09:30,2026-03-13,remark,,,,x", "lies before"},
		{"2026-03-14 09:30,,painted,,,,x", "write one of delivery, tank changed"},
		{"2026-03-14 09:30,,delivery,hypo,lots,,", "column value"},
		{"2026-03-14 09:30,,delivery,hypo,12,pounds,", `unit "pounds" is no strength`},
		{"2026-03-14 09:30,,delivery,hypo,12,weight percent NaOCl,", "needs specific_gravity"},
		{"2026-03-14 09:30,,delivery,gas,12,,", "is a gas and has no strength"},
		{"2026-03-14 09:30,,delivery,acid,,,", `"acid" is no feed of this plant; there are hypo, gas`},
	} {
		p := logPlant(t)
		err := p.ReadLog("log.csv", strings.NewReader("from,to,what,where,value,unit,note\n2026-03-01,,remark,,,,fine\n"+c.row+"\n"))
		require.ErrorContains(t, err, "log.csv:3: ", c.row)
		require.ErrorContains(t, err, c.says)
		require.Empty(t, p.Log, "nothing of a log with a mistake is taken")
	}
	require.ErrorContains(t, logPlant(t).ReadLog("log.csv", strings.NewReader("from,until,what\n")), `unknown column "until"`)
}
