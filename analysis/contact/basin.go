package contact

import (
	"fmt"
	"math"
)

// GallonsPerMinutePerMGD turns MGD into gal/min: 1e6/1440 = 694.44 (exact).
const GallonsPerMinutePerMGD = 1e6 / 1440

// MeterSide is the end of the basin at which its flow is measured. It matters
// only while the volume changes.
type MeterSide uint8

// Sides.
const (
	AtOutlet MeterSide = iota
	AtInlet
)

// Basin is one contact basin (or pipe), or one segment of several in series.
type Basin struct {
	Name string
	// VolumeGal is the fixed volume (gal); not used when VolumeByMinute is set.
	VolumeGal float64
	// VolumeByMinute is the volume in each minute of the grid (gal), NaN where
	// unknown; see VolumeFromLevel and VolumeCurve.
	VolumeByMinute []float64
	// Factor turns the volume into the part of it that counts for contact time.
	Factor Factor
	// MeteredAt says where the flow is measured.
	MeteredAt MeterSide
}

// volume is the volume in minute i (gal), NaN when unknown or not positive.
func (b Basin) volume(i int) float64 {
	v := b.VolumeGal
	if b.VolumeByMinute != nil {
		v = b.VolumeByMinute[i]
	}
	if !(v > 0) || math.IsInf(v, 0) {
		return math.NaN()
	}
	return v
}

// Minutes are the minute columns that go with a basin, all on one grid and NaN
// where unknown.
type Minutes struct {
	FlowMGD   []float64 // flow through this basin
	Residual  []float64 // residual at the outlet, mg/L
	InService []float64 // at least 0.5 in service, below out; nil: always in service
}

func (b Basin) check(m Minutes) error {
	n := len(m.FlowMGD)
	if err := b.Factor.Check(); err != nil {
		return fmt.Errorf("basin %s: %w", b.Name, err)
	}
	if b.VolumeByMinute == nil && math.IsNaN(b.volume(0)) {
		return fmt.Errorf("basin %s: volume %g gal; state a volume above 0", b.Name, b.VolumeGal)
	}
	for _, c := range []struct {
		name string
		col  []float64
		must bool
	}{
		{"residual", m.Residual, true}, {"volume", b.VolumeByMinute, b.VolumeByMinute != nil},
		{"service state", m.InService, m.InService != nil},
	} {
		if c.must && len(c.col) != n {
			return fmt.Errorf("basin %s: %d minutes of %s beside %d minutes of flow", b.Name, len(c.col), c.name, n)
		}
	}
	return nil
}

// service tells whether the basin is in service in minute i; Known if it is.
func (m Minutes) service(i int) Reason {
	if m.InService == nil || m.InService[i] >= 0.5 {
		return Known
	}
	if math.IsNaN(m.InService[i]) {
		return ServiceDoubt
	}
	return OutOfService
}
