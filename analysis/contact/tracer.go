package contact

import (
	"fmt"
	"math"
)

// TracerKind is how a tracer test was run.
type TracerKind string

// Kinds of tracer test.
const (
	Step  TracerKind = "step"  // dosed steadily from minute 0 on
	Pulse TracerKind = "pulse" // all at once at minute 0
)

// TracerTest is a tracer test as it was run. Times (min) rise from 0 or later.
type TracerTest struct {
	Kind       TracerKind
	FlowMGD    float64   // flow during the test, MGD
	VolumeGal  float64   // volume during the test, gal
	Background float64   // concentration without tracer, mg/L
	Applied    float64   // step only: concentration above the background, mg/L
	Min        []float64 // sample times, min
	MgL        []float64 // measured concentrations, mg/L
}

// TracerResult is what a test comes to; NaN where the test does not show it.
type TracerResult struct {
	T10, T50, T90 float64 // min
	ModalMin      float64 // min
	MeanMin       float64 // min
	VarianceMin2  float64 // min²
	Morrill       float64 // T90 / T10; below 2 is good plug flow (from memory)
	HydraulicMin  float64 // volume / flow, min
	FlowMGD       float64
	Notes         []string
}

// AnalyseTracer works out a tracer test.
//
// Step: F = (C - background) / applied; T10 is where F first reaches 0.10, by a
// straight line between samples (EPA guidance manual, appendix C, from memory);
// mean = ∫(1-F) dt; modal time where F rises fastest. Pulse: mean = ∫tC/∫C,
// variance = ∫t²C/∫C - mean² (university reactor laboratory manual, verified),
// T10 where a tenth of what came through has passed; modal time at the highest
// sample. Integrals are exact for straight lines between samples.
func AnalyseTracer(t TracerTest) (TracerResult, error) {
	r := TracerResult{T10: nan, T50: nan, T90: nan, ModalMin: nan, MeanMin: nan, VarianceMin2: nan, Morrill: nan, FlowMGD: t.FlowMGD}
	if err := t.check(); err != nil {
		return r, err
	}
	r.HydraulicMin = ContactTimeMin(t.VolumeGal, t.FlowMGD, 1)
	c := make([]float64, len(t.MgL)+1) // above background, from minute 0
	at := make([]float64, len(c))
	for i := range t.MgL {
		at[i+1], c[i+1] = t.Min[i], t.MgL[i]-t.Background
	}
	if at[1] == 0 {
		at, c = at[1:], c[1:]
	}
	var err error
	if t.Kind == Step {
		r.step(at, c, t.Applied)
	} else {
		err = r.pulse(at, c)
	}
	r.Morrill = r.T90 / r.T10
	if r.MeanMin < 0.9*r.HydraulicMin {
		r.Notes = append(r.Notes, fmt.Sprintf("the mean, %.1f min, is below volume / flow, %.1f min: dead volume, or a test ended too early", r.MeanMin, r.HydraulicMin))
	}
	if math.IsNaN(r.T10) && err == nil {
		err = fmt.Errorf("the tracer test never shows a tenth of the tracer")
	}
	return r, err
}

func (t TracerTest) check() error {
	switch {
	case t.Kind != Step && t.Kind != Pulse:
		return fmt.Errorf("a tracer test is %q or %q, not %q", Step, Pulse, t.Kind)
	case len(t.Min) != len(t.MgL):
		return fmt.Errorf("%d tracer times beside %d concentrations", len(t.Min), len(t.MgL))
	case len(t.Min) < 3:
		return fmt.Errorf("a tracer test of %d samples; it needs 3 or more", len(t.Min))
	case !(t.FlowMGD > 0) || !(t.VolumeGal > 0):
		return fmt.Errorf("a tracer test needs the flow (%g MGD) and the volume (%g gal) it was run at", t.FlowMGD, t.VolumeGal)
	case t.Kind == Step && !(t.Applied > 0):
		return fmt.Errorf("a step test needs the concentration applied above the background; it says %g mg/L", t.Applied)
	case math.IsNaN(t.Background) || math.IsInf(t.Background, 0):
		return fmt.Errorf("the tracer background is not a number")
	}
	for i := range t.Min {
		if math.IsNaN(t.MgL[i]) || math.IsInf(t.MgL[i], 0) || math.IsNaN(t.Min[i]) || math.IsInf(t.Min[i], 0) || t.Min[i] < 0 {
			return fmt.Errorf("tracer sample %d is not a time from 0 on and a concentration", i+1)
		}
		if i > 0 && t.Min[i] <= t.Min[i-1] {
			return fmt.Errorf("tracer sample %d at %g min is not later than the one before it", i+1, t.Min[i])
		}
	}
	return nil
}

func (r *TracerResult) step(at, c []float64, applied float64) {
	f := make([]float64, len(c))
	for i := range c {
		f[i] = c[i] / applied
	}
	r.T10, r.T50, r.T90 = reaches(at, f, 0.10), reaches(at, f, 0.50), reaches(at, f, 0.90)
	mean, second, steepest := at[0], at[0]*at[0], 0.0
	for i := 1; i < len(f); i++ {
		dt := at[i] - at[i-1]
		// 1-F as a straight line: mean = ∫(1-F) dt, second moment = ∫ 2 t (1-F) dt.
		a, b := 1-f[i-1], 1-f[i]
		mean += dt * (a + b) / 2
		second += 2 * dt * (a*(2*at[i-1]+at[i]) + b*(at[i-1]+2*at[i])) / 6
		if rise := (f[i] - f[i-1]) / dt; rise > steepest {
			steepest, r.ModalMin = rise, (at[i-1]+at[i])/2
		}
	}
	r.Notes = append(r.Notes, "the modal time of a step test is where the curve rises fastest between two samples: rough")
	if end := f[len(f)-1]; end < 0.95 {
		r.Notes = append(r.Notes, fmt.Sprintf("the test ended at %.0f %% of the step: no mean time from it", 100*end))
		return
	}
	r.MeanMin, r.VarianceMin2 = mean, second-mean*mean
}

func (r *TracerResult) pulse(at, c []float64) error {
	sum := make([]float64, len(c))
	var first, second, highest float64
	for i := 1; i < len(c); i++ {
		t0, t1, a, b := at[i-1], at[i], c[i-1], c[i]
		dt := t1 - t0
		sum[i] = sum[i-1] + dt*(a+b)/2
		first += dt * (a*(2*t0+t1) + b*(t0+2*t1)) / 6
		second += dt * (a*(3*t0*t0+2*t0*t1+t1*t1) + b*(t0*t0+2*t0*t1+3*t1*t1)) / 12
	}
	for i := range c {
		if c[i] > highest {
			highest, r.ModalMin = c[i], at[i]
		}
	}
	total := sum[len(sum)-1]
	if !(total > 0) {
		r.ModalMin = nan
		return fmt.Errorf("no tracer came through above the background")
	}
	r.MeanMin = first / total
	r.VarianceMin2 = second/total - r.MeanMin*r.MeanMin
	r.T10, r.T50, r.T90 = passed(at, c, sum, 0.10), passed(at, c, sum, 0.50), passed(at, c, sum, 0.90)
	if end := c[len(c)-1]; end > 0.05*highest {
		r.Notes = append(r.Notes, fmt.Sprintf("the test ended at %.0f %% of the highest concentration: mean and T90 read low", 100*end/highest))
	}
	return nil
}

// reaches is the time at which f first reaches p, on straight lines.
func reaches(at, f []float64, p float64) float64 {
	for i := range f {
		if f[i] >= p {
			if i == 0 || f[i] == f[i-1] {
				return at[i]
			}
			return at[i-1] + (at[i]-at[i-1])*(p-f[i-1])/(f[i]-f[i-1])
		}
	}
	return nan
}

// passed is the time at which the share p of the whole area first lies behind.
func passed(at, c, sum []float64, p float64) float64 {
	want := p * sum[len(sum)-1]
	for i := 1; i < len(sum); i++ {
		if sum[i] < want {
			continue
		}
		// a s + (b-a) s²/(2 dt) = want - sum, for s from 0 to dt.
		dt, a, b, need := at[i]-at[i-1], c[i-1], c[i], want-sum[i-1]
		root := math.Sqrt(math.Max(0, a*a+2*(b-a)/dt*need))
		if d := a + root; d > 0 {
			return at[i-1] + math.Min(dt, 2*need/d)
		}
		return at[i]
	}
	return nan
}

// Factor is the contact time of the test as a share of volume / flow.
func (r TracerResult) Factor(kind TimeKind) Factor {
	v := map[TimeKind]float64{T10: r.T10, Modal: r.ModalMin, Mean: r.MeanMin}
	m, ok := v[kind]
	if !ok {
		m = nan
	}
	return Factor{Value: m / r.HydraulicMin, Kind: kind, FlowMGD: r.FlowMGD, Notes: r.Notes,
		Source: fmt.Sprintf("tracer test at %.4g MGD: %s %.4g min", r.FlowMGD, kind, m)}
}

// Doubt says when a tracer test does not reach as far as the flow it is used
// for: EPA guidance asks for a test at 91 % of the highest flow or more (from
// memory). Empty when there is nothing to say.
func (f Factor) Doubt(peakMGD float64) string {
	if f.FlowMGD > 0 && f.FlowMGD < 0.91*peakMGD {
		return fmt.Sprintf("the tracer test was run at %.4g MGD, below 91 %% of the peak of %.4g MGD", f.FlowMGD, peakMGD)
	}
	return ""
}
