package analysis

import (
	"time"

	"weirbook/analysis/discharge"
	"weirbook/analysis/finding"
)

// PermitMonth is a calendar month that the period touches, held against the
// limits of the plant description as the monthly summary holds it.
type PermitMonth struct {
	*discharge.Month
	Whole bool // the period holds all of it: its averages can be held against limits
}

// holdLimits holds the period's months against the limits. judged is what the
// instruments were found to be at fault in.
func (r *Result) holdLimits(c *Checked, judged []finding.Finding) error {
	if len(r.Plant.Limits) == 0 {
		return nil
	}
	d, _ := monthInput(c, r.Plant)
	j := monthJudging{remarks: r.serviceRemarks()}
	j.take(judged)
	first := time.UnixMilli(r.From).In(r.Plant.Zone)
	for m := time.Date(first.Year(), first.Month(), 1, 0, 0, 0, 0, r.Plant.Zone); m.UnixMilli() < r.To; m = m.AddDate(0, 1, 0) {
		month, err := j.summarise(d, m)
		if err != nil {
			return err
		}
		whole := m.UnixMilli() >= r.From && m.AddDate(0, 1, 0).UnixMilli() <= r.To
		r.Permit = append(r.Permit, PermitMonth{month, whole})
	}
	return nil
}
