package analysis

import (
	"fmt"
	"time"

	"weirbook/analysis/plant"
	"weirbook/analysis/series"
	"weirbook/analysis/upset"
)

// maskLogged flags the readings of instruments in the times that log.csv says they
// were cleaned, calibrated, read a standard or were out of service: they are not
// the water's. It says so, a sentence a row, and how many readings it took.
func (f *Frame) maskLogged() (notes []string) {
	for i := range f.Plant.Log {
		e := &f.Plant.Log[i]
		s := f.Series[e.Where]
		if !e.Masks() || s == nil {
			continue
		}
		if t, ok := f.Plant.Tag(e.Where); ok && t.Sampled() {
			continue
		}
		lo, hi := s.Between(e.From.UnixMilli(), e.Until().UnixMilli())
		if hi <= lo {
			continue
		}
		for k := lo; k < hi; k++ {
			s.F[k] |= series.Invalid
		}
		delete(f.minutes, e.Where)
		taken := ""
		if !e.To.After(e.From) {
			taken = fmt.Sprintf(", taken as %d min because it states no end", plant.ServiceTime/time.Minute)
		}
		notes = append(notes, fmt.Sprintf("log.csv:%d: %s, %s to %s%s: its %d readings of that time are not used.", e.Line, e.Says(),
			e.From.In(f.Plant.Zone).Format("2 Jan 15:04"), e.Until().In(f.Plant.Zone).Format("15:04"), taken, hi-lo))
	}
	return notes
}

// Logged lists what log.csv says of the time between two moments, Unix
// milliseconds, with half an hour on both sides, in order.
func Logged(p *plant.Plant, from, to int64) []plant.LogEntry {
	const near = 30 * 60_000
	var out []plant.LogEntry
	for _, e := range p.Log {
		if e.From.UnixMilli() <= to+near && e.Until().UnixMilli() >= from-near {
			out = append(out, e)
		}
	}
	return out
}

// LogLine tells an entry with its time on the plant's clock.
func LogLine(p *plant.Plant, e *plant.LogEntry) string {
	when := e.From.In(p.Zone).Format("Mon 2 Jan 15:04")
	if e.To.After(e.From) {
		layout := "15:04"
		if e.To.In(p.Zone).YearDay() != e.From.In(p.Zone).YearDay() {
			layout = "Mon 2 Jan 15:04"
		}
		when += " to " + e.To.In(p.Zone).Format(layout)
	}
	return when + ": " + e.Says()
}

// loggedCause is what an entry may have brought about.
var loggedCause = map[plant.LogWord]upset.CauseKind{
	plant.Delivery: upset.StrengthFell, plant.TankChanged: upset.StrengthFell, plant.StormLogged: upset.FlowRose, plant.Bypass: upset.FlowRose,
	plant.Closed: upset.FlowRose, plant.Cleaned: upset.MisledFeed, plant.Calibrated: upset.MisledFeed, plant.Standard: upset.MisledFeed,
	plant.OutOfService: upset.MisledFeed,
}
