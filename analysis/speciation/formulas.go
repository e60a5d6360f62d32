package speciation

import "weirbook/analysis/formula"

// Formulas tells what this package computes, for the report's sources and for
// the explain command.
func Formulas() []formula.Entry {
	return []formula.Entry{
		{Quantity: "hocl", Title: "Share of free chlorine that is HOCl", Formula: "HOCl / free chlorine = 1 / (1 + 10^(pH − pKa))",
			Units: "pH; share 0 to 1", Source: "Davis, Water and Wastewater Engineering, Example 13-1", Mark: formula.Verified},
		{Quantity: "hocl", Title: "pKa of HOCl", Formula: "pKa = 3000.00 / T − 10.0686 + 0.0253 T, T in kelvin",
			Units: "K", Valid: "fitted for 0 to 35 °C; within 0.05 of four published points", Source: "Morris (1966)", Mark: formula.Memory},
		{Quantity: "nernst slope", Title: "Nernst slope", Formula: "2.303 R T / (n F)",
			Constants: []string{"R 8.314462618 J/(mol K) (exact)", "F 96485.33212 C/mol (exact)"},
			Units:     "K, electrons; mV per tenfold change", Source: "Nernst equation", Mark: formula.Derived},
		{Quantity: "orp standard", Title: "ORP standard solutions", Formula: "quinhydrone: maker's table against Ag/AgCl 3.33 M KCl\nZoBell: 430.28 − 2.5157 (T − 25) − 0.0037979 (T − 25)² mV against SHE\nLight: 675 mV against SHE at 25 °C",
			Units: "°C; mV", Valid: "5 to 40 °C; another reference electrode is carried over through SHE",
			Source: "electrode maker's manual (verified); Nordstrom (1977); ASTM D1498", Mark: formula.Memory},
		{Quantity: "reference electrode", Title: "Reference electrodes against SHE", Formula: "mV against B = mV against A + offset A − offset B",
			Units: "°C; mV", Valid: "0 to 45 °C; texts differ by some 12 mV for Ag/AgCl 3 M KCl",
			Source: "probe and electrode makers' manuals; civil engineering handbook", Mark: formula.Verified},
	}
}
