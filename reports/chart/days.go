package chart

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// dayAxis is a row of whole calendar days, each as wide as the next whatever
// its hours.
type dayAxis struct {
	first  time.Time // a civil date, kept at UTC midnight
	n      int
	x0, x1 float64
}

// civil keeps only the calendar date.
func civil(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
}

// daysBetween counts calendar days from a to b.
func daysBetween(a, b time.Time) int {
	return int(math.Round(civil(b).Sub(civil(a)).Hours() / 24))
}

func (a dayAxis) cell() float64 { return (a.x1 - a.x0) / float64(a.n) }

// left is the left edge of column i, on a whole picture pixel: no seams show
// between neighbours.
func (a dayAxis) left(i int) float64 { return math.Round((a.x0+a.cell()*float64(i))*scale) / scale }

func (a dayAxis) mid(i int) float64   { return a.x0 + a.cell()*(float64(i)+0.5) }
func (a dayAxis) day(i int) time.Time { return a.first.AddDate(0, 0, i) }

// index is which column a date falls into; outside of the axis it is < 0 or >= n.
func (a dayAxis) index(t time.Time) int { return daysBetween(a.first, t) }

// dayAxisRoom is the height of the labels under a day axis, px.
const dayAxisRoom = 58.0

// draw labels the days under y: day numbers with the months below, or, when
// they are too many for that, months alone.
func (a dayAxis) draw(s *sheet, y float64) {
	every := 1
	for _, k := range []int{1, 2, 5, 10} {
		every = k
		if a.cell()*float64(k) >= 18 {
			break
		}
	}
	numbers := a.cell()*10 >= 18
	type monthRun struct{ from, to int }
	var months []monthRun
	for i := 0; i < a.n; i++ {
		d := a.day(i)
		if i == 0 || d.Day() == 1 {
			months = append(months, monthRun{i, i})
		}
		months[len(months)-1].to = i + 1
		if !numbers {
			continue
		}
		show := every == 1 || d.Day()%every == 0 && d.Day() != 30+every || d.Day() == 1
		if every >= 5 && d.Day() >= 29 { // leave room for the first of the next month
			show = false
		}
		if every == 2 {
			show = d.Day()%2 == 1 && d.Day() < 31
		}
		if show {
			s.line(pen{softInk, 1, nil}, xy{a.mid(i), y}, xy{a.mid(i), y + 4})
			s.text(tickText, a.mid(i), y+5+tickText.line()/2, atCentre, fmt.Sprint(d.Day()))
		}
	}
	row := y + 5 + tickText.line()/2
	if numbers {
		row += tickText.line() + 1
	}
	var firsts []time.Time
	var room []float64
	for k, m := range months {
		if x := a.left(m.from); k > 0 {
			s.line(pen{softInk, 1, nil}, xy{x, row - 8}, xy{x, row + 8})
		}
		firsts = append(firsts, a.day(m.from))
		room = append(room, a.left(m.to)-a.left(m.from)-6)
	}
	for k, text := range fitDates(firsts, room, []string{"January 2006", "Jan 2006", "Jan", initial}) {
		s.text(boldText, (a.left(months[k].from)+a.left(months[k].to))/2, row, atCentre, text)
	}
	s.text(noteText, (a.x0+a.x1)/2, row+tickText.line()+1, atCentre, a.title())
}

// title says which days these are.
func (a dayAxis) title() string {
	return "Calendar days of the plant clock, " + a.first.Format("2 Jan 2006") + " to " + a.day(a.n-1).Format("2 Jan 2006")
}

// monthLines draws a line at every first of a month inside of the axis.
func (a dayAxis) monthLines(s *sheet, y0, y1 float64) {
	for i := 1; i < a.n; i++ {
		if a.day(i).Day() == 1 {
			s.line(pen{softInk, 0.8, dashMark}, xy{a.left(i), y0}, xy{a.left(i), y1})
		}
	}
}

func checkDays(n int) error {
	if n < 1 {
		return errors.New("chart: no days to show")
	}
	if n > 4000 {
		return fmt.Errorf("chart: %d days are too many for one chart", n)
	}
	return nil
}

// head draws a chart's title and gives the y under it.
func (s *sheet) head(title string) float64 {
	lines := titleText.wrap(title, Width-2*edge)
	for i, t := range lines {
		s.text(titleText, edge, edge+titleText.line()*(float64(i)+0.5), atLeft, t)
	}
	return headHeight(title)
}

// headHeight is the y under a title.
func headHeight(title string) float64 {
	return edge + float64(len(titleText.wrap(title, Width-2*edge)))*titleText.line() + 6
}

// legendRows is how many rows a legend of its own takes.
func legendRows(items []legendItem, left float64) int {
	if len(items) == 0 {
		return 0
	}
	_, n := layLegend(items, left, left, Width-edge)
	return n
}
