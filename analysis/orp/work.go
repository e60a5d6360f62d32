package orp

import (
	"math"
	"time"

	"weirbook/analysis/orp/health"
	"weirbook/analysis/orp/law"
	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
	"weirbook/analysis/speciation"
)

// work is one judgement in progress. Columns are five-minute bins.
type work struct {
	law.Water
	in   *Input
	s    *Settings
	hour []float64 // of the day, by bin

	flow, influent, feed     []float64
	ammonia, bisulfite, last []float64 // last: residual after dechlorination
	probe                    [][]float64

	idle    []bool // minutes in which there is nothing to judge
	roles   []health.Role
	trouble [][]health.Trouble // by column, in the order of Input.columns
	link    []health.Trouble   // all tags together
	mask    [][]bool           // minutes of each column that are not sound

	dose    []float64          // mg/L at the feed point
	demand  []float64          // mg/L
	known   []event            // feeds lost and storms: told by their own tags
	beyond  [cTotal + 1][]bool // bins in which the free or total residual stands at the top of its span: there is at least that much
	starved []bool             // bins without feed, and until the water is fresh again

	usualDose, usualFlow float64
	usualHOCl            float64 // share of free chlorine that is HOCl, 1 where pH is unknown

	laws                 []law.Law
	moves                []float64 // mV by which each probe's residual usually moves between two hours and the hours before
	streams              []*stream
	grabs                []grabLine
	hyps                 []*hypothesis
	slack                []float64 // by stream: how well its usual is known
	rAt                  []int     // stream index of each probe's residual, -1 without
	phiAt, mAt, nAt, qAt int
	notes                []string
}

// local is a minute of the grid on the plant's clock.
func (in *Input) local(minute int) time.Time {
	loc := in.Loc
	if loc == nil {
		loc = time.UTC
	}
	return in.Grid.Time(minute).In(loc)
}

// hourOfBin gives the local hour of the day of each five-minute bin, 0 … 24.
func hourOfBin(in *Input, bins int) []float64 {
	h := make([]float64, bins)
	for b := range h {
		t := in.local(b * signal.BinMin)
		h[b] = float64(t.Hour()) + float64(t.Minute())/60
	}
	return h
}

// column numbers in Input.columns
const (
	cFree = iota
	cTotal
	cPH
	cTemp
	cFlow
	cInfluent
	cFeed
	cAmmonia
	cBisulfite
	cFinal
	cProbe // first probe
)

func (w *work) bin() {
	cs := w.in.columns()
	get := func(i int) []float64 { return signal.Binned(cs[i], w.mask[i]) }
	w.Free, w.Total, w.PH, w.Temp = get(cFree), get(cTotal), get(cPH), get(cTemp)
	w.flow, w.influent, w.feed = get(cFlow), get(cInfluent), get(cFeed)
	w.ammonia, w.bisulfite, w.last = get(cAmmonia), get(cBisulfite), get(cFinal)
	w.probe = nil
	for i := range w.in.Probes {
		w.probe = append(w.probe, get(cProbe+i))
	}
	w.usualHOCl = w.hocl()
	w.UsualFree, w.UsualTotal, w.usualFlow = robust.Median(w.Free), robust.Median(w.Total), robust.Median(w.flow)
}

// hocl gives the usual share of free chlorine that is hypochlorous acid.
func (w *work) hocl() float64 {
	ph, t := robust.Median(w.PH), robust.Median(w.Temp)
	if math.IsNaN(t) {
		t = 15
	}
	if f := speciation.HOClFraction(ph, t); signal.Known(f) {
		return f
	}
	return 1
}

// residual is the column that stands for the chlorine at the outlet: total
// where measured, for the mass balance; free otherwise.
func (w *work) residual() []float64 {
	if w.Total != nil {
		return w.Total
	}
	return w.Free
}
