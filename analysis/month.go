package analysis

import (
	"context"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
	"weirbook/analysis/series"
)

// MonthResult is a monthly discharge summary with what it was read from.
type MonthResult struct {
	*Checked
	Plant *plant.Plant
	Month *discharge.Month
}

// Month reads and screens the exports and makes the discharge summary of one
// calendar month. Earlier months of the year that the exports hold stand in its
// year to date. It needs no signals: laboratory results alone make a month.
func Month(ctx context.Context, in Input, year int, month time.Month) (*MonthResult, error) {
	c, err := check(ctx, in, false)
	if err != nil {
		return nil, err
	}
	remarks, err := setAsideService(c, in)
	if err != nil {
		return nil, err
	}
	f := &Frame{Plant: in.Plant, Series: map[string]*series.Series{}, settings: align.DefaultSettings()}
	f.settings.MaxGapContinuous = in.Plant.MaxGap
	d := discharge.Input{Plant: in.Plant, Year: year, Month: month, Settings: discharge.DefaultSettings(in.Plant)}
	for _, t := range in.Plant.Tags {
		s := c.Read.Series[t.Name]
		if s == nil {
			s = &series.Series{Tag: t.Name}
		}
		f.Series[t.Name] = s
		d.Tags = append(d.Tags, discharge.TagData{Tag: t, Series: s, Rule: f.Rule(t), Lab: c.Read.Lab[t.Name]})
	}
	m, err := discharge.Summarise(d)
	if err != nil {
		return nil, err
	}
	m.Remarks = append(m.Remarks, remarks...)
	return &MonthResult{Checked: c, Plant: in.Plant, Month: m}, ctx.Err()
}

// setAsideService takes an analyser's cleaning and standards out of the month,
// where a limit rests on an analyser on line. It needs what a run needs to judge
// the instruments; without it, as with laboratory results alone, there is
// nothing to take out.
func setAsideService(c *Checked, in Input) ([]string, error) {
	f, err := newFrame(in.Plant, c.Read.Series, c.Screen.Settings, 0, 0)
	if err != nil || len(in.Plant.Basins) == 0 || !restsOnSignal(f) {
		return nil, nil
	}
	r := &Result{Frame: f}
	if r.Feeds, err = feeds(f); err != nil {
		return nil, err
	}
	if r.Basins, err = basins(f); err != nil {
		return nil, err
	}
	if err := r.judge(); err != nil {
		return nil, err
	}
	r.markServices()
	return r.serviceRemarks(), nil
}
