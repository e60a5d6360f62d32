package whiteboard

import (
	"fmt"
	"math"

	"weirbook/analysis/loading"
	"weirbook/analysis/quantity"
)

// DechlorinationGiven is what is known about taking a residual out.
type DechlorinationGiven struct {
	Agent    string  // bisulfite, metabisulfite, sulfite, sulfur_dioxide …
	Ratio    float64 // mg agent per mg chlorine; NaN: the field ratio
	Residual *Amount
	Flow     *Amount
	Feed     *Amount // lb/d of agent, or a volume rate of Solution
	Solution Solution
}

// Dechlorination works out the feed of an agent for a residual in a flow, or
// from a feed the residual it can take out, or the flow it serves.
func Dechlorination(g DechlorinationGiven) (*Work, error) {
	a, err := loading.AgentOf(g.Agent)
	if err != nil {
		return nil, err
	}
	k := a.Field
	how := "field ratio: " + a.FieldSource
	if !math.IsNaN(g.Ratio) {
		k, how = g.Ratio, "ratio as given"
	}
	if err := positive("ratio", k); err != nil {
		return nil, err
	}
	liquid := g.Solution.given() && (g.Feed == nil || g.Feed.Unit.Dimension == quantity.VolumeRate)
	if g.Feed != nil && g.Feed.Unit.Dimension == quantity.VolumeRate && !liquid {
		return nil, fmt.Errorf("feed: %s is a volume; give the solution's --strength (38%% --gravity 1.31, or g/L)", g.Feed.Unit.Symbol)
	}
	miss, err := unknown([]string{"residual", "flow", "feed"}, []bool{g.Residual != nil, g.Flow != nil, g.Feed != nil})
	if err != nil {
		return nil, err
	}
	w := &Work{Title: "Dechlorination with " + a.Name}
	var gpl, c, q, feed float64
	if liquid {
		if gpl, err = w.gramsPerLitre(g.Solution, true); err != nil {
			return nil, err
		}
		if err := positive("strength", gpl); err != nil {
			return nil, err
		}
	}
	if g.Residual != nil {
		if c, err = w.in("residual", g.Residual, "mg/L"); err != nil {
			return nil, err
		}
	}
	if g.Flow != nil {
		if q, err = w.in("flow", g.Flow, "MGD"); err != nil {
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
		if liquid {
			lb := feed * loading.Trade.PoundsPerGallon(gpl)
			w.line("lb/d = gal/d × g/L × 0.00834 = %s × %s × 0.00834 = %s", mid(feed), mid(gpl), mid(lb))
			feed = lb
		}
	}
	switch miss {
	case "feed":
		need := loading.DechlorinationNeeded(c, k)
		w.line("agent mg/L = residual × ratio = %s × %s = %s", mid(c), mid(k), mid(need))
		feed = loading.Trade.PoundsPerDay(q, need)
		w.line("lb/d = MGD × mg/L × 8.34 = %s × %s × 8.34 = %s", mid(q), mid(need), mid(feed))
		if liquid {
			gal := loading.FeedForDose(need, q, gpl)
			w.line("gal/d = lb/d ÷ (g/L × 0.00834) = %s ÷ (%s × 0.00834) = %s", mid(feed), mid(gpl), mid(gal))
			w.feedResults(gal)
		}
		w.result(a.Name, feed, "lb/d")
		w.result(a.Name, loading.Load(q*need).KilogramsPerDay(), "kg/d")
		w.result(a.Name, need, "mg/L")
	case "residual":
		if err := positive("flow", q); err != nil {
			return nil, err
		}
		applied := loading.Trade.Concentration(feed, q)
		w.line("agent mg/L = lb/d ÷ (MGD × 8.34) = %s ÷ (%s × 8.34) = %s", mid(feed), mid(q), mid(applied))
		c = loading.ChlorineRemovable(applied, k)
		w.line("residual it can take out = agent ÷ ratio = %s ÷ %s = %s mg/L", mid(applied), mid(k), mid(c))
		w.result("residual it can take out", c, "mg/L")
		w.result(a.Name, applied, "mg/L")
	default:
		if err := positive("residual", c); err != nil {
			return nil, err
		}
		need := loading.DechlorinationNeeded(c, k)
		q = loading.Trade.Flow(feed, need)
		w.line("agent mg/L = residual × ratio = %s × %s = %s", mid(c), mid(k), mid(need))
		w.line("MGD = lb/d ÷ (mg/L × 8.34) = %s ÷ (%s × 8.34) = %s", mid(feed), mid(need), mid(q))
		w.result("flow it serves", q, "MGD")
		w.result("flow it serves", q*quantity.LitresPerGallon*1000, "m³/d")
	}
	w.note("%s mg %s per mg chlorine, %s", Num(k), a.Name, how)
	if !math.IsNaN(a.Stoichiometric) {
		w.note("stoichiometric: %s mg per mg chlorine", Num(a.Stoichiometric))
	}
	w.note("pounds by the trade factor 8.34; kilograms exact")
	w.note("too much uses up dissolved oxygen; bisulfite and sulfur dioxide give off SO2, and never share a line or tank with hypochlorite or acid: follow the plant's own procedures")
	return w, nil
}
