package contact

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// inputsOf reads "name=value;name=value".
func inputsOf(t testing.TB, s string) func(name string) float64 {
	m := map[string]string{}
	for _, p := range strings.Split(s, ";") {
		k, v, _ := strings.Cut(p, "=")
		m[k] = v
	}
	return func(name string) float64 {
		v, ok := m[name]
		require.True(t, ok, "%s has no %s", s, name)
		return num(t, v)
	}
}

// Every worked example about contact, by the functions that the tool uses;
// source and mark stand in the table. Those about speciation are tested there.
func TestWorkedExamples(t *testing.T) {
	free := func(p Pathogen, in func(string) float64) TableCT {
		return FullCT(p, FreeChlorine, Conditions{TempC: in("temp_c"), PH: in("ph"), ChlorineMgL: in("chlorine_mg_l")}, Conservative)
	}
	ours := map[string]func(in func(string) float64) float64{
		"epa-ct-1": func(in func(string) float64) float64 {
			ct := in("chlorine_mg_l") * ContactTimeMin(in("volume_gal"), in("peak_flow_gpm")*gpm, in("baffling"))
			return LogInactivation(Giardia, FreeChlorine, []SegmentCT{{ct, Conditions{in("temp_c"), in("ph"), in("chlorine_mg_l")}}}, Conservative).Log
		},
		"epa-ct-2": func(in func(string) float64) float64 {
			full := FullCT(Virus, FreeChlorine, Conditions{TempC: 0.5, PH: 6}, Conservative)
			near(t, in("ct_required_4log"), full.CTMgMinL, 0)
			return LogInactivation(Virus, FreeChlorine, []SegmentCT{{in("ct_calc"), Conditions{TempC: 0.5, PH: 6}}}, Conservative).Log
		},
		"ct-141.534": func(in func(string) float64) float64 { // 5 °C, pH 6: 100 at 0.6 mg/L
			near(t, in("ct_99_9"), FullCT(Giardia, FreeChlorine, Conditions{5, 6, 0.6}, Linear).CTMgMinL, 0)
			return LogInactivation(Giardia, FreeChlorine, []SegmentCT{{in("ct_calc"), Conditions{5, 6, 0.6}}}, Linear).Log
		},
		"ct-interp-ph": func(in func(string) float64) float64 {
			return FullCT(Giardia, FreeChlorine, Conditions{in("temp_c"), in("ph"), in("chlorine_mg_l")}, Linear).CTMgMinL
		},
		"ct-nointerp": func(in func(string) float64) float64 { return free(Giardia, in).CTMgMinL },
		"clark-hom-1": func(in func(string) float64) float64 {
			return GiardiaPowerCT(in("log"), Conditions{in("temp_c"), in("ph"), in("chlorine_mg_l")})
		},
		"t22-1": func(in func(string) float64) float64 {
			near(t, in("ct_required"), ReuseRequirement().CTMgMinL, 0)
			return ReuseRequirement().CTMgMinL / in("modal_min")
		},
		"contact-15": func(in func(string) float64) float64 { // the volume that gives the minutes
			return in("minutes") / ContactTimeMin(1, in("peak_flow_mgd"), 1)
		},
		"tracer-t10": func(in func(string) float64) float64 {
			return reaches([]float64{in("t1_min"), in("t2_min")}, []float64{in("f1"), in("f2")}, in("target"))
		},
		"disp-var-closed": func(in func(string) float64) float64 { return DispersionVarianceClosed(in("d")) },
	}
	elsewhere := map[string]bool{"hocl-davis": true, "hocl-90": true, "quinhydrone-ph4-7": true, "eh-convert-1": true, "zobell-crc": true}
	for _, r := range published(t, "ct_worked_examples.csv") {
		id := r["id"]
		f := ours[id]
		if strings.HasPrefix(id, "tis-t10-") {
			f = func(in func(string) float64) float64 { return TanksTime(in("n"), 0.10) }
		}
		if f == nil {
			require.True(t, elsewhere[id], "no test computes worked example %s", id)
			continue
		}
		got := f(inputsOf(t, r["inputs"]))
		near(t, num(t, r["expected"]), got, num(t, r["tolerance"]), id)
		t.Logf("%-16s %-9s expected %-8s ours %.6g %s (%s)", id, r["confidence"], r["expected"], got, r["unit"], r["source"])
	}
}
