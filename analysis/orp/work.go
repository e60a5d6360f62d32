package orp

import (
	"math"

	"weirbook/analysis/orp/health"
	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
	"weirbook/analysis/speciation"
)

// work is one judgement in progress. Columns are five-minute bins.
type work struct {
	in   *Input
	s    *Settings
	bins int
	hour []float64

	free, total, ph, temp    []float64
	flow, influent, feed     []float64
	ammonia, bisulfite, last []float64 // last: residual after dechlorination
	probe                    [][]float64

	roles   []health.Role
	trouble [][]health.Trouble // by column, in the order of Input.columns
	link    []health.Trouble   // all tags together
	mask    [][]bool           // minutes of each column that are not sound

	dose       []float64 // mg/L at the feed point
	delay      []float64 // bins, of the water leaving
	usualDelay float64   // bins
	parcelDose []float64 // mg/L, of the water leaving
	parcelN    []float64 // mg/L N before chlorine, of the water leaving
	demand     []float64 // mg/L
	known      []event   // feeds lost and storms: told by their own tags
	starved    []bool    // bins without feed, and until the water is fresh again
	hold       []bool    // bins left out of every usual

	usualFree, usualTotal, usualDose, usualFlow float64
	usualHOCl                                   float64 // share of free chlorine that is HOCl, 1 where pH is unknown
	onFree                                      bool    // the law stands on free chlorine
	turning                                     bool    // free chlorine comes and goes
	regime                                      []byte  // by bin, where free chlorine comes and goes; nil: one law

	laws                 []law
	streams              []*stream
	grabs                []grabLine
	hyps                 []*hypothesis
	slack                []float64 // by stream: how well its usual is known
	rAt                  []int     // stream index of each probe's residual, -1 without
	phiAt, mAt, nAt, qAt int
	notes                []string
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
	w.free, w.total, w.ph, w.temp = get(cFree), get(cTotal), get(cPH), get(cTemp)
	w.flow, w.influent, w.feed = get(cFlow), get(cInfluent), get(cFeed)
	w.ammonia, w.bisulfite, w.last = get(cAmmonia), get(cBisulfite), get(cFinal)
	w.probe = nil
	for i := range w.in.Probes {
		w.probe = append(w.probe, get(cProbe+i))
	}
	w.usualHOCl = w.hocl()
	w.usualFree, w.usualTotal, w.usualFlow = robust.Median(w.free), robust.Median(w.total), robust.Median(w.flow)
}

// hocl gives the usual share of free chlorine that is hypochlorous acid.
func (w *work) hocl() float64 {
	ph, t := robust.Median(w.ph), robust.Median(w.temp)
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
	if w.total != nil {
		return w.total
	}
	return w.free
}
