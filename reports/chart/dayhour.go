package chart

import (
	"errors"
	"fmt"
	"time"
)

// DayHour is the month at a glance: a column for each calendar day, a row for
// each hour of the plant's clock, and in each cell whether the requirement was
// met. On the day the clock goes forward one cell stays empty; on the day it
// goes back one cell is split in two.
type DayHour struct {
	Title   string
	Message string
	Zone    *time.Location
	Hours   []HourState      // ascending
	Meaning map[State]string // legend texts, such as Near: "met by less than 20 %"; others have their names
}

// HourState is one hour of the clock.
type HourState struct {
	Start int64 // Unix ms, a whole hour of the plant's clock
	State State
}

// Alt is the chart's message; without one, the count of hours in each state.
func (c *DayHour) Alt() string {
	if c.Message != "" {
		return c.Message
	}
	n := map[State]int{}
	for _, h := range c.Hours {
		n[h.State]++
	}
	return fmt.Sprintf("%s: of %d hours, %s.", c.Title, len(c.Hours), counts(n))
}

// counts says how many there are of each state that occurs.
func counts(n map[State]int) string {
	var parts []string
	for _, st := range []State{Met, Near, Short, NotDetermined, NotRequired} {
		if n[st] > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n[st], st))
		}
	}
	return list(parts)
}

func (c *DayHour) check() error {
	if c.Zone == nil {
		return errors.New("chart: the day and hour grid has no clock (Zone)")
	}
	if len(c.Hours) == 0 {
		return errors.New("chart: the day and hour grid has no hours")
	}
	for i := 1; i < len(c.Hours); i++ {
		if c.Hours[i].Start <= c.Hours[i-1].Start {
			return errors.New("chart: the hours of the grid are not in order")
		}
	}
	return checkDays(c.days().n)
}

func (c *DayHour) days() dayAxis {
	local := func(h HourState) time.Time { return time.UnixMilli(h.Start).In(c.Zone) }
	first, last := local(c.Hours[0]), local(c.Hours[len(c.Hours)-1])
	return dayAxis{first: civil(first), n: daysBetween(first, last) + 1, x0: leftRoom - 12, x1: Width - edge}
}

const hourRow = 13.0

func (c *DayHour) legend() []legendItem {
	seen := map[State]bool{}
	for _, h := range c.Hours {
		seen[h.State] = true
	}
	return stateLegend(seen, c.Meaning)
}

func (c *DayHour) height() float64 {
	return headHeight(c.Title) + float64(legendRows(c.legend(), leftRoom-12))*headLine + 6 + 24*hourRow + dayAxisRoom + 8
}

func (c *DayHour) draw(s *sheet) {
	y := s.head(c.Title)
	a := c.days()
	items, rows := layLegend(c.legend(), a.x0, a.x0, Width-edge)
	s.legend(items, y)
	y += float64(rows)*headLine + 6
	gap := 0.0
	if a.cell() >= 6 {
		gap = 0.6
	}
	type place struct{ day, hour int }
	where := func(h HourState) place {
		t := time.UnixMilli(h.Start).In(c.Zone)
		return place{a.index(t), t.Hour()}
	}
	twice := map[place]int{}
	for _, h := range c.Hours {
		twice[where(h)]++
	}
	done := map[place]int{}
	for _, h := range c.Hours {
		p := where(h)
		b := box{a.left(p.day), y + hourRow*float64(p.hour), a.left(p.day + 1), y + hourRow*float64(p.hour+1)}
		if n := twice[p]; n > 1 {
			w := b.w() / float64(n)
			b.x0 += w * float64(done[p])
			b.x1 = b.x0 + w
			done[p]++
		}
		s.stateCell(h.State, b.inset(gap))
	}
	bottom := y + 24*hourRow
	for h := 0; h <= 24; h += 6 {
		hy := y + hourRow*float64(h)
		s.line(pen{softInk, 1, nil}, xy{a.x0 - 4, hy}, xy{a.x0, hy})
		s.text(tickText, a.x0-7, hy, atRight, fmt.Sprintf("%02d:00", h))
	}
	s.textUp(tickText, 12, (y+bottom)/2, "hour of the plant's clock")
	s.frame(pen{softInk, 1, nil}, box{a.x0, y, a.x1, bottom})
	a.monthLines(s, y, bottom)
	a.draw(s, bottom)
}
