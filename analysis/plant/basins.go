package plant

import (
	"math"

	"weirbook/analysis/quantity"
)

func buildBasins(c *checker, p *Plant, fs []fileBasin) {
	for i, f := range fs {
		b := Basin{
			Name: f.Name, Title: f.Title, Train: f.Train, Inlet: f.Inlet, Outlet: f.Outlet, FlowAt: f.FlowAt,
			FlowShare: orDefault(c.number("basin", i, "flow_share", f.FlowShare, 0, 1), 1),
			RunTag:    f.RunTag, After: f.After, LevelAt: f.LevelAt,
			Closed:         c.spans("basin", i, "closed", f.Closed),
			Volume:         c.in("basin", i, "volume", f.Volume, "gal"),
			Area:           c.in("basin", i, "area", f.Area, "ft²"),
			VolumeCurve:    f.VolumeCurve,
			BafflingFactor: c.number("basin", i, "baffling_factor", f.BafflingFactor, 0, 1),
			ModalFactor:    c.number("basin", i, "modal_factor", f.ModalFactor, 0, 1.5),
			Tanks:          c.number("basin", i, "tanks_in_series", f.Tanks, 1, 1000),
			Dispersion:     c.number("basin", i, "dispersion_number", f.Dispersion, 0, 10),
			VolumeAccuracy: c.percent("basin", i, "volume_accuracy", f.VolumeAccuracy),
			FactorAccuracy: c.percent("basin", i, "contact_time_accuracy", f.FactorAccuracy),
		}
		if b.Title == "" {
			b.Title = b.Name
		}
		if b.Name == "" {
			c.fail("basin", i, "name", "a basin has no name")
		}
		if _, twice := p.Basin(b.Name); twice {
			c.fail("basin", i, "name", "basin %q stands twice", b.Name)
		}
		if b.Outlet == "" {
			c.fail("basin", i, "outlet", "basin %s names no outlet; write the sampling point at its end", b.Name)
		}
		if b.FlowAt == "" {
			c.fail("basin", i, "flow_at", "basin %s names no flow_at; write the sampling point whose flow passes it", b.Name)
		}
		checkVolume(c, p, i, &b)
		if f.Tracer != nil {
			b.Tracer = buildTracer(c, i, f.Tracer, b.Volume)
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
		b.Require = buildRequire(c, i, f.Require, b)
		p.Basins = append(p.Basins, b)
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

func buildTracer(c *checker, i int, f *fileTracer, volume float64) *Tracer {
	t := &Tracer{Kind: c.oneOf("basin", i, "kind", f.Kind, "step", "step", "pulse"),
		Flow: c.in("basin", i, "tracer.flow", f.Flow, "MGD"), Volume: orDefault(c.in("basin", i, "tracer.volume", f.Volume, "gal"), volume), Background: f.Background,
		Applied: c.number("basin", i, "applied", f.Applied, 0, 1e6), Minutes: f.Minutes, MgL: f.MgL}
	if len(f.Minutes) != len(f.MgL) || len(f.Minutes) < 3 {
		c.fail("basin", i, "tracer", "tracer: minutes and mg_per_l need the same number of values, three at least; there are %d and %d", len(f.Minutes), len(f.MgL))
	}
	for j := 1; j < len(f.Minutes); j++ {
		if f.Minutes[j] <= f.Minutes[j-1] {
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
	return t
}

func buildRequire(c *checker, i int, f fileRequire, b Basin) Requirement {
	r := Requirement{
		CT:           c.in("basin", i, "require.ct", f.CT, "mg·min/L"),
		Time:         c.oneOf("basin", i, "require.time", f.Time, "t10", "t10", "modal"),
		JudgedStated: f.JudgedBy != "",
		JudgedBy:     c.oneOf("basin", i, "require.judged_by", f.JudgedBy, "dynamic", "dynamic", "steady"),
		ContactTime:  c.in("basin", i, "require.contact_time", f.ContactTime, "min"),
		ResidualMin:  c.in("basin", i, "require.residual_min", f.ResidualMin, "mg/L"),
		ResidualMax:  c.in("basin", i, "require.residual_max", f.ResidualMax, "mg/L"),
		ModalMin:     c.in("basin", i, "require.modal_min", f.ModalMin, "min"),
		GiardiaLog:   c.number("basin", i, "require.giardia_log", f.GiardiaLog, 0, 3),
		VirusLog:     c.number("basin", i, "require.virus_log", f.VirusLog, 0, 4),
		TableReading: c.oneOf("basin", i, "require.table_reading", f.TableReading, "conservative", "conservative", "linear"),
		Disinfectant: c.oneOf("basin", i, "require.disinfectant", f.Disinfectant, "free", "free", "chloramine"),
		Collins:      f.Collins, Selleck: f.Selleck, Source: f.Source,
	}
	byTables := r.GiardiaLog > 0 || r.VirusLog > 0
	residual := string(quantity.ChlorineTotal)
	if byTables && r.Disinfectant == "free" {
		residual = string(quantity.ChlorineFree)
	}
	r.Residual = quantity.Kind(c.oneOf("basin", i, "require.residual", f.Residual, residual,
		string(quantity.ChlorineTotal), string(quantity.ChlorineFree)))
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
	return r
}
