package orp

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// A probe that steers the feed and fouls shows nothing in its own millivolts: they stand
// at the set point, and dose and residual climb until the feed can give no more.

// fouledInLoop finds where dose and residual stand far above their usual for hours, the
// demand has not asked for it, and a probe does not show the chlorine.
func (w *work) fouledInLoop() []event {
	c := w.residual()
	if c == nil || w.dose == nil || !signal.Enough(w.dose) {
		return nil
	}
	usual, dose := robust.Median(c), w.usualDose
	c6, d6 := robust.TrailingMedian(c, 6*hourBins, 3*hourBins), robust.TrailingMedian(w.dose, 6*hourBins, 3*hourBins)
	var out []event
	for i := 0; i < w.Bins; i++ {
		high := func(j int) bool { return c6[j] > w.s.LoopResidual*usual && d6[j] > w.s.LoopDose*dose }
		if !high(i) {
			continue
		}
		from, last := i, i
		for j := i; j < w.Bins && j-last <= 6*hourBins; j++ {
			if high(j) {
				last = j
			}
		}
		for from > 0 && (c6[from-1] > 1.5*usual || math.IsNaN(c6[from-1])) {
			from--
		}
		from = max(0, from-3*hourBins) // a trailing median tells late
		to := max(last-3*hourBins, i+1)
		hold := w.s.ConfirmH * hourBins / 2 // two days about the alarm; then it has to be seen anew
		from, to = max(from, i-hold), min(to, i+hold)
		if p, short := w.blindProbe(c, usual, signal.Between(i, to)); p >= 0 && short >= w.s.LoopShortMV && to-i >= 3*hourBins {
			out = append(out, event{Span: signal.Between(from*signal.BinMin, to*signal.BinMin), alarm: i * signal.BinMin, kind: orpInLoop,
				subject: w.in.Probes[p].Tag, ratio: 130, share: 0.97, size: -short})
		}
		i = last
	}
	return out
}

// blindProbe gives the probe that shows least of the chlorine that is there, and by how
// many mV it stands short of the prior law; -1 where all show it.
func (w *work) blindProbe(c []float64, usual float64, t signal.Span) (probe int, short float64) {
	probe = -1
	probes, seeing := 0, 0
	rise := w.Law.PriorSlope * math.Log10(robust.Median(c[t.From:t.To])/usual)
	for p := range w.in.Probes {
		if w.in.Probes[p].Place == Final || !signal.Enough(w.probe[p]) {
			continue
		}
		moved := robust.Median(w.probe[p][t.From:t.To]) - robust.Median(w.probe[p])
		probes++
		if moved >= 0.2*rise {
			seeing++
		} else if d := rise - moved; d > short {
			probe, short = p, d
		}
	}
	if probes > 1 && seeing == 0 {
		return -1, 0 // none sees it: combined chlorine, not a probe
	}
	return probe, short
}
