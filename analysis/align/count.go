package align

import "weirbook/analysis/series"

// counter counts the usable and the left-out readings of one window after the
// other. It goes through them once when windows follow each other.
type counter struct {
	s            *series.Series
	mask         series.Flag
	i            int // first reading not counted yet
	usable, left int
}

// open begins a window at the time start.
func (c *counter) open(start int64) {
	t := c.s.T
	if c.i > 0 && t[c.i-1] >= start || c.i < len(t) && t[c.i] < start {
		c.i = c.s.Find(start)
	}
	c.usable, c.left = 0, 0
}

// run takes the readings from i up to to, which are known to be usable.
func (c *counter) run(i, to int) {
	c.upTo(i)
	c.usable += to - i
	c.i = to
}

func (c *counter) upTo(i int) {
	for ; c.i < i; c.i++ {
		if v := c.s.V[c.i]; c.s.F[c.i]&c.mask == 0 && v-v == 0 {
			c.usable++
		} else {
			c.left++
		}
	}
}

// close ends the window at the time end.
func (c *counter) close(end int64) (usable, left int) {
	to := c.i
	for to < len(c.s.T) && c.s.T[to] < end {
		to++
	}
	c.upTo(to)
	return c.usable, c.left
}
