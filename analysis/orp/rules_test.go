package orp

import (
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/orp/signal"
)

// Rules of the engine on columns made by hand, each with what it must leave alone.

// handWork is a judgement of so many days without columns.
func handWork(days int) *work {
	s := DefaultSettings()
	w := &work{in: &Input{Grid: align.Grid{N: days * day}}, s: &s}
	w.Bins = days * binsADay
	return w
}

// level is a column that stands at a value but for bins [from, to).
func level(n int, usual float64, from, to int, there float64) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = usual + 0.001*float64(i%5)
		if i >= from && i < to {
			v[i] = there
		}
	}
	return v
}

func TestWhatAPlantDoesEveryWeekIsNoEvent(t *testing.T) {
	w := handWork(28) // four are allowed
	at := func(d, minutes int) event {
		return event{Span: signal.Between(d*day, d*day+minutes), kind: storm, subject: "FIT"}
	}
	few := []event{at(2, 300), at(9, 300), at(16, 300), at(23, 300)}
	require.Len(t, w.ordinary(few), 4)
	require.Empty(t, w.ordinary(append(few, at(25, 300))))
	long := w.ordinary(append(few, at(5, 300), at(26, 1200)))
	require.Len(t, long, 1, "one that lasts four times as long is none of these")
	require.Equal(t, 26*day, long[0].From)
	probe := at(25, 300)
	probe.kind = orpNoise
	require.Len(t, w.ordinary(append(few, probe)), 5, "an instrument's fault is told however often")
}

func TestWayBackFromAnotherEvent(t *testing.T) {
	lost := event{Span: signal.Between(1000, 1600), kind: feedLost, subject: "FIC", ratio: 100}
	back := event{Span: signal.Between(1650, 1900), kind: feedSurplus, subject: "chlorine demand or feed", ratio: 40}
	require.True(t, aftermath(&back, []event{lost, back}))
	later := back
	later.Span = signal.Between(1850, 2100)
	require.False(t, aftermath(&later, []event{lost, later}))
	require.False(t, aftermath(&lost, []event{lost, back}), "what began it is told")
}

func TestChlorineThatComesThrough(t *testing.T) {
	w := handWork(10)
	n, from, to := w.Bins, 5*binsADay, 5*binsADay+24
	w.Total = level(n, 2, from, to, 0.1)
	w.last = level(n, 0.02, from, to, 0.8)
	w.flow = level(n, 3, 0, 0, 0)
	w.bisulfite = level(n, 30, from, to, 1.5) // paced by what the analyser shows
	require.True(t, w.cameThrough(from, to), "the sulfite was enough for what was shown")
	w.bisulfite = level(n, 30, from, to, 0.1)
	require.False(t, w.cameThrough(from, to), "the sulfite was short: it let the chlorine through")
	w.bisulfite, w.last = level(n, 30, from, to, 1.5), level(n, 0.02, 0, 0, 0)
	require.False(t, w.cameThrough(from, to), "none came through")
}

func TestOutfallChlorineThatWasTooMuchBefore(t *testing.T) {
	w := handWork(10)
	span := signal.Between(5*day, 5*day+120)
	w.Total = level(w.Bins, 2, 5*binsADay-9, 5*binsADay+25, 4)
	require.True(t, w.overloaded(span))
	w.Total = level(w.Bins, 2, 0, 0, 0)
	require.False(t, w.overloaded(span))
}

// A load that is a third weak, under a loop that holds the residual: half as much again
// is fed for four days, 2.5 mg/L more, and nothing else moves.
func TestWeakLoadUnderALoop(t *testing.T) {
	w := handWork(20)
	n, from, to := w.Bins, 8*binsADay, 12*binsADay
	w.ParcelDose, w.Total, w.starved, w.usualDose = level(n, 5, from, to, 7.5), level(n, 2, 0, 0, 0), make([]bool, n), 5
	for b := range n {
		w.hour = append(w.hour, float64(b%binsADay)/hourBins)
	}
	es := w.weakLoads()
	require.NotEmpty(t, es)
	for _, e := range es { // its first edge may be met twice; merge makes one of them
		require.InDelta(t, 8*day, e.From, 8*60)
		require.InDelta(t, 12*day, e.To, 8*60)
		require.InDelta(t, 2.5, e.size, 0.1)
	}
	w.Total = level(n, 2, from, to, 3)
	require.Empty(t, w.weakLoads(), "the residual rose with the dose: more was fed")
}

// 5.5 mg/L is left of 5 that were fed, and a grab finds half as much as the analyser.
func TestMoreLeftThanWasFed(t *testing.T) {
	w := handWork(20)
	n, from, to := w.Bins, 8*binsADay, 8*binsADay+60
	w.ParcelDose, w.Total, w.starved, w.usualDose = level(n, 5, 0, 0, 0), level(n, 2, from, to, 5.5), make([]bool, n), 5
	w.grabs = []grabLine{{points: []grabPoint{{from + 30, 0.4, true}}}}
	w.in.Total.Tag = "AIT"
	es := w.overDose()
	require.Len(t, es, 1)
	require.Equal(t, "AIT", es[0].subject)
	require.InDelta(t, 0.5, es[0].size, 0.01)
	w.grabs[0].points[0].v = 0.02
	require.Empty(t, w.overDose(), "a grab finds what the analyser does: more was fed than the signal says")
}

// A fall of 460 mV is no ammonia: the probe hangs in the air. One of 200 may be.
func TestProbeThatFallsTooFar(t *testing.T) {
	w := handWork(1)
	w.in.Probes = []Probe{{Column: Column{Tag: "ORP"}}}
	w.rAt = []int{0}
	told := func(mV float64) event {
		e := event{kind: ammoniaBreak, subject: "ammonia", ep: &episode{h: &hypothesis{cause: causeChemistry}, sizes: []amount{{size: mV, ok: true}}}}
		w.dryProbe(&e)
		return e
	}
	e := told(-460)
	require.Equal(t, orpOffset, e.kind)
	require.Equal(t, "ORP", e.subject)
	require.InDelta(t, -460, e.size, 0)
	require.Equal(t, ammoniaBreak, told(-200).kind)
}

// Both stand far above what ranks events apart; the one that the readings bear out most
// names the upset, not the one that began first.
func TestOfEqualRankThePlainerOneIsTold(t *testing.T) {
	w := handWork(3)
	demand := event{Span: signal.Between(1000, 1580), kind: demandRise, subject: "chlorine demand or feed", ratio: 329, share: 0.995}
	ammonia := event{Span: signal.Between(1025, 1550), kind: ammoniaBreak, subject: "chlorine chemistry", ratio: 1536, share: 0.965}
	es := w.merge([]event{demand, ammonia})
	require.Len(t, es, 1)
	require.Equal(t, ammoniaBreak, es[0].kind)
}
