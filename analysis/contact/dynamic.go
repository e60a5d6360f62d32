package contact

import "math"

var nan = math.NaN()

// Track is the contact time of the water leaving a basin, minute by minute.
type Track struct {
	// ContactMin is the contact time of the parcel that leaves in the middle of
	// the minute (min); NaN when it is not known.
	ContactMin []float64
	// Entry is when that parcel entered, as a position on the grid: 12.25 is a
	// quarter of the way through minute 12.
	Entry []float64
	// CTMgMinL is outlet residual x contact time (mg·min/L).
	CTMgMinL []float64
	// Why says why ContactMin is NaN; Idle beside a number says that the water
	// at the outlet stood still in that minute.
	Why []Reason
	// CTWhy says why CTMgMinL is NaN.
	CTWhy []Reason
}

// Dynamic follows the water through the basin as plug flow of the part of the
// volume that counts: the parcel leaving now entered when the flow, integrated
// backwards from now, fills factor x volume.
//
// With a changing volume and the flow measured at the outlet, the water that
// lay ahead of the parcel is the volume at entry; with the flow measured at the
// inlet, the water behind it is the volume now.
//
// Flow is taken as steady within each minute, which is exact for a steady flow;
// where the flow changes, the entry lies within (change per minute / flow) / 8
// minutes of the exact one. Takes one pass over the minutes.
func Dynamic(b Basin, m Minutes, s Settings) (Track, error) {
	if err := b.check(m); err != nil {
		return Track{}, err
	}
	n := len(m.FlowMGD)
	t := Track{
		ContactMin: make([]float64, n), Entry: make([]float64, n), CTMgMinL: make([]float64, n),
		Why: make([]Reason, n), CTWhy: make([]Reason, n),
	}
	w := tracer{b: b, s: s, cum: make([]float64, n+1), track: &t}
	if b.VolumeByMinute != nil && b.MeteredAt == AtOutlet {
		w.fill = make([]float64, n+1)
		w.ahead = make([]int, 0, 256)
	}
	before := BeforeData
	for i := 0; i < n; {
		if r := minuteReason(b, m, s, i); r != Known {
			t.set(i, nan, nan, r)
			before = asGap(r)
			i++
			continue
		}
		end := i + 1
		for end < n && minuteReason(b, m, s, end) == Known {
			end++
		}
		w.run(m.FlowMGD, i, end, before)
		i = end
	}
	for i := range t.CTMgMinL {
		t.CTMgMinL[i] = t.ContactMin[i] * m.Residual[i]
		t.CTWhy[i] = t.Why[i]
		if (t.Why[i] == Known || t.Why[i] == Idle) && math.IsNaN(t.CTMgMinL[i]) {
			t.CTWhy[i] = ResidualUnknown
		}
	}
	return t, nil
}

// minuteReason says why the look-back cannot pass through minute i.
func minuteReason(b Basin, m Minutes, s Settings, i int) Reason {
	if r := m.service(i); r != Known {
		return r
	}
	if _, ok := s.cleanFlow(m.FlowMGD[i]); !ok {
		return FlowUnknown
	}
	if b.VolumeByMinute != nil && math.IsNaN(b.volume(i)) {
		return VolumeUnknown
	}
	return Known
}

// asGap is how a minute's reason looks from a parcel that leaves later.
func asGap(r Reason) Reason {
	switch r {
	case FlowUnknown:
		return FlowGap
	case VolumeUnknown:
		return VolumeGap
	}
	return ServiceChange
}

func (t *Track) set(i int, contact, entry float64, why Reason) {
	t.ContactMin[i], t.Entry[i], t.Why[i] = contact, entry, why
}

// tracer holds the running columns of one pass.
type tracer struct {
	b     Basin
	s     Settings
	cum   []float64 // gallons that have left since the start of the run, at minute boundaries
	fill  []float64 // cum + volume that counts, at minute boundaries
	ahead []int     // boundaries that can still be an entry: rising in time and in fill
	track *Track
}

// run follows the water through minutes [start, end), all of them known.
// before says what a look-back meets that reaches beyond start.
func (w *tracer) run(flow []float64, start, end int, before Reason) {
	cum := w.cum[start : end+1]
	cum[0] = 0
	for k := range cum[1:] {
		q, _ := w.s.cleanFlow(flow[start+k])
		cum[k+1] = cum[k] + q*GallonsPerMinutePerMGD
	}
	if w.fill != nil {
		w.runOutlet(cum, start, before)
		return
	}
	p := 0 // the latest boundary by which no more than the target had left
	for k := range cum[1:] {
		target := (cum[k]+cum[k+1])/2 - w.b.Factor.Value*w.b.volume(start+k)
		for p < k && cum[p+1] <= target {
			p++
		}
		for p > 0 && cum[p] > target {
			p--
		}
		w.record(cum, p, k, start, target, before)
	}
}

// runOutlet is run for a changing volume and a flow measured at the outlet: the
// parcel that leaves when cum = target entered when cum + volume = target. It
// takes the latest such time, which gives the shortest contact time.
func (w *tracer) runOutlet(cum []float64, start int, before Reason) {
	n := len(cum) - 1
	fill := w.fill[start : start+n+1]
	for k := range fill {
		v := w.b.volume(start + min(k, n-1))
		if k > 0 && k < n {
			v = (v + w.b.volume(start+k-1)) / 2
		}
		fill[k] = cum[k] + w.b.Factor.Value*v
	}
	q, head := w.ahead[:0], 0
	for k := 0; k < n; k++ {
		for len(q) > head && fill[q[len(q)-1]] >= fill[k] {
			q = q[:len(q)-1]
		}
		q = append(q, k)
		target := (cum[k] + cum[k+1]) / 2
		for head+1 < len(q) && fill[q[head+1]] <= target {
			head++
		}
		w.record(fill, q[head], k, start, target, before)
	}
	w.ahead = q
}

// record writes minute start+k whose parcel entered in the minute after
// boundary p, where the column passes the target.
func (w *tracer) record(col []float64, p, k, start int, target float64, before Reason) {
	if col[p] > target {
		w.track.set(start+k, nan, nan, before)
		return
	}
	entry := float64(p)
	if d := col[p+1] - col[p]; d > 0 {
		entry += math.Min(1, (target-col[p])/d)
	}
	why := Known
	if w.cum[start+k] == w.cum[start+k+1] {
		why = Idle
	}
	w.track.set(start+k, math.Max(0, float64(k)+0.5-entry), float64(start)+entry, why)
}
