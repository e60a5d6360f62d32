package speciation

import (
	"fmt"
	"math"
	"strings"
)

// Reference is the electrode against which a potential is read. A tag in mV
// without it is ambiguous by about 200 mV.
type Reference string

// Reference electrodes.
const (
	SHE      Reference = "SHE"               // standard hydrogen electrode
	AgCl1M   Reference = "Ag/AgCl 1M KCl"    // 1 mol/L
	AgCl3M   Reference = "Ag/AgCl 3M KCl"    // 3 mol/L
	AgCl333M Reference = "Ag/AgCl 3.33M KCl" // 3.33 mol/L
	AgCl4M   Reference = "Ag/AgCl 4M KCl"    // 4 mol/L, close to saturated
	AgClSat  Reference = "Ag/AgCl saturated" // saturated KCl
	Calomel  Reference = "saturated calomel" // Hg/Hg2Cl2, saturated KCl
)

// References lists the electrodes in a fixed order.
func References() []Reference {
	return []Reference{SHE, AgCl1M, AgCl3M, AgCl333M, AgCl4M, AgClSat, Calomel}
}

// ParseReference reads the name of a reference electrode, whatever its case and
// blanks: "Ag/AgCl 3M KCl", "ag/agcl 3.33 M", "SCE".
func ParseReference(s string) (Reference, error) {
	k := strings.ToLower(s)
	for _, cut := range []string{" ", "-", "_", "kcl", "mol/l", "(", ")", ","} {
		k = strings.ReplaceAll(k, cut, "")
	}
	k = strings.TrimSuffix(k, "m")
	switch k {
	case "she", "nhe", "eh", "hydrogen", "standardhydrogen", "standardhydrogenelectrode":
		return SHE, nil
	case "ag/agcl1", "agagcl1", "agcl1":
		return AgCl1M, nil
	case "ag/agcl3", "agagcl3", "agcl3", "ag/agcl3.0":
		return AgCl3M, nil
	case "ag/agcl3.33", "agagcl3.33", "agcl3.33", "ag/agcl3.3", "ag/agcl3⅓":
		return AgCl333M, nil
	case "ag/agcl4", "agagcl4", "agcl4":
		return AgCl4M, nil
	case "ag/agclsaturated", "ag/agclsat", "agagclsaturated", "ag/agclsat.", "saturatedag/agcl":
		return AgClSat, nil
	case "saturatedcalo", "saturatedcalomel", "calo", "calomel", "sce", "hg/hg2cl2":
		return Calomel, nil
	}
	var names []string
	for _, r := range References() {
		names = append(names, string(r))
	}
	return "", fmt.Errorf("unknown reference electrode %q; write one of %s", s, strings.Join(names, ", "))
}

// Looked is a value read from a published table or formula.
type Looked struct {
	MV     float64 // mV
	Mark   string  // verified, from memory, derived
	Source string
	Note   string // what was assumed; empty when nothing was
}

// electrode is how an electrode stands against SHE: a table in temperature, or
// a value at 25 °C and a slope.
type electrode struct {
	temps, mv []float64
	at25      float64 // mV at 25 °C, used when there is no table
	slope     float64 // mV per °C
	mark      string
	source    string
	note      string
}

const slopeNote = "published at 25 °C; its change with temperature is taken as %.1f mV/°C (from memory)"

func electrodeOf(r Reference) (electrode, bool) {
	switch r {
	case SHE:
		return electrode{mark: "verified", source: "definition"}, true
	case AgCl3M:
		return electrode{
			temps: []float64{5, 10, 15, 20, 25, 30, 35, 40},
			mv:    []float64{221, 217, 214, 210, 207, 203, 200, 196},
			mark:  "verified", source: "probe maker's manual, section on ORP; other texts give 201 to 213 mV at 20 to 25 °C",
		}, true
	case AgCl333M:
		return electrode{at25: 206, slope: -0.7, mark: "verified", source: "probe maker's manual: 206 - 0.7 (t - 25)"}, true
	case AgCl4M:
		return electrode{at25: 199, slope: -1.0, mark: "verified", source: "civil engineering handbook", note: fmt.Sprintf(slopeNote, -1.0)}, true
	case AgClSat:
		return electrode{at25: 197, slope: -1.0, mark: "from memory", source: "electrochemistry texts", note: fmt.Sprintf(slopeNote, -1.0)}, true
	case AgCl1M:
		return electrode{at25: 236, slope: -0.7, mark: "from memory", source: "electrochemistry texts", note: fmt.Sprintf(slopeNote, -0.7)}, true
	case Calomel:
		return electrode{at25: 244, slope: -0.7, mark: "verified", source: "civil engineering handbook", note: fmt.Sprintf(slopeNote, -0.7)}, true
	}
	return electrode{}, false
}

// Offset is the potential of a reference electrode against SHE (mV) at tempC
// (°C, 0 to 45). Tables are read with straight lines between their rows; up to
// 5 °C beyond their ends the last slope goes on.
func Offset(r Reference, tempC float64) (Looked, error) {
	e, ok := electrodeOf(r)
	if !ok {
		return Looked{MV: math.NaN()}, fmt.Errorf("unknown reference electrode %q", r)
	}
	if !(tempC >= 0 && tempC <= 45) {
		return Looked{MV: math.NaN()}, fmt.Errorf("reference electrodes are tabulated for 0 to 45 °C, not %g °C", tempC)
	}
	out := Looked{MV: e.at25 + e.slope*(tempC-25), Mark: e.mark, Source: e.source}
	if e.temps != nil {
		out.MV = between(e.temps, e.mv, tempC)
	}
	if tempC != 25 {
		out.Note = e.note
	}
	return out, nil
}

// ToReference turns a potential read against one electrode (mV) into what it
// would read against another at the same temperature (°C).
func ToReference(mv float64, from, to Reference, tempC float64) (float64, error) {
	if from == to {
		return mv, nil
	}
	a, err := Offset(from, tempC)
	if err != nil {
		return math.NaN(), err
	}
	b, err := Offset(to, tempC)
	if err != nil {
		return math.NaN(), err
	}
	return mv + a.MV - b.MV, nil
}

// between reads y at v with straight lines; the end slopes go on outside.
func between(x, y []float64, v float64) float64 {
	i := 0
	for i < len(x)-2 && v > x[i+1] {
		i++
	}
	return y[i] + (y[i+1]-y[i])*(v-x[i])/(x[i+1]-x[i])
}
