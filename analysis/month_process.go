package analysis

import (
	"maps"
	"math"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/contact"
	"weirbook/analysis/discharge"
	"weirbook/analysis/finding"
	"weirbook/analysis/plant"
)

// monthBasins are the basins with the water followed through them, for the month's daily
// CT: without the readings that are held at fault.
type monthBasins struct {
	frame  *Frame
	basins []Basin
}

// followForMonth follows the water through the basins as the month sees the signals.
func (j *monthJudging) followForMonth(f *Frame) error {
	var tags []discharge.TagData
	for _, t := range f.Plant.Tags {
		tags = append(tags, discharge.TagData{Tag: t, Series: f.Series[t.Name]})
	}
	if marked := j.without(tags, func(x finding.Finding, t discharge.TagData) bool { return about(x, t.Tag, tags) }); marked != nil {
		g := *f
		g.Series, g.minutes = maps.Clone(f.Series), map[string][]float64{}
		for _, t := range marked {
			g.Series[t.Tag.Name] = t.Series
		}
		f = &g
	}
	bs, err := basins(f)
	if err != nil {
		return err
	}
	if err := follow(f, bs); err != nil {
		return err
	}
	j.basins = &monthBasins{f, bs}
	return nil
}

// addCT adds each basin's least CT and shortest contact time of each day of the month.
// Where the flow meter stood at the end of its scale the water went through faster, and
// both are "less than"; where the residual did at the least CT, that is "more than".
func (b *monthBasins) addCT(m *discharge.Month) error {
	set := contact.DefaultSettings()
	set.MinCoverage = b.frame.Plant.DayCoverage
	zone := b.frame.Plant.Zone
	days := align.Days(time.Date(m.Year, m.Month, 1, 0, 0, 0, 0, zone).UnixMilli(), time.Date(m.Year, m.Month+1, 1, 0, 0, 0, 0, zone).UnixMilli(), zone)
	for i := range b.basins {
		x := &b.basins[i]
		hours, err := contact.Hourly(b.frame.Grid, days, x.Track, set)
		if err != nil {
			return err
		}
		flowOff, residualOff := b.frame.atEnd(x.FlowTag), b.frame.atEnd(x.ResidualTag)
		ct := discharge.Process{Key: x.Name + ".ct", Tag: x.ResidualTag.Name, At: x.Outlet, Title: "CT, " + x.Title, Unit: "mg·min/L", LeastOnly: true}
		t := discharge.Process{Key: x.Name + ".contact_time", Tag: x.FlowTag.Name, At: x.Outlet, Title: "Contact time, " + x.Title, Unit: "min", LeastOnly: true}
		known := false
		for d, h := range hours {
			day := discharge.Day{Date: m.Days[d].Date, Hours: m.Days[d].Hours, Value: discharge.Value{V: math.NaN()}, Min: h.CTMgMinL.Min, Max: math.NaN(), Cover: h.CTMgMinL.Coverage}
			time := day
			time.Min, time.Cover = h.ContactMin.Min, h.ContactMin.Coverage
			fast := false
			for k := max(b.frame.Grid.Index(h.Window.Start), 0); flowOff != nil && k < min(b.frame.Grid.Index(h.Window.End), len(flowOff)); k++ {
				fast = fast || flowOff[k]
			}
			switch at := h.CTMgMinL.MinAt; {
			case fast:
				day.Value.Sign, time.Value.Sign = discharge.Less, discharge.Less
			case at >= 0 && residualOff != nil && residualOff[at]:
				day.Value.Sign = discharge.Greater
			}
			known = known || !math.IsNaN(day.Min) || !math.IsNaN(time.Min)
			ct.Days, t.Days = append(ct.Days, day), append(t.Days, time)
		}
		if known {
			m.Process = append(m.Process, ct, t)
		}
	}
	return nil
}

// atEnd says in which minutes of the grid a signal stood at the upper end of the span
// that tags.csv states, or was marked "more than"; nil where in none.
func (f *Frame) atEnd(t plant.Tag) []bool {
	s := f.Series[t.Name]
	if s == nil {
		return nil
	}
	var out []bool
	rule, set := f.Rule(t), discharge.DefaultSettings(f.Plant)
	for i := range s.T {
		if !set.AtEnd(t, s, i) {
			continue
		}
		end := s.T[i] + 1
		if i+1 < s.Len() {
			end = min(s.T[i+1], s.T[i]+rule.MaxGap.Milliseconds())
		}
		for k := max(f.Grid.Index(s.T[i]), 0); k < f.Grid.N && f.Grid.Milli(k) < end; k++ {
			if out == nil {
				out = make([]bool, f.Grid.N)
			}
			out[k] = true
		}
	}
	return out
}
