package whiteboard

import (
	"fmt"
	"math"

	"weirbook/analysis/loading"
	"weirbook/analysis/quantity"
)

// DoseGiven is what is known about a chlorine feed.
type DoseGiven struct {
	Feed     *Amount // lb/d of gas, or a volume rate of Solution
	Flow     *Amount
	Dose     *Amount
	Solution Solution
	Residual *Amount // optional: the demand is worked out too
	Ammonia  *Amount // optional, mg/L as N: the weight ratio is worked out too
}

// Dose solves dose = feed / flow for whichever of feed, flow and dose is
// missing, for gas by weight and for hypochlorite by volume and strength.
func Dose(g DoseGiven) (*Work, error) {
	liquid := g.Solution.given()
	if g.Feed != nil {
		switch g.Feed.Unit.Dimension {
		case quantity.MassRate:
			liquid = false
		case quantity.VolumeRate:
			if !liquid {
				return nil, fmt.Errorf("feed: %s is a volume; give the solution's --strength (12.5%% --as trade, or 125g/L)", g.Feed.Unit.Symbol)
			}
		default:
			return nil, fmt.Errorf("feed: write lb/d, kg/d, gal/d, gal/h or mL/min, not %s", g.Feed.Unit.Symbol)
		}
	}
	miss, err := unknown([]string{"feed", "flow", "dose"}, []bool{g.Feed != nil, g.Flow != nil, g.Dose != nil})
	if err != nil {
		return nil, err
	}
	w := &Work{Title: "Chlorine dose"}
	var gpl, feed, q, d float64
	if liquid {
		if gpl, err = w.gramsPerLitre(g.Solution, false); err != nil {
			return nil, err
		}
		if err := positive("strength", gpl); err != nil {
			return nil, err
		}
	}
	if g.Flow != nil {
		if q, err = w.in("flow", g.Flow, "MGD"); err != nil {
			return nil, err
		}
	}
	if g.Dose != nil {
		if d, err = w.in("dose", g.Dose, "mg/L"); err != nil {
			return nil, err
		}
	}
	if g.Feed != nil {
		unit := "lb/d"
		if liquid {
			unit = "gpd"
		}
		if feed, err = w.in("feed", g.Feed, unit); err != nil {
			return nil, err
		}
		if liquid { // from here on in pounds
			lb := feed * loading.Trade.PoundsPerGallon(gpl)
			w.line("lb/d = gal/d × g/L × 0.00834 = %s × %s × 0.00834 = %s", mid(feed), mid(gpl), mid(lb))
			feed = lb
		}
	}
	switch miss {
	case "dose":
		if err := positive("flow", q); err != nil {
			return nil, err
		}
		d = loading.DoseOfGas(feed, q, loading.Trade)
		w.line("mg/L = lb/d ÷ (MGD × 8.34) = %s ÷ (%s × 8.34) = %s", mid(feed), mid(q), mid(d))
		w.result("dose", d, "mg/L")
	case "flow":
		if err := positive("dose", d); err != nil {
			return nil, err
		}
		q = loading.Trade.Flow(feed, d)
		w.line("MGD = lb/d ÷ (mg/L × 8.34) = %s ÷ (%s × 8.34) = %s", mid(feed), mid(d), mid(q))
		w.result("flow", q, "MGD")
		w.result("flow", q*1e6/1440, "gpm")
		w.result("flow", q*quantity.LitresPerGallon*1000, "m³/d")
	default:
		feed = loading.Trade.PoundsPerDay(q, d)
		w.line("lb/d = MGD × mg/L × 8.34 = %s × %s × 8.34 = %s", mid(q), mid(d), mid(feed))
		if liquid {
			gal := loading.FeedForDose(d, q, gpl)
			w.line("gal/d = lb/d ÷ (g/L × 0.00834) = %s ÷ (%s × 0.00834) = %s", mid(feed), mid(gpl), mid(gal))
			w.feedResults(gal)
		}
		w.result("chlorine", feed, "lb/d")
		w.result("chlorine", loading.Load(q*d).KilogramsPerDay(), "kg/d")
	}
	if err := w.demand(g, d); err != nil {
		return nil, err
	}
	w.note("pounds by the trade factor 8.34; kilograms exact")
	return w, nil
}

// demand adds demand and the weight ratio to nitrogen where they are asked for.
func (w *Work) demand(g DoseGiven, d float64) error {
	if g.Residual != nil {
		r, err := w.in("residual", g.Residual, "mg/L")
		if err != nil {
			return err
		}
		w.line("demand = dose − residual = %s − %s = %s mg/L", mid(d), mid(r), mid(loading.Demand(d, r)))
		w.result("demand", loading.Demand(d, r), "mg/L")
		if r > d {
			w.note("a residual above the dose cannot be: check the feed, the flow and the residual, and that they belong to the same water")
		}
	}
	if g.Ammonia != nil {
		n, err := w.in("ammonia", g.Ammonia, "mg/L")
		if err != nil {
			return err
		}
		x := loading.ChlorineToNitrogen(d, n)
		if math.IsNaN(x) {
			w.note("ammonia nitrogen below 0.05 mg/L: no ratio")
			return nil
		}
		w.line("Cl2:N = dose ÷ ammonia-N = %s ÷ %s = %s by weight: %s", mid(d), mid(n), mid(x), loading.PositionOf(x))
		w.result("Cl2:N by weight", x, "")
	}
	return nil
}
