package whiteboard

import (
	"fmt"

	"weirbook/analysis/loading"
	"weirbook/analysis/quantity"
)

// PoundsGiven is what is known for the pounds formula: a flow with a load per
// day, or a volume with a weight.
type PoundsGiven struct {
	Flow, Volume, Conc, Load *Amount
}

// Pounds solves the pounds formula for whichever of load, flow (or volume) and
// concentration is missing. US units are worked with the trade factor 8.34,
// metric ones exactly; the result stands in both.
func Pounds(g PoundsGiven) (*Work, error) {
	if g.Flow != nil && g.Volume != nil {
		return nil, fmt.Errorf("give a flow or a volume, not both")
	}
	batch := g.Volume != nil || g.Load != nil && g.Load.Unit.Dimension == quantity.Mass
	if batch && g.Flow != nil {
		return nil, fmt.Errorf("a flow goes with a load per day (lb/d, kg/d); a weight goes with a volume")
	}
	water, waterName := g.Flow, "flow"
	if batch {
		water, waterName = g.Volume, "volume"
	}
	miss, err := unknown([]string{waterName, "conc", "load"}, []bool{water != nil, g.Conc != nil, g.Load != nil})
	if err != nil {
		return nil, err
	}
	w := &Work{Title: "Pounds formula"}
	metric := water.metric() || g.Load.metric()
	u := units(metric, batch)
	var q, c, l float64
	if water != nil {
		if q, err = w.in(waterName, water, u.water); err != nil {
			return nil, err
		}
	}
	if g.Conc != nil {
		if c, err = w.in("conc", g.Conc, "mg/L"); err != nil {
			return nil, err
		}
	}
	if g.Load != nil {
		if l, err = w.in("load", g.Load, u.load); err != nil {
			return nil, err
		}
	}
	switch miss {
	case "load":
		w.line("%s = %s × mg/L %s", u.load, u.water, u.times)
		w.line("%s = %s × %s %s", u.load, mid(q), mid(c), u.times)
		l = q * c * u.factor
		w.line("%s = %s", u.load, mid(l))
		w.result("load", l, u.load)
		if metric {
			w.result("load", loading.Trade.PoundsPerDay(q*u.toMG, c), u.otherLoad)
		} else {
			w.result("load", loading.Load(q*c).KilogramsPerDay(), u.otherLoad)
		}
	case "conc":
		if err := positive(waterName, q); err != nil {
			return nil, err
		}
		w.line("mg/L = %s ÷ (%s %s)", u.load, u.water, u.times)
		w.line("mg/L = %s ÷ (%s %s)", mid(l), mid(q), u.times)
		c = l / (q * u.factor)
		w.line("mg/L = %s", mid(c))
		w.result("concentration", c, "mg/L")
	default:
		if err := positive("conc", c); err != nil {
			return nil, err
		}
		w.line("%s = %s ÷ (mg/L %s)", u.water, u.load, u.times)
		w.line("%s = %s ÷ (%s %s)", u.water, mid(l), mid(c), u.times)
		q = l / (c * u.factor)
		w.line("%s = %s", u.water, mid(q))
		w.result(waterName, q, u.water)
		for _, o := range u.otherWater {
			v, err := quantity.Convert(q, quantity.MustUnit(u.water), quantity.MustUnit(o))
			if err != nil {
				return nil, err
			}
			w.result(waterName, v, o)
		}
	}
	if metric {
		w.note("metric by exact factors; pounds by the trade factor 8.34")
	} else {
		w.note("pounds by the trade factor 8.34, which reads 0.065 percent below the exact 8.345404; metric by exact factors")
	}
	return w, nil
}

// poundsUnits are the units a sum is worked in.
type poundsUnits struct {
	water, load, otherLoad string
	otherWater             []string
	times                  string  // how the factor is written
	factor                 float64 // what it is
	toMG                   float64 // MG (or MGD) in one unit of water
}

func units(metric, batch bool) poundsUnits {
	mg := 1000 / quantity.LitresPerGallon / 1e6
	switch {
	case metric && batch:
		return poundsUnits{"m³", "kg", "lb", []string{"gal"}, "÷ 1000", 1.0 / 1000, mg}
	case metric:
		return poundsUnits{"m³/d", "kg/d", "lb/d", []string{"MGD", "L/s"}, "÷ 1000", 1.0 / 1000, mg}
	case batch:
		return poundsUnits{"MG", "lb", "kg", []string{"gal", "m³"}, "× 8.34", float64(loading.Trade), 1}
	}
	return poundsUnits{"MGD", "lb/d", "kg/d", []string{"gpm", "m³/d"}, "× 8.34", float64(loading.Trade), 1}
}
