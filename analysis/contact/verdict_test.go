package contact

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestJudge(t *testing.T) {
	for _, c := range []struct {
		value, half float64
		want        Verdict
	}{
		{40, 5, Short}, {44.9, 5, Short}, {45, 5, ShortWithin}, {49.9, 5, ShortWithin},
		{50, 5, MetWithin}, {54.9, 5, MetWithin}, {55, 5, Met}, {60, 0, Met},
		{50, 0, Met}, {49.999, 0, Short}, {60, math.NaN(), Met}, {math.NaN(), 1, NotDetermined},
	} {
		require.Equal(t, c.want, Judge("CT", "mg·min/L", Band{c.value, c.half}, 50, Known).Verdict, c)
	}
	j := Judge("CT", "mg·min/L", Band{60, 1}, 50, FlowGap)
	require.Equal(t, NotDetermined, j.Verdict)
	require.Equal(t, "gap of flow inside the look-back", j.Why.String())
	require.True(t, math.IsNaN(j.Band.Value)) // no figure beside "not determined"
	require.Equal(t, InputUnknown, Judge("CT", "", Band{1, 0}, math.NaN(), Known).Why)
	require.Equal(t, Short, Worst([]Judged{{Verdict: Met}, {Verdict: Short}, {Verdict: NotDetermined}}))
	require.Equal(t, NotDetermined, Worst(nil))
}

// California Title 22, section 60301.230 (verified) with the modal time of a
// tracer report, 98 min at 3.02 MGD (verified): 450 / 98 = 4.592 mg/L is needed
// (derived). A basin with that modal time meets the rule at 4.6 and not at 4.58.
func TestReuseRule(t *testing.T) {
	near(t, 450, ReuseRequirement().CTMgMinL, 0)
	near(t, 90, ReuseRequirement().ModalMin, 0)
	require.Equal(t, Modal, ReuseRequirement().Time)
	near(t, 4.592, ReuseRequirement().CTMgMinL/98, 0.0005)
	volume := 98 * 3.02 * 1e6 / 1440 / 0.7
	near(t, 98, ContactTimeMin(volume, 3.02, ModalFactor(0.7).Value), 1e-9)
	for residual, want := range map[float64]Verdict{4.6: Met, 4.58: Short} {
		js := ReuseRequirement().Judge(HourFacts{CT: Band{98 * residual, 0}, Modal: Band{98, 0}})
		require.Len(t, js, 2)
		require.Equal(t, want, js[0].Verdict)
		require.Equal(t, Met, js[1].Verdict)
	}
}

// 15 min at peak hourly flow (Missouri 10 CSR 20-8.190(3)(A), verified): 5 MGD
// asks for 52,083 gal (derived).
func TestPeakHourRule(t *testing.T) {
	near(t, 15, ContactTimeMin(52_083.3, 5, 1), 0.0001)
	require.True(t, math.IsInf(ContactTimeMin(1000, 0, 1), 1))
	require.True(t, math.IsNaN(ContactTimeMin(1000, -1, 1)))
	js := Requirement{ContactMin: 15}.Judge(HourFacts{Contact: Band{14.9, 0.3}})
	require.Equal(t, ShortWithin, js[0].Verdict)
}

func TestLogRequirement(t *testing.T) {
	f := HourFacts{CT: Band{60, 6}, Segments: []SegmentCT{{60, Conditions{TempC: 10, PH: 7, ChlorineMgL: 1}}}}
	r := Requirement{GiardiaLog: 1.5, VirusLog: 4}
	js := r.Judge(f)
	require.Len(t, js, 2)
	near(t, 3*60.0/112, js[0].Band.Value, 1e-9)
	near(t, 0.3*60.0/112, js[0].Band.Half, 1e-9) // a tenth, as CT
	require.Equal(t, MetWithin, js[0].Verdict)
	require.Equal(t, Met, js[1].Verdict)

	// A pH known to ± 0.25 widens the band by what the table does over that step.
	f.PHHalf = 0.25
	near(t, math.Hypot(0.3*60.0/112, 3*60.0/112-3*60.0/123), r.Judge(f)[0].Band.Half, 0.01)
	// ± 2.5 °C: 112 lies half way to 75 on the warm side (93.5), to 149 on the cold.
	f.PHHalf, f.TempHalf = 0, 2.5
	near(t, math.Hypot(0.3*60.0/112, 180/93.5-180.0/112), r.Judge(f)[0].Band.Half, 1e-9)
	f.Segments, f.CTWhy = nil, FlowGap
	require.Equal(t, FlowGap, r.Judge(f)[0].Why)
	require.Empty(t, Requirement{CTMgMinL: math.NaN(), GiardiaLog: math.NaN()}.Judge(f)) // NaN asks for nothing
}

// Derived from the forms (from memory): Collins at CT 30 is 7.9^-3 = 2.028e-3,
// 2.693 log; Selleck 4.0/2.8 at CT 40 is 10^-2.8, 2.800 log.
func ExampleKillModel_Predict() {
	c := Collins(0.23, 3).Predict(1e6, 30)
	s := Selleck(4.0, 2.8).Predict(1e6, 40)
	fmt.Printf("%.0f per 100 mL, %.3f log: %s\n", c.Per100mL, c.Log, c.Label)
	fmt.Printf("%.0f per 100 mL, %.3f log\n", s.Per100mL, s.Log)
	// Output:
	// 2028 per 100 mL, 2.693 log: predicted by Collins (0.23, 3), not measured
	// 1585 per 100 mL, 2.800 log
}

func TestKillEdges(t *testing.T) {
	require.Equal(t, 1.0, Selleck(4, 2.8).Surviving(3.9))
	require.Equal(t, 1.0, Collins(0.23, 3).Surviving(0))
	for _, m := range []KillModel{Collins(0, 3), Selleck(4, -1), {}} {
		require.True(t, math.IsNaN(m.Surviving(10)))
	}
	require.True(t, math.IsNaN(Collins(0.23, 3).Surviving(math.NaN())))
	require.True(t, math.IsNaN(Collins(0.23, 3).Surviving(-1)))
}
