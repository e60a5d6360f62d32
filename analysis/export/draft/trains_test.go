package draft_test

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/draft"
	"weirbook/analysis/plant"
	"weirbook/examples/simulate"
)

// invented gives an export of invented tags, each "name|what it reads like".
func invented(t *testing.T, tags ...string) *draft.Draft {
	like := map[string]struct {
		unit   string
		middle float64
		digits int
	}{
		"flow": {"MGD", 3, 2}, "sum": {"MGD", 6, 2}, "cl2": {"mg/L", 1.8, 2}, "final": {"mg/L", 0.02, 3}, "orp": {"mV", 640, 0}, "aeration": {"mV", -60, 0},
		"ph": {"pH", 7.1, 2}, "do": {"mg/L", 2, 2}, "nh4": {"mg/L", 3, 2}, "feed": {"gal/h", 6, 2}, "temp": {"degC", 15, 1},
	}
	var b strings.Builder
	b.WriteString("time")
	for _, tag := range tags {
		name, what, _ := strings.Cut(tag, "|")
		require.Contains(t, like, what)
		b.WriteString("," + name + " (" + like[what].unit + ")")
	}
	start := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	for i := range 300 {
		b.WriteString("\n" + start.Add(time.Duration(i)*time.Minute).Format("2006-01-02 15:04"))
		for k, tag := range tags {
			_, what, _ := strings.Cut(tag, "|")
			w := like[what]
			fmt.Fprintf(&b, ",%.*f", w.digits, w.middle*(1+0.001*float64((i*(k+3))%41)))
		}
	}
	b.WriteString("\n")
	return drafted(t, mem("a.csv", []byte(b.String())))
}

// The wanted points were written down by hand from the names.
func TestTrainsFromNames(t *testing.T) {
	for _, c := range []struct {
		name string
		tags []string
		want string // tag@point, of those that matter
	}{
		{"leading token with a number", []string{"T1-FIT-101|flow", "T1-AIT-102|cl2", "T1-ORP-103|orp", "T2-FIT-109|flow", "T2-AIT-110|cl2", "T2-ORP-111|orp", "OUTFALL-CL2|final", "EFF-PH|ph"},
			"T1-FIT-101@t1_basin_outlet T1-AIT-102@t1_basin_outlet T2-ORP-111@t2_basin_outlet T2-FIT-109@t2_basin_outlet OUTFALL-CL2@outfall EFF-PH@basin_outlet"},
		{"a word of the plant's own", []string{"FF.CCB.CL2RES|cl2", "FF.CCB.FLOW|flow", "FF.HYPO|feed", "MBR.CCB.CL2RES|cl2", "MBR.CCB.FLOW|flow", "MBR.HYPO|feed", "OUTFALL.FLOW|sum", "LAB.PH|ph"},
			"FF.CCB.CL2RES@ff_basin_outlet FF.HYPO@ff_basin_inlet MBR.CCB.CL2RES@mbr_basin_outlet MBR.CCB.FLOW@mbr_basin_outlet OUTFALL.FLOW@outfall LAB.PH@basin_outlet"},
		{"the same behind a common word", []string{"WWTP.FF.CCB.CL2|cl2", "WWTP.FF.CCB.ORP|orp", "WWTP.MBR.CCB.CL2|cl2", "WWTP.MBR.CCB.ORP|orp", "WWTP.EFF.FLOW|flow"},
			"WWTP.FF.CCB.CL2@ff_basin_outlet WWTP.MBR.CCB.ORP@mbr_basin_outlet WWTP.EFF.FLOW@basin_outlet"},
		{"processes", []string{"AS_CCB_TRC|cl2", "AS_CCB_ORP|orp", "TF_CCB_TRC|cl2", "TF_CCB_ORP|orp", "EFF_FLOW|flow"},
			"AS_CCB_TRC@as_basin_outlet TF_CCB_ORP@tf_basin_outlet"},
		{"instrument codes before trains", []string{"FIT-T1-101|flow", "AIT-T1-102|cl2", "AIT-T1-103|orp", "FIT-T2-101|flow", "AIT-T2-102|cl2", "AIT-T2-103|orp"},
			"FIT-T1-101@t1_basin_outlet AIT-T2-103@t2_basin_outlet"},
		{"trailing letters", []string{"FIT-100A|flow", "FIT-100B|flow", "AIT-101A|cl2", "AIT-101B|cl2", "AIT-300|ph"},
			"FIT-100A@train_a_basin_outlet AIT-101A@train_a_basin_outlet FIT-100B@train_b_basin_outlet AIT-101B@train_b_basin_outlet AIT-300@basin_outlet"},
		{"directions", []string{"North CCB ORP|orp", "North CCB Cl2|cl2", "South CCB ORP|orp", "South CCB Cl2|cl2", "Effluent flow|flow"},
			"North CCB ORP@north_basin_outlet South CCB Cl2@south_basin_outlet Effluent flow@basin_outlet"},
		{"directions and a common outfall", []string{"North CCB ORP|orp", "North CCB Cl2|cl2", "South CCB ORP|orp", "South CCB Cl2|cl2", "Outfall Cl2|final", "River ORP|orp", "Effluent flow|flow"},
			"North CCB ORP@north_basin_outlet South CCB Cl2@south_basin_outlet River ORP@outfall"},
		{"direction letters", []string{"N-CCB-ORP|orp", "N-CCB-CL2|cl2", "S-CCB-ORP|orp", "S-CCB-CL2|cl2", "SEC-NH3-N|nh4", "EFF-FIT|flow"},
			"N-CCB-ORP@north_basin_outlet S-CCB-CL2@south_basin_outlet SEC-NH3-N@secondary"},
		{"a train and its instrument in one word", []string{"T1FIT101|flow", "T1AIT102|cl2", "T1ORP103|orp", "T2FIT109|flow", "T2AIT110|cl2", "T2ORP111|orp", "EFFPH1|ph"},
			"T1FIT101@t1_basin_outlet T1AIT102@t1_basin_outlet T2ORP111@t2_basin_outlet EFFPH1@basin_outlet"},
		{"a basin and its instrument in one word", []string{"CCB1ORP|orp", "CCB1CL2|cl2", "CCB2ORP|orp", "CCB2CL2|cl2", "EFF.FLOW|flow"},
			"CCB1ORP@ccb1_outlet CCB2CL2@ccb2_outlet EFF.FLOW@basin_outlet"},
		{"direction letters behind", []string{"FLOW_N|flow", "ORP_N|orp", "CL2_N|cl2", "FLOW_S|flow", "ORP_S|orp", "CL2_S|cl2", "NH3-N|nh4"},
			"FLOW_N@north_basin_outlet ORP_N@north_basin_outlet CL2_S@south_basin_outlet NH3-N@secondary"},
		{"basins", []string{"CCB1_ORP|orp", "CCB1_TRC|cl2", "CCB2_ORP|orp", "CCB2_TRC|cl2", "EFF_FLOW|flow", "NAOCL_FEED|feed"},
			"CCB1_ORP@ccb1_outlet CCB2_TRC@ccb2_outlet EFF_FLOW@basin_outlet NAOCL_FEED@basin_inlet"},
		{"words and a number", []string{"Train 1 ORP|orp", "Train 1 Cl2 residual|cl2", "Train 2 ORP|orp", "Train 2 Cl2 residual|cl2", "Train 1 flow|flow", "Train 2 flow|flow"},
			"Train 1 ORP@train_1_basin_outlet Train 2 flow@train_2_basin_outlet"},
		{"a third train without analysers", []string{"T1-FIT-1|flow", "T1-ORP-2|orp", "T2-FIT-3|flow", "T2-ORP-4|orp", "T3-FIT-5|flow"},
			"T1-FIT-1@t1_basin_outlet T3-FIT-5@t3_basin_outlet"},
		{"nothing at the outlet", []string{"T1-INF-FLOW|flow", "T1-MID-ORP|orp", "T1-INLET-CL2|cl2", "T2-INF-FLOW|flow", "T2-MID-ORP|orp", "T2-INLET-CL2|cl2"},
			"T1-INF-FLOW@t1_influent T1-MID-ORP@t1_basin_middle T2-INLET-CL2@t2_basin_inlet"},
		{"a train's dechlorination", []string{"T1-FIT-1|flow", "T1-CL2|cl2", "T1-DECL-CL2|final", "T2-FIT-3|flow", "T2-CL2|cl2", "T2-DECL-CL2|final"},
			"T1-DECL-CL2@t1_dechlorinated T2-DECL-CL2@t2_dechlorinated T2-CL2@t2_basin_outlet"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := invented(t, c.tags...)
			at := map[string]string{}
			for _, g := range d.Guesses {
				at[g.Tag] = g.At
			}
			for _, w := range regexp.MustCompile(`[^@]+@\S+`).FindAllString(c.want, -1) {
				tag, point, _ := strings.Cut(strings.TrimSpace(w), "@")
				require.Equal(t, point, at[tag], "%s\n%v", tag, at)
			}
			asked := 0
			for _, q := range d.Questions {
				require.NotContains(t, q, "same place", "%v", d.Questions)
				if strings.HasPrefix(q, "trains: ") {
					asked++
				}
			}
			require.Equal(t, 1, asked, "%v", d.Questions)
			require.Contains(t, string(d.TagsCSV), "as its name ", "the note gives the reason")
			answered(t, d)
		})
	}
}

// Names that do not tell trains apart, or could mean something else as well.
func TestNoTrainsFromNames(t *testing.T) {
	for _, c := range []struct {
		name string
		tags []string
	}{
		{"running numbers", []string{"AIT-101|cl2", "AIT-102|orp", "AIT-103|cl2", "AIT-104|orp", "FIT-105|flow", "FIT-106|flow"}},
		{"running numbers of each kind", []string{"ORP-1|orp", "ORP-2|orp", "CL2-1|cl2", "CL2-2|cl2", "FIT-1|flow", "FIT-2|flow"}},
		{"before and behind dechlorination", []string{"CCB.CL2|cl2", "CCB.ORP|orp", "CCB.FLOW|flow", "DECL.CL2|final", "DECL.ORP|orp", "DECL.FLOW|flow"}},
		{"controllers", []string{"PLC1.FLOW|flow", "PLC1.CL2|cl2", "PLC1.ORP|orp", "PLC2.FLOW|flow", "PLC2.CL2|cl2", "PLC2.ORP|orp"}},
		{"analysers at one basin's ends", []string{"Analyzer1.CL2|cl2", "Analyzer1.ORP|orp", "Analyzer2.CL2|cl2", "Analyzer2.ORP|orp", "Plant flow|flow"}},
		{"cabinets of the plant's own naming", []string{"KLM1.CL2|cl2", "KLM1.ORP|orp", "KLM2.CL2|cl2", "KLM2.ORP|orp", "Plant flow|flow"}},
		{"duty and standby", []string{"AIT-101A|cl2", "AIT-101B|cl2", "ORP-102A|orp", "ORP-102B|orp", "HYPO-103A|feed", "HYPO-103B|feed", "FIT-104|flow"}},
		{"one analyser's channels", []string{"FIT-100A|flow", "FIT-100B|ph", "AIT-101A|cl2", "AIT-101B|orp"}},
		{"letters on other things each time", []string{"FIT-100A|flow", "FIT-100B|flow", "AIT-101A|cl2", "AIT-101B|orp", "AIT-102A|orp", "AIT-102B|cl2"}},
		{"instrument codes", []string{"AIT-CCB-CL2|cl2", "AIT-CCB-ORP|orp", "AE-CCB-CL2|cl2", "AE-CCB-ORP|orp", "FIT-1|flow"}},
		{"the ends of one basin", []string{"CCB CL2 EAST END|cl2", "CCB ORP EAST END|orp", "CCB CL2 WEST END|cl2", "CCB ORP WEST END|orp", "FLOW|flow"}},
		{"directions of nothing", []string{"CL2 EAST|cl2", "ORP EAST|orp", "CL2 WEST|cl2", "ORP WEST|orp", "FLOW|flow"}},
		{"two ways side by side", []string{"T1-FIT-101|flow", "T1-ORP-103|orp", "T2-FIT-109|flow", "T2-ORP-111|orp", "N-CCB-ORP|orp", "N-CCB-CL2|cl2", "S-CCB-ORP|orp", "S-CCB-CL2|cl2"}},
		{"feed skids", []string{"KLM1.CL2|cl2", "KLM1.HYPO|feed", "KLM2.CL2|cl2", "KLM2.HYPO|feed", "Plant flow|flow"}},
		{"most analysers elsewhere", []string{"KLM.CL2|cl2", "KLM.FLOW|flow", "MNO.CL2|cl2", "MNO.FLOW|flow", "CCB-CL2|cl2", "CCB-ORP|orp", "MID-ORP|orp"}},
		{"aeration trains", []string{"Train 1 ORP|aeration", "Train 1 DO|do", "Train 1 flow|flow", "Train 2 ORP|aeration", "Train 2 DO|do", "Train 2 flow|flow", "CCB Cl2|cl2"}},
		{"disinfection in one only", []string{"T1-FIT-1|flow", "T1-ORP-2|orp", "T1-CL2-3|cl2", "T1-PH-5|ph", "T2-FIT-3|flow", "T2-PH-4|ph"}},
		{"a probe each and no more", []string{"T1-ORP-2|orp", "T2-ORP-4|orp", "FIT-1|flow"}},
		{"two ways that cross", []string{"T1-North-ORP|orp", "T1-South-CL2|cl2", "T2-North-CL2|cl2", "T2-South-ORP|orp", "T1-North-FLOW|flow", "T1-South-FLOW|flow", "T2-North-FLOW|flow", "T2-South-FLOW|flow", "T1-North-CL2|cl2", "T2-South-CL2|cl2", "T1-South-ORP|orp", "T2-North-ORP|orp"}},
		{"influent and effluent", []string{"INF.FLOW|flow", "INF.PH|ph", "EFF.FLOW|flow", "EFF.PH|ph", "EFF.CL2|cl2", "EFF.ORP|orp", "INF.ORP|orp"}},
		{"nitrogen", []string{"NH3-N|nh4", "NH3-N-2|nh4", "CL2-S|cl2", "CL2-N|cl2", "ORP-S|orp", "ORP-N|orp"}},
		{"reuse water", []string{"ALD.FLOW|flow", "ALD.CL2|cl2", "ALD.ORP|orp", "REUSE.FLOW|flow", "REUSE.CL2|cl2", "REUSE.ORP|orp"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := invented(t, c.tags...)
			for _, g := range d.Guesses {
				require.Empty(t, g.Train, g.Tag)
				require.Contains(t, []string{"influent", "aeration", "secondary", "basin_inlet", "basin_middle", "basin_outlet", "outfall"}, g.At, g.Tag)
			}
			require.NotContains(t, strings.Join(d.Questions, "\n"), "trains: ")
			require.NotContains(t, string(d.PlantTOML), "train")
		})
	}
}

// answered answers what stands open in plant.toml and loads the plant.
func answered(t *testing.T, d *draft.Draft) *plant.Plant {
	f := draft.Files{Plant: d.PlantTOML, Tags: d.TagsCSV}
	for {
		open, err := draft.OpenQuestions(f)
		require.NoError(t, err)
		k := slices.IndexFunc(open, func(q draft.Open) bool { return answers[last(q.Key)] != "" })
		if k < 0 {
			break
		}
		f, err = open[k].Answer(f, answers[last(open[k].Key)])
		require.NoError(t, err, open[k].Key)
	}
	p, err := plant.Load("plant.toml", bytes.NewReader(f.Plant), "tags.csv", bytes.NewReader(f.Tags))
	require.NoError(t, err, "%s", f.Plant)
	return p
}

// answers to what stands open in plant.toml, by key.
var answers = map[string]string{"volume": "50,000", "baffling_factor": "0.5", "ct": "30", "contact_time": "15 min", "residual_min": "0.5",
	"strength": "12.5", "specific_gravity": "1.33", "dechlorinated": "yes", "value": "126", "low": "6.0", "high": "9.0", "facility": "Elder Ford", "non_detect": "half"}

// last is the last word of a key.
func last(key string) string {
	return key[strings.LastIndexByte(key, ' ')+1:]
}

// Of five trains a question stands once, and each train has its basin. What the
// tags are is told by the simulated plant's own list.
func TestFiveTrains(t *testing.T) {
	bulk := simulate.Bulk{Seed: 5, Minutes: 600}
	var long, wide bytes.Buffer
	require.NoError(t, bulk.WriteLong(&long))
	require.NoError(t, bulk.WriteWide(&wide))
	for _, body := range [][]byte{long.Bytes(), wide.Bytes()} {
		d := drafted(t, mem("a.csv", body))
		require.LessOrEqual(t, len(d.Questions), 6, "%v", d.Questions)
		got := map[string]draft.Guess{}
		for _, g := range d.Guesses {
			got[g.Tag] = g
		}
		p := answered(t, d)
		require.Equal(t, []string{"T1", "T2", "T3", "T4", "T5"}, p.Trains())
		for _, tag := range bulk.TagList() {
			cut := strings.LastIndex(tag.At, "_")
			point, number := tag.At[:cut], tag.At[cut+1:]
			g := got[tag.Name]
			require.Equal(t, "T"+number, p.TrainOf(g.At), tag.Name)
			if point == "outfall" {
				point = "dechlorinated"
			}
			require.Equal(t, "t"+number+"_"+point, g.At, tag.Name)
		}
	}
}

// Where the names are numbers only, descriptions may tell.
func TestTrainsFromDescriptions(t *testing.T) {
	var b strings.Builder
	b.WriteString("time,AIT-101,AIT-102,AIT-103,AIT-104,FIT-105\n")
	b.WriteString("description,North contact basin ORP,North contact basin chlorine residual,South contact basin ORP,South contact basin chlorine residual,plant effluent flow\n")
	for i := range 200 {
		at := time.Date(2026, 3, 1, 0, i, 0, 0, time.UTC).Format("2006-01-02 15:04")
		fmt.Fprintf(&b, "%s,%d,%.2f,%d,%.2f,%.2f\n", at, 640+3*i%17, 1.8+float64(2*i%13)/100, 650+5*i%19, 1.9+float64(3*i%13)/100, 3+float64(i%11)/10)
	}
	d := drafted(t, mem("a.csv", []byte(b.String())))
	at := map[string]string{}
	for _, g := range d.Guesses {
		at[g.Tag] = g.At
	}
	require.Equal(t, map[string]string{"AIT-101": "north_basin_outlet", "AIT-102": "north_basin_outlet", "AIT-103": "south_basin_outlet", "AIT-104": "south_basin_outlet", "FIT-105": "basin_outlet"}, at)
	require.Contains(t, string(d.TagsCSV), "as its description says North")
	answered(t, d)
}

// A basin without a meter of its own takes a share of the flow of all.
func TestTrainsShareFlow(t *testing.T) {
	d := invented(t, "North CCB ORP|orp", "North CCB Cl2|cl2", "South CCB ORP|orp", "South CCB Cl2|cl2", "Effluent flow|flow")
	p := answered(t, d)
	require.Len(t, p.Basins, 2)
	for _, b := range p.Basins {
		require.Equal(t, "basin_outlet", b.FlowAt)
		require.Equal(t, 0.5, b.FlowShare)
	}
}

// Loop numbers that run alike are trains; those of one basin and of what follows
// dechlorination are none.
func TestTrainsFromNumbers(t *testing.T) {
	d := invented(t, "FT-110|flow", "AIT-111|cl2", "AIT-112|orp", "FT-120|flow", "AIT-121|cl2", "AIT-122|orp", "FT-301|sum")
	at := map[string]string{}
	for _, g := range d.Guesses {
		at[g.Tag] = g.At
	}
	require.Equal(t, "11x_basin_outlet", at["AIT-112"])
	require.Equal(t, "12x_basin_outlet", at["FT-120"])
	answered(t, d)
}

// What is common is asked about as ever.
func TestCommonTagsAtOnePlace(t *testing.T) {
	d := invented(t, "T1-FIT-1|flow", "T1-ORP-2|orp", "T2-FIT-3|flow", "T2-ORP-4|orp", "EFF-PH-5|ph", "EFF-PH-6|ph", "AIT-9|orp")
	asked := map[string]string{}
	for _, g := range d.Guesses {
		asked[g.Tag] = g.Ask
	}
	where := "Where does it measure? Taken for basin outlet, from the word eff alone. [at: basin_outlet | outfall | influent | secondary | basin_inlet | basin_middle]"
	require.Equal(t, map[string]string{"T1-FIT-1": "", "T1-ORP-2": "", "T2-FIT-3": "", "T2-ORP-4": "", "EFF-PH-5": where, "EFF-PH-6": where,
		"AIT-9": "Its name names no train. Is it on the water of all, or of which train? [at: basin_outlet | t1_basin_outlet | t2_basin_outlet]"}, asked)
}

// A meter on the water of all trains is common though it is named for one.
func TestFlowOfAllTrains(t *testing.T) {
	d := invented(t, "FF.CCB.CL2|cl2", "FF.CCB.FLOW|flow", "MB-FIT-501|flow", "MB-FIT-901|sum", "MB-CL2-4|cl2")
	for _, g := range d.Guesses {
		switch g.Tag {
		case "MB-FIT-501":
			require.Equal(t, "mb_basin_outlet", g.At)
		case "MB-FIT-901":
			require.Equal(t, "outfall", g.At)
			require.Contains(t, g.Ask, "Is it the flow of all trains?")
		}
	}
	answered(t, d)
}
