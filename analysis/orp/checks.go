package orp

import (
	"fmt"
	"math"
	"strings"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
	"weirbook/analysis/speciation"
)

// What would settle it, in the order to do it.

func probeChecks(w *work, e *event) []string {
	return []string{
		"Take a DPD grab (free and total) at the probe; if it agrees with the analyser, the probe is wrong.",
		fmt.Sprintf("Read %s at the instrument, wipe and rinse it as its manual says, put it back and wait 30 min: a fouled probe comes back towards the band.", e.subject),
		w.standardCheck(e.subject),
	}
}

func clipChecks(_ *work, e *event) []string {
	return []string{
		fmt.Sprintf("Compare the span set in the transmitter of %s with the range it has to cover; widen it.", e.subject),
		"Compare the reading at the instrument with the exported one.",
	}
}

func residualChecks(_ *work, e *event) []string {
	return []string{
		fmt.Sprintf("Take a DPD grab at the sample point of %s, analyse within 15 min, and hold it against the reading of that minute.", e.subject),
		fmt.Sprintf("Check sample flow, strainer and drain at %s; then reagent level, age and tubing.", e.subject),
		"Until it is settled, go by DPD grabs and ORP; put the trim in manual if the plant's procedure provides for it.",
	}
}

func flowChecks(_ *work, e *event) []string {
	return []string{
		fmt.Sprintf("Hold %s against the other meter, a weir or level reading over an hour of steady flow.", e.subject),
		"Look for a partly filled pipe, a coated electrode or a fouled level sensor; read the transmitter itself, not the screen.",
		"Recompute contact time and loads of this stretch with the other meter.",
	}
}

var dataChecks = lists(
	"Export the stretch again and compare; read two instruments on the spot and hold them against the archive.",
	"Ask who maintains the data link whether it was down, restarted, or rescaled then.",
)

func feedChecks(w *work, _ *event) []string {
	grab := "Take a DPD grab at the outlet and a sample ahead of the chlorine for demand, nitrite and ammonia."
	if w.in.Gas {
		return []string{
			"Look at the feed: injector vacuum and water, rotameter, cylinder weight and pressure, switch-over; hold the weight lost against the feed shown.",
			grab,
		}
	}
	return []string{
		"Look at the feed: pump running, tank level, suction air, back-pressure valve; measure a draw-down on the calibration column.",
		grab,
		"Test the strength of the hypochlorite in the tank.",
	}
}

func outfallChecks(w *work, _ *event) []string {
	feed := "Look at the sulfite feed: pump, tank level, injector, and what its pacing follows."
	if w.in.SulfurDioxide {
		feed = "Look at the sulfur dioxide feed: injector vacuum, rotameter, cylinder weight, and what its pacing follows."
	}
	return []string{"Take a DPD grab at the outfall sample point and hold it against the analyser and the permit's limit.", feed}
}

// chemical names what the water is dechlorinated with.
func (w *work) chemical() string {
	if w.in.SulfurDioxide {
		return "Sulfur dioxide"
	}
	return "Bisulfite"
}

var ammoniaChecks = lists(
	"Take a grab for ammonia ahead of the chlorine and a DPD grab, free and total: low free chlorine while the total holds means combined chlorine.",
	"Look at nitrification upstream: dissolved oxygen, a bypass, a side stream.",
)

// standardCheck names a standard solution and what the probe should read in it.
func (w *work) standardCheck(tag string) string {
	temp := robust.Median(w.Temp)
	if math.IsNaN(temp) {
		temp = 20
	}
	temp = math.Round(signal.Clamp(temp, 5, 40))
	ref := speciation.AgCl333M
	stated := false
	for i := range w.in.Probes {
		if w.in.Probes[i].Tag == tag && w.in.Probes[i].Reference != "" {
			ref, stated = w.in.Probes[i].Reference, true
		}
	}
	var parts []string
	for _, sol := range []speciation.Solution{speciation.QuinhydronePH7, speciation.QuinhydronePH4, speciation.ZoBell} {
		st, err := speciation.StandardReading(sol, ref, temp)
		if err != nil || math.IsNaN(st.MV) {
			continue
		}
		parts = append(parts, fmt.Sprintf("%s %.0f mV (within %.0f)", sol, st.MV, st.Within))
	}
	s := fmt.Sprintf("Put the clean probe in a standard solution: at %.0f °C against %s it should read %s.", temp, ref, strings.Join(parts, ", "))
	if !stated {
		s += " The plant description does not state this probe's reference electrode; another one shifts these numbers."
	}
	return s
}

// Cautions that go with touching live equipment.
const (
	adviceOnly = "Advice only: the plant's own procedures, its permit and its licensed operators decide."
	lockOut    = "Before opening a sample line, feed line or pump: isolate, relieve pressure, lock out and tag out, and verify."
	gases      = "Chlorine and sulfur dioxide gas kill: never open a gas line or cylinder valve alone; breathing apparatus, leak detection and the plant's own procedure first."
	chemicals  = "Hypochlorite and bisulfite burn and give off gas when they meet or meet acid: eye and hand protection, ventilation, never one funnel or drain for both."
)

var (
	probeCautions = []string{
		"Set controls that follow this probe to manual or hold, as the plant's procedure says, before lifting it out.",
		"Gloves and eye protection with cleaning acid and standard solutions; acid and hypochlorite must not meet.",
		"Guard against falls at open basins; vaults and channels may be permit-required confined spaces.", adviceOnly,
	}
	residualCautions = []string{
		"Set controls that follow this analyser to manual or hold, as the plant's procedure says, before touching it.",
		lockOut, "Reagents are acid or irritant: gloves, eye protection, ventilation.", adviceOnly,
	}
	flowCautions  = []string{"The feeds may follow this meter: tell the operator before it is touched.", lockOut, adviceOnly}
	dataCautions  = []string{"A report or screen is never evidence that equipment is stopped or isolated.", adviceOnly}
	waterCautions = []string{"High water and open basins: do not sample alone.", adviceOnly}
	feedCautions  = []string{lockOut, chemicals, adviceOnly}
	gasCautions   = []string{lockOut, gases, adviceOnly}
)
