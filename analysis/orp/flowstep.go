package orp

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// flowSteps finds where a flow meter without another beside it jumped and, hours or
// days later, jumped back: water rises and falls over the better part of an hour, a
// meter's error comes and goes at once.
func (w *work) flowSteps() []event {
	if w.qAt >= 0 || !signal.Enough(w.flow) {
		return nil
	}
	lf := signal.Unknown(w.Bins)
	for i, q := range w.flow {
		if q > 0.02*w.usualFlow {
			lf[i] = math.Log(q)
		}
	}
	const near = 3
	step, size := signal.Unknown(w.Bins), signal.Unknown(w.Bins)
	for i := near; i+near <= w.Bins; i++ {
		a, b := lf[i-near:i], lf[i:i+near]
		if signal.CountKnown(a) == near && signal.CountKnown(b) == near {
			step[i] = robust.Median(b) - robust.Median(a)
			size[i] = math.Abs(step[i])
		}
	}
	limit := math.Max(w.s.FlowLogRatio, ofDays(size).Over(w.s.FlowStepScales))
	var jumps []int
	for i := 0; i < w.Bins; i++ {
		if !(size[i] > 0.6*limit) {
			continue
		}
		top := i
		for j := i; j < min(w.Bins, i+2*near); j++ {
			if size[j] > size[top] {
				top = j
			}
		}
		jumps = append(jumps, top)
		i = top + near
	}
	day := lessDay(lf, w.hour)
	var out []event
	for k, a := range jumps {
		if !(size[a] > limit) {
			continue
		}
		for _, b := range jumps[k+1:] {
			if b-a > w.s.FlowStepH*hourBins {
				break
			}
			if step[a]*step[b] > 0 || size[b] < 0.5*size[a] || size[b] > 2*size[a] {
				continue
			}
			in := robust.Median(day[a:b])
			around := robust.Median(append(append([]float64(nil), day[max(0, a-binsADay/2):a]...), day[b:min(w.Bins, b+binsADay/2)]...))
			if d := (in - around) * step[a] / size[a]; b-a >= hourBins && d > 0.5*size[a] {
				out = append(out, event{Span: signal.Between(a*signal.BinMin, b*signal.BinMin), alarm: b * signal.BinMin, kind: flowStep,
					subject: w.in.Flow.Tag, ratio: 70, share: 0.9, size: in - around})
			}
			break
		}
	}
	return out
}
