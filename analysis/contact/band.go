package contact

import "math"

// Accuracy is what a maker or the plant states for an instrument: ± (Percent of
// the reading + Absolute). NaN or 0 in both: not stated.
//
// A stated accuracy is taken as a band that holds 95 of 100 true values, lying
// to either side like a normal error (common practice, no source), and as one
// error that stays the same through an hour and through a look-back: a meter
// that reads 2 % high does so all the time, so averaging many readings does not
// make the hour's figure any surer.
type Accuracy struct {
	Percent  float64 // percent of reading
	Absolute float64 // in the reading's unit
}

// Stated reports whether there is any accuracy to work with.
func (a Accuracy) Stated() bool { return a.Percent > 0 || a.Absolute > 0 }

// Half is half the width of the band at reading v, in v's unit.
func (a Accuracy) Half(v float64) float64 {
	h := 0.0
	if a.Percent > 0 {
		h += a.Percent / 100 * math.Abs(v)
	}
	if a.Absolute > 0 {
		h += a.Absolute
	}
	return h
}

// Band is a value with half the width of its 95 % band.
type Band struct{ Value, Half float64 }

// Of puts a's band on a reading.
func (a Accuracy) Of(v float64) Band { return Band{v, a.Half(v)} }

// Low and High are the ends of the band.
func (b Band) Low() float64  { return b.Value - b.Half }
func (b Band) High() float64 { return b.Value + b.Half }

// Relative is the half width as a share of the value; 0 for an exact value.
func (b Band) Relative() float64 {
	if b.Half == 0 {
		return 0
	}
	return b.Half / math.Abs(b.Value)
}

// Scale multiplies by an exact number.
func (b Band) Scale(k float64) Band { return Band{b.Value * k, b.Half * math.Abs(k)} }

// Times propagates at first order for errors of different instruments, which are
// independent of each other: relative parts of a product add as squares (JCGM 100:2008, section 5.1, from
// memory). Good while the relative parts stay below some 20 %.

// Times is b x c.
func (b Band) Times(c Band) Band {
	return Band{b.Value * c.Value, math.Hypot(b.Half*c.Value, c.Half*b.Value)}
}

// Accuracies are those of a basin's inputs.
type Accuracies struct {
	Flow     Accuracy // MGD
	Residual Accuracy // mg/L
	Volume   Accuracy // gal: survey of the basin, or its level
	Factor   Accuracy // baffling factor or tracer test, in shares of volume / flow
}

// LookBackFlowMGD is the mean flow over a parcel's way: the volume that counts
// over the contact time. NaN unless the time is above 0.
func LookBackFlowMGD(volumeGal, factor, contactMin float64) float64 {
	if !(contactMin > 0) {
		return nan
	}
	return factor * volumeGal / contactMin / GallonsPerMinutePerMGD
}

// ContactBand puts the band on a contact time (min) of the volume (gal), factor
// and flow (MGD) it was computed from.
func (a Accuracies) ContactBand(contactMin, volumeGal, factor, flowMGD float64) Band {
	part := func(acc Accuracy, v float64) float64 {
		if !acc.Stated() {
			return 0
		}
		return acc.Half(v) / math.Abs(v)
	}
	q, v, f := part(a.Flow, flowMGD), part(a.Volume, volumeGal), part(a.Factor, factor)
	return Band{contactMin, contactMin * math.Sqrt(q*q+v*v+f*f)}
}

// CTBand puts the band on residual (mg/L) x contact time.
func (a Accuracies) CTBand(residual float64, contact Band) Band {
	return a.Residual.Of(residual).Times(contact)
}
