package speciation

import (
	"fmt"
	"math"
)

// Solution is a standard solution for checking an ORP electrode.
type Solution string

// Standard solutions.
const (
	QuinhydronePH4 Solution = "quinhydrone pH 4" // saturated, in phthalate buffer
	QuinhydronePH7 Solution = "quinhydrone pH 7" // saturated, in neutral phosphate buffer
	ZoBell         Solution = "ZoBell"           // ferro-/ferricyanide
	Light          Solution = "Light"            // ferrous/ferric ammonium sulfate
)

// Solutions lists the standard solutions in a fixed order.
func Solutions() []Solution {
	return []Solution{QuinhydronePH4, QuinhydronePH7, ZoBell, Light}
}

// Standard is what an electrode should read in a standard solution.
type Standard struct {
	Looked
	// Within is how far a sound electrode may read from MV (mV).
	Within float64
}

// quinhydroneTemps and the two columns beside it: mV against Ag/AgCl 3.33 M KCl;
// electrode maker's table of ORP standards (verified), accepted within 15 mV.
var quinhydroneTemps = [...]float64{5, 10, 15, 20, 25, 30, 35, 40}

var quinhydroneMV = map[Solution][8]float64{
	QuinhydronePH4: {274.2, 270.9, 266.8, 262.5, 257.6, 253.5, 248.6, 243.6},
	QuinhydronePH7: {111.9, 106.9, 101.0, 95.0, 89.0, 82.7, 76.2, 69.0},
}

// ZoBellSHE is the potential of ZoBell's solution against SHE (mV) at tempC
// (°C, 8 to 85).
//
//	E = 430.28 - 2.5157 (T - 25) - 0.0037979 (T - 25)^2
//
// Nordstrom (1977) as used in the USGS field manual A6.5, from memory. Another
// text gives 428 - 2.2 (T - 25), verified: 2 mV lower at 25 °C.
func ZoBellSHE(tempC float64) float64 {
	d := tempC - 25
	return 430.28 - 2.5157*d - 0.0037979*d*d
}

// StandardReading says what a sound electrode should read in a standard
// solution against reference r at tempC (°C). A pair that is published is
// looked up; any other is carried over through SHE, and the note says so.
func StandardReading(s Solution, r Reference, tempC float64) (Standard, error) {
	fail := Standard{Looked: Looked{MV: math.NaN()}, Within: math.NaN()}
	if !(tempC >= 5 && tempC <= 40) {
		return fail, fmt.Errorf("ORP standards are tabulated for 5 to 40 °C, not %g °C", tempC)
	}
	if _, ok := electrodeOf(r); !ok {
		return fail, fmt.Errorf("unknown reference electrode %q", r)
	}
	var st Standard
	native := SHE
	switch s {
	case QuinhydronePH4, QuinhydronePH7:
		native = AgCl333M
		mv := quinhydroneMV[s]
		st = Standard{Looked{MV: between(quinhydroneTemps[:], mv[:], tempC), Mark: "verified",
			Source: "electrode maker's table of quinhydrone standards against Ag/AgCl 3.33 mol/L KCl"}, 15}
	case ZoBell:
		st = Standard{Looked{MV: ZoBellSHE(tempC), Mark: "from memory",
			Source: "Nordstrom 1977, as in USGS field manual A6.5"}, 10}
		if r == AgCl4M {
			native = AgCl4M
			st.MV = 231 - 1.3*(tempC-25)
			st.Source = "sonde maker's standard-solution table: 231 mV at 25 °C, -1.3 mV/°C"
		}
	case Light:
		native = r
		st = Standard{Looked{MV: 675, Mark: "from memory", Source: "ASTM D1498; Light 1972"}, 10}
		switch r {
		case AgClSat, AgCl4M:
			st.MV = 475
		case Calomel:
			st.MV = 430
		default:
			native = SHE
		}
		if tempC != 25 {
			st.Note = "published at 25 °C only; held at that value"
		}
	default:
		return fail, fmt.Errorf("unknown standard solution %q", s)
	}
	if native != r {
		mv, err := ToReference(st.MV, native, r, tempC)
		if err != nil {
			return fail, err
		}
		st.MV = mv
		if st.Note != "" {
			st.Note += "; "
		}
		st.Note += fmt.Sprintf("carried over from %s", native)
		st.Mark = "derived"
	}
	return st, nil
}
