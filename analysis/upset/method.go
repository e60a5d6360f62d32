package upset

import "fmt"

// Method says how an upset is explained, for the report, with the settings used
// by default.
func Method() []string {
	s := DefaultSettings()
	return []string{
		fmt.Sprintf("An episode opens with %d minutes outside what is required, without one inside, and closes with %d minutes that are better than required by %s; stretches that overlap, or lie less than %s apart at the same place, are one.",
			s.EnterMin, s.LeaveMin, percent(s.LeaveShare), span(s.MergeGap.Milliseconds())),
		fmt.Sprintf("Normal is the median of the same hours (within %s of the clock time) of up to %d clean days before: days without an episode, a fault or a process event at those hours; weekdays are held against weekdays and weekend days against weekend days where there are at least %d of them.",
			span(s.HourWindow.Milliseconds()), s.NormalDays, s.MinSameDays),
		fmt.Sprintf("Change points are those of the %d-minute medians less normal, by PELT (Killick, Fearnhead and Eckley, JASA 107, 2012) with the squared-error cost; each change point has to earn %s times the long-run variance times ln n.",
			s.BinMin, num(s.Penalty)),
		fmt.Sprintf("A move is a level at least %s robust standard deviations of the signal's own changes over %s hours from what it was in the %s before, and at least the floor of its kind, for %d minutes or more.",
			num(s.MoveSigmas), num(s.ChangeHours), span(s.Base.Milliseconds()), s.MinMoveMin),
		fmt.Sprintf("A feed that stands still (at or below %s of its usual level), where it does so in less than %s of clean time, has moved whatever its scatter.", percent(s.StillShare), percent(s.StillRare)),
		fmt.Sprintf("Moves are put on the basin outlet's clock by the transport delay of the water. Those that lie less than %s apart, or whose own beginnings are less sharp than that, are told in the order of the water's way.", span(s.Tie.Milliseconds())),
		"The first mover is the first of those that can bring the breach about; signals that only show it come after, and those of an instrument in doubt last.",
		"The CT lost is split minute by minute by Shapley's value (1953) within groups (Owen, 1977): contact time, volume, and residual; in the residual, demand and dose; in the dose, feed, strength and dilution. The parts add up exactly.",
		"The published criteria for chlorine in fresh water are 19 µg/L (one hour) and 11 µg/L (four days), in salt water 13 and 7.5 µg/L: EPA, National Recommended Aquatic Life Criteria.",
	}
}
