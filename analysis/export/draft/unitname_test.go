package draft

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestUnitInName(t *testing.T) {
	for name, want := range map[string]string{
		"Effluent flow (gpm)": "gpm", "Effluent flow (gpm) avg": "gpm", "ORP [mV]": "mV", "ORP [mV] PV": "mV", "Cl2, mg/L": "mg/L",
		"TRC (free) [mg/L]": "mg/L", "Durchfluss m³/d": "m³/d", "Flow_m3/h": "m3/h", "FLOW_MGD": "MGD", "Water temperature °C": "°C",
		"Temp deg F": "deg F", "NH4 mg/L as N": "mg/L as N", "TSS (mg/L as N)": "mg/L as N", "Ablauf mÂ³/h": "mÂ³/h",
		// names, not units
		"Tank L": "", "Sump in": "", "Basin (A)": "", "P-4 run/stop status": "", "MGD": "", "mV": "", "FT-101": "", "Cl2": "", "Train 2, north": "",
		"AIT-7": "", "flow 1 h": "", "Effluent (1 min)": "", "Flow (min)": "", "": "", ",": "", "()": "", "Zone C": "", "Flow (-)": "",
	} {
		require.Equal(t, want, unitInName(name), "%q", name)
	}
}
