package orp

import (
	"fmt"
	"math"
	"strings"

	"weirbook/analysis/finding"
	"weirbook/analysis/robust"
	"weirbook/analysis/speciation"
)

// checks says what would settle it, in the order to do it.
func (w *work) checks(e *event) []string {
	tag := e.subject
	switch e.party {
	case finding.ORPProbe:
		if e.kind == "orp-clip" {
			return []string{
				fmt.Sprintf("Compare the span set in the transmitter of %s with the range it has to cover; widen it.", tag),
				"Compare the reading at the instrument with the exported one.",
			}
		}
		return []string{
			"Take a DPD grab (free and total) at the probe; if it agrees with the analyser, the probe is wrong.",
			fmt.Sprintf("Read %s at the instrument, wipe and rinse it as its manual says, put it back and wait 30 min: a fouled probe comes back towards the band.", tag),
			w.standardCheck(tag),
		}
	case finding.ResidualAnalyser:
		return []string{
			fmt.Sprintf("Take a DPD grab at the sample point of %s, analyse within 15 min, and hold it against the reading of that minute.", tag),
			fmt.Sprintf("Check sample flow, strainer and drain at %s; then reagent level, age and tubing.", tag),
			"Until it is settled, go by DPD grabs and ORP; put the trim in manual if the plant's procedure provides for it.",
		}
	case finding.FlowMeter:
		return []string{
			fmt.Sprintf("Hold %s against the other meter, a weir or level reading over an hour of steady flow.", tag),
			"Look for a partly filled pipe, a coated electrode or a fouled level sensor; read the transmitter itself, not the screen.",
			"Recompute contact time and loads of this stretch with the other meter.",
		}
	case finding.Data:
		return []string{
			"Export the stretch again and compare; read two instruments on the spot and hold them against the archive.",
			"Ask who maintains the data link whether it was down, restarted, or rescaled then.",
		}
	}
	switch e.kind {
	case "ammonia-breakthrough":
		return []string{
			"Take a grab for ammonia ahead of the chlorine and a DPD grab, free and total: free low with total standing says combined chlorine.",
			"Look at nitrification upstream: dissolved oxygen, a bypass, a side stream.",
		}
	case "feed-lost", "demand-rise":
		return []string{
			"Look at the feed: pump running, tank level, suction air, back-pressure valve; measure a draw-down on the calibration column.",
			"Take a DPD grab at the outlet and a sample ahead of the chlorine for demand, nitrite and ammonia.",
			"Test the strength of the hypochlorite in the tank.",
		}
	case "bisulfite-lost", "chlorine-at-outfall", "bisulfite-surplus":
		return []string{
			"Take a DPD grab at the outfall sample point and hold it against the analyser and the permit's limit.",
			"Look at the sulfite feed: pump, tank level, injector, and what its pacing follows.",
		}
	case "storm":
		return []string{"Check that feed and contact time held at the peak; take a DPD grab and the bacteriological sample that the permit asks for."}
	}
	return []string{"Take a DPD grab, free and total, and read both instruments at the spot."}
}

// standardCheck names a standard solution and what the probe should read in it.
func (w *work) standardCheck(tag string) string {
	temp := robust.Median(w.temp)
	if math.IsNaN(temp) {
		temp = 20
	}
	temp = math.Round(clamp(temp, 5, 40))
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

// cautions go with touching live equipment.
func cautions(e *event) []string {
	base := "Advice only: the plant's own procedures, its permit and its licensed operators decide."
	lock := "Before opening a sample line, feed line or pump: isolate, relieve pressure, lock out and tag out, and verify."
	chem := "Hypochlorite and bisulfite burn and give off gas when they meet or meet acid: eye and hand protection, ventilation, never one funnel or drain for both."
	switch e.party {
	case finding.ORPProbe:
		return []string{
			"Set controls that follow this probe to manual or hold, as the plant's procedure says, before lifting it out.",
			"Gloves and eye protection with cleaning acid and standard solutions; acid and hypochlorite must not meet.",
			"Guard against falls at open basins; vaults and channels may be permit-required confined spaces.", base,
		}
	case finding.ResidualAnalyser:
		return []string{
			"Set controls that follow this analyser to manual or hold, as the plant's procedure says, before touching it.",
			lock, "Reagents are acid or irritant: gloves, eye protection, ventilation.", base,
		}
	case finding.FlowMeter:
		return []string{"The feeds may follow this meter: tell the operator before it is touched.", lock, base}
	case finding.Data:
		return []string{"A report or screen is never evidence that equipment is stopped or isolated.", base}
	}
	if e.kind == "storm" || strings.HasPrefix(e.kind, "ammonia") {
		return []string{"High water and open basins: do not sample alone.", base}
	}
	return []string{lock, chem, base}
}
