package plant

import (
	"math"

	"weirbook/analysis/quantity"
)

func checkBasins(c *checker, p *Plant) {
	twice := map[string]bool{}
	for i := range p.Basins {
		b := &p.Basins[i]
		if b.Title == "" {
			b.Title = b.Name
		}
		if b.Name == "" {
			c.fail("basin", i, "name", "a basin has no name")
		}
		if twice[b.Name] {
			c.fail("basin", i, "name", "basin %q stands twice", b.Name)
		}
		twice[b.Name] = true
		if b.Outlet == "" {
			c.fail("basin", i, "outlet", "basin %s names no outlet; write the sampling point at its end", b.Name)
		}
		if b.FlowAt == "" {
			c.fail("basin", i, "flow_at", "basin %s names no flow_at; write the sampling point whose flow passes it", b.Name)
		}
		checkVolume(c, p, i, b)
		if b.Tracer != nil {
			checkTracer(c, i, b.Tracer, b.Volume)
		}
		ways := 0
		for _, v := range []float64{b.BafflingFactor, b.Tanks, b.Dispersion} {
			if !math.IsNaN(v) {
				ways++
			}
		}
		if b.Tracer != nil {
			ways++
		}
		if ways == 0 && math.IsNaN(b.ModalFactor) {
			c.fail("basin", i, "baffling_factor", "basin %s states no contact time: write one of baffling_factor, tracer, tanks_in_series, dispersion_number, modal_factor", b.Name)
		} else if ways > 1 {
			c.fail("basin", i, "baffling_factor", "basin %s states its T10 in %d ways; keep one of baffling_factor, tracer, tanks_in_series, dispersion_number", b.Name, ways)
		}
		checkRequire(c, i, b)
	}
	for i, b := range p.Basins {
		for _, name := range b.After {
			if up, ok := p.Basin(name); !ok || up.Name == b.Name {
				c.fail("basin", i, "after", "after = %q names no other basin", name)
			} else if p.upstream(name, b.Name, map[string]bool{}) {
				c.fail("basin", i, "after", "the basins before %s lead in a circle", b.Name)
			}
		}
	}
}

// upstream says that the water of basin name has passed basin other before; seen
// are the basins already looked at.
func (p *Plant) upstream(name, other string, seen map[string]bool) bool {
	if seen[name] {
		return false
	}
	seen[name] = true
	b, _ := p.Basin(name)
	for _, up := range b.After {
		if up == other || p.upstream(up, other, seen) {
			return true
		}
	}
	return false
}

func checkVolume(c *checker, p *Plant, i int, b *Basin) {
	switch {
	case !math.IsNaN(b.Volume) && b.LevelAt != "":
		c.fail("basin", i, "volume", "basin %s states both a fixed volume and a level; keep one", b.Name)
	case !math.IsNaN(b.Volume):
		if b.Volume == 0 {
			c.fail("basin", i, "volume", "basin %s has no volume", b.Name)
		}
	case b.LevelAt == "":
		c.fail("basin", i, "volume", "basin %s states no volume; write volume = \"… gal\", or level_at with area or volume_curve", b.Name)
	default:
		if _, ok := p.Signal(quantity.Level, b.LevelAt); !ok {
			c.fail("basin", i, "level_at", "basin %s: no tag measures level at %q", b.Name, b.LevelAt)
		}
		if math.IsNaN(b.Area) && len(b.VolumeCurve) < 2 {
			c.fail("basin", i, "level_at", "basin %s: a level needs area = \"… ft²\" or a volume_curve of [ft, gal] pairs", b.Name)
		}
		for j := 1; j < len(b.VolumeCurve); j++ {
			if b.VolumeCurve[j][0] <= b.VolumeCurve[j-1][0] || b.VolumeCurve[j][1] < b.VolumeCurve[j-1][1] {
				c.fail("basin", i, "volume_curve", "volume_curve of %s does not rise at pair %d", b.Name, j+1)
				break
			}
		}
	}
}

func checkTracer(c *checker, i int, t *Tracer, volume float64) {
	t.Volume = orDefault(t.Volume, volume)
	if len(t.Minutes) != len(t.MgL) || len(t.Minutes) < 3 {
		c.fail("basin", i, "tracer", "tracer: minutes and mg_per_l need the same number of values, three at least; there are %d and %d", len(t.Minutes), len(t.MgL))
	}
	for j := 1; j < len(t.Minutes); j++ {
		if t.Minutes[j] <= t.Minutes[j-1] {
			c.fail("basin", i, "tracer", "tracer: minutes do not rise at value %d", j+1)
			break
		}
	}
	if math.IsNaN(t.Flow) || t.Flow == 0 {
		c.fail("basin", i, "tracer", "tracer: state the flow it was run at, as flow = \"3.0 MGD\"")
	}
	if !(t.Volume > 0) {
		c.fail("basin", i, "tracer", "tracer: the basin's volume follows its level; state the volume during the test, as volume = \"95,000 gal\"")
	}
	if t.Kind == "step" && math.IsNaN(t.Applied) {
		c.fail("basin", i, "tracer", "tracer: a step needs applied, the step's height in mg/L above the background")
	}
}

func checkRequire(c *checker, i int, b *Basin) {
	r := &b.Require
	if written, ok := c.entry("basin", i)["require"].(map[string]any); ok {
		judged, _ := written["judged_by"].(string)
		r.JudgedStated = judged != ""
	}
	byTables := r.GiardiaLog > 0 || r.VirusLog > 0
	residual := string(quantity.ChlorineTotal)
	if byTables && r.Disinfectant == "free" {
		residual = string(quantity.ChlorineFree)
	}
	if r.Residual == "" {
		r.Residual = quantity.Kind(residual)
	}
	if byTables && r.Disinfectant == "free" && r.Residual != quantity.ChlorineFree {
		c.fail("basin", i, "require.residual", "basin %s: the tables for free chlorine are read with the free residual; write residual = \"chlorine_free\", or disinfectant = \"chloramine\" for the chloramine tables", b.Name)
	}
	if len(r.Collins) != 0 && len(r.Collins) != 2 {
		c.fail("basin", i, "require.collins", "collins takes two coefficients, k and n, as in [0.23, 3]")
	}
	if len(r.Selleck) != 0 && len(r.Selleck) != 2 {
		c.fail("basin", i, "require.selleck", "selleck takes two coefficients, b and n, as in [4.0, 2.8]")
	}
	if r.Time == "modal" && math.IsNaN(b.ModalFactor) && b.Tracer == nil && math.IsNaN(b.Tanks) && math.IsNaN(b.Dispersion) {
		c.fail("basin", i, "require.time", "basin %s: a requirement on modal time needs modal_factor, tanks_in_series, dispersion_number or a tracer test", b.Name)
	}
}

func orDefault(v, d float64) float64 {
	if math.IsNaN(v) {
		return d
	}
	return v
}
