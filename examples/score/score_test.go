package main

import (
	"sync"
	"testing"

	"weirbook/examples/plants"
)

// Floors and ceilings of ten records that nothing was tuned on, a little below
// and above what the engine reaches: a change of the engine's numbers that costs
// more than a few events or hours fails here. They are measured, not asked for;
// whoever betters the engine raises them.
const (
	leastFoundRight = 0.90 // of events at full size
	leastAll        = 0.90 // of events of any size
	leastRight      = 0.94 // of events found
	mostAlarmHours  = 0.3  // for 1000 clean hours
	mostSlowHours   = 1.5
)

func TestScore(t *testing.T) {
	if testing.Short() {
		t.Skip("ten records take some ten seconds")
	}
	months, err := plants.Months(plants.Tune, 42_001)
	if err != nil {
		t.Fatal(err)
	}
	ts := make([]tally, 10)
	var wg sync.WaitGroup
	gate := make(chan bool, 2)
	for i := range ts {
		wg.Go(func() {
			gate <- true
			defer func() { <-gate }()
			var err error
			if ts[i], err = scorePlants(months[7*i+2]); err != nil {
				t.Errorf("%s: %v", months[7*i+2].Name, err)
			}
		})
	}
	wg.Wait()
	var all, big []outcome
	for _, x := range ts {
		for _, o := range x.outcomes {
			if o.excused == "" {
				all = append(all, o)
				if o.severity == full {
					big = append(big, o)
				}
			}
		}
	}
	everywhere := func(*tally) bool { return true }
	alarms, _ := falsePer1000(ts, func(_ *tally, c *claim) bool { return !c.slow }, everywhere)
	slow, _ := falsePer1000(ts, func(_ *tally, c *claim) bool { return c.slow }, everywhere)
	n, _, right := count(big)
	events, found, rightOfFound := count(all)
	t.Logf("%d events at full size, found and right %.2f, of any size %.2f; right of %d found %.2f; false hours for 1000 clean ones: alarms %.2f, suspicions %.2f",
		n, ratio(right, n), ratio(rightOfFound, events), found, ratio(rightOfFound, found), alarms, slow)
	switch {
	case n < 25:
		t.Errorf("only %d events at full size", n)
	case ratio(right, n) < leastFoundRight:
		t.Errorf("found and right at full size: %.2f, below %.2f", ratio(right, n), leastFoundRight)
	case ratio(rightOfFound, events) < leastAll:
		t.Errorf("found and right at any size: %.2f, below %.2f", ratio(rightOfFound, events), leastAll)
	case ratio(rightOfFound, found) < leastRight:
		t.Errorf("right of found: %.2f, below %.2f", ratio(rightOfFound, found), leastRight)
	case alarms > mostAlarmHours || slow > mostSlowHours:
		t.Errorf("false hours for 1000 clean ones: alarms %.1f above %.1f, or suspicions %.1f above %.1f", alarms, mostAlarmHours, slow, mostSlowHours)
	}
}
