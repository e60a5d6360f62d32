package plants

import (
	"bytes"
	"math"
	"testing"
)

// The mixed potential of two Tafel lines of 120 mV a decade moves 60 mV a decade
// (Wagner and Traud, 1938); less near full cover, and less with more chlorine.
func TestProbeSlope(t *testing.T) {
	s := Site{AcidPH: 7, TempC: 20, Wander: 3, OxideMV: 10}
	p := newProbe(orp, &s, 1)
	p.half, p.full, p.film0 = 60, 1e9, 1e-9
	mv := func(c cell) float64 { return p.potential(&c, 0, 7, 20) }
	if d := mv(cell{free: 3}) - mv(cell{free: 0.3}); math.Abs(d-60) > 1 {
		t.Errorf("%.1f mV a decade, expected 60", d)
	}
	p.full = 2
	low, high := mv(cell{free: 0.3})-mv(cell{free: 0.1}), mv(cell{free: 9})-mv(cell{free: 3})
	if high > 0.8*low {
		t.Errorf("no saturation: %.1f mV from 3 to 9 mg/L, %.1f from 0.1 to 0.3", high, low)
	}
	if d := mv(cell{free: 2}) - mv(cell{bound: 2}); d < 100 || d > 260 {
		t.Errorf("free above bound by %.0f mV", d)
	}
}

// Monochloramine takes 5.06 of chlorine for one of nitrogen, and so does nitrite
// where free chlorine is left (molar masses).
func TestDosed(t *testing.T) {
	c := dosed(8, 1, 0.2, 0, 0, 0)
	if math.Abs(c.bound-5.062) > 0.01 || math.Abs(c.free-(8-1.2*5.062)) > 0.01 {
		t.Errorf("bound %.3f free %.3f", c.bound, c.free)
	}
	c = dosed(4, 5, 0.5, 0, 0, 0)
	if c.bound != 4 || c.no2 != 0.5 {
		t.Errorf("with ammonia left nitrite takes nothing at once: %+v", c)
	}
}

func minuteOf(i int) int64 { return int64(60 * i) }

// No reading is further from what the store tells than its deadband.
func TestStores(t *testing.T) {
	r := stream(3, "walk")
	v := make([]float64, 5000)
	for i := 1; i < len(v); i++ {
		v[i] = v[i-1] + r.NormFloat64()
	}
	held := byException(v, minuteOf, 4, 60)
	door := bySwingingDoor(v, minuteOf, 4, 60)
	for name, rows := range map[string][]Row{"exception": held, "swinging door": door} {
		if len(rows) < 100 || len(rows) > 3000 {
			t.Errorf("%s keeps %d of %d", name, len(rows), len(v))
		}
		for k := 1; k < len(rows); k++ {
			a, b := rows[k-1], rows[k]
			if b.Second-a.Second > 61*60 {
				t.Fatalf("%s: %d min without a row", name, (b.Second-a.Second)/60)
			}
			for s := a.Second + 60; s < b.Second; s += 60 {
				shows := a.V
				if name != "exception" {
					shows += (b.V - a.V) * float64(s-a.Second) / float64(b.Second-a.Second)
				}
				// The doors are opened from the kept point, so a point between may be
				// one deviation beyond its own.
				if off := math.Abs(shows - v[s/60]); off > 8 {
					t.Fatalf("%s: %.1f off at %d", name, off, s)
				}
			}
		}
	}
}

func TestSameSeedSameBytes(t *testing.T) {
	ms, err := Months(Tune, 0)
	if err != nil {
		t.Fatal(err)
	}
	other, err := Months(HeldOut, 0)
	if err != nil {
		t.Fatal(err)
	}
	for i := range ms {
		if ms[i].Site == other[i].Site {
			t.Errorf("%s: the halves share a plant", ms[i].Name)
		}
	}
	for _, i := range []int{1, len(ms) - 1} {
		c := ms[i]
		c.Days = 12
		a, err := Make(c)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := Make(c)
		for k, f := range a.Files() {
			if g := b.Files()[k]; f.Name != g.Name || !bytes.Equal(f.Data, g.Data) {
				t.Errorf("%s: %s differs", c.Name, f.Name)
			}
		}
	}
}
