package whiteboard

import (
	"fmt"
	"math"

	"weirbook/analysis/loading"
	"weirbook/analysis/quantity"
)

// CTGiven is what is known of a CT: residual, contact time or the basin that
// makes it, and the CT itself.
type CTGiven struct {
	Residual, Time, CT *Amount
	// Without a contact time: T10 = factor x volume / flow.
	Volume, Flow *Amount
	Factor       float64 // baffling factor T10/T, 0…1; NaN: not given
}

// CT solves CT = residual x contact time for the one that is missing. The time
// is given, or comes from volume, flow and baffling factor; with CT, residual,
// volume and factor given, the highest flow that still makes the CT is worked
// out.
func CT(g CTGiven) (*Work, error) {
	if !math.IsNaN(g.Factor) && !(g.Factor > 0 && g.Factor <= 1) {
		return nil, fmt.Errorf("baffling factor %s: T10/T lies above 0 and up to 1 (0.1 unbaffled, 0.3 poor, 0.5 average, 0.7 superior)", Num(g.Factor))
	}
	basin := g.Volume != nil || g.Flow != nil || !math.IsNaN(g.Factor)
	if basin && g.Time != nil {
		return nil, fmt.Errorf("give the contact time, or volume, flow and baffling factor to make it, not both")
	}
	w := &Work{Title: "CT"}
	if !basin {
		return ctFromTime(w, g)
	}
	names := []string{"residual", "ct", "volume", "flow", "baffling"}
	miss, err := unknown(names, []bool{g.Residual != nil, g.CT != nil, g.Volume != nil, g.Flow != nil, !math.IsNaN(g.Factor)})
	if err != nil {
		return nil, err
	}
	var v, q, c, ct float64
	for _, x := range []struct {
		name, unit string
		a          *Amount
		to         *float64
	}{{"volume", "gal", g.Volume, &v}, {"flow", "MGD", g.Flow, &q}, {"residual", "mg/L", g.Residual, &c}, {"ct", "mg·min/L", g.CT, &ct}} {
		if x.a == nil {
			continue
		}
		if *x.to, err = w.in(x.name, x.a, x.unit); err != nil {
			return nil, err
		}
		if x.name != "ct" && (miss != "ct" || x.name == "flow") {
			if err := positive(x.name, *x.to); err != nil {
				return nil, err
			}
		}
	}
	f := g.Factor
	if miss == "ct" || miss == "residual" {
		t := loading.DetentionMinutes(v, q)
		w.line("T = gal × 1,440 ÷ (MGD × 1,000,000) = %s × 1,440 ÷ (%s × 1,000,000) = %s min", mid(v), mid(q), mid(t))
		w.line("T10 = baffling factor × T = %s × %s = %s min", mid(f), mid(t), mid(f*t))
		ctOrResidual(w, miss, c, ct, f*t)
		w.result("T10", f*t, "min")
		w.result("T", t, "min")
		ctNote(w)
		return w, nil
	}
	t10 := ct / c
	w.line("T10 needed = CT ÷ residual = %s ÷ %s = %s min", mid(ct), mid(c), mid(t10))
	if err := positive("ct", t10); err != nil {
		return nil, err
	}
	switch miss {
	case "flow":
		q = loading.DetentionFlow(v*f, t10)
		w.line("MGD = baffling factor × gal × 1,440 ÷ (T10 × 1,000,000) = %s × %s × 1,440 ÷ (%s × 1,000,000) = %s", mid(f), mid(v), mid(t10), mid(q))
		w.result("highest flow", q, "MGD")
		w.result("highest flow", q*1e6/1440, "gpm")
		w.result("highest flow", q*quantity.LitresPerGallon*1000, "m³/d")
	case "volume":
		v = loading.DetentionVolume(q, t10) / f
		w.line("gal = MGD × 1,000,000 × T10 ÷ (1,440 × baffling factor) = %s × 1,000,000 × %s ÷ (1,440 × %s) = %s", mid(q), mid(t10), mid(f), mid(v))
		w.result("volume", v, "gal")
		w.result("volume", v*quantity.LitresPerGallon/1000, "m³")
	default:
		t := loading.DetentionMinutes(v, q)
		f = t10 / t
		w.line("T = gal × 1,440 ÷ (MGD × 1,000,000) = %s min", mid(t))
		w.line("baffling factor = T10 ÷ T = %s ÷ %s = %s", mid(t10), mid(t), mid(f))
		w.result("baffling factor", f, "")
		if f > 1 {
			w.note("a factor above 1 cannot be: this basin does not make this CT at this flow and residual")
		}
	}
	w.result("T10", t10, "min")
	ctNote(w)
	return w, nil
}

func ctFromTime(w *Work, g CTGiven) (*Work, error) {
	miss, err := unknown([]string{"residual", "time", "ct"}, []bool{g.Residual != nil, g.Time != nil, g.CT != nil})
	if err != nil {
		return nil, err
	}
	var c, t, ct float64
	if g.Residual != nil {
		if c, err = w.in("residual", g.Residual, "mg/L"); err != nil {
			return nil, err
		}
	}
	if g.Time != nil {
		if t, err = w.in("time", g.Time, "min"); err != nil {
			return nil, err
		}
	}
	if g.CT != nil {
		if ct, err = w.in("ct", g.CT, "mg·min/L"); err != nil {
			return nil, err
		}
	}
	switch miss {
	case "time":
		if err := positive("residual", c); err != nil {
			return nil, err
		}
		w.line("min = CT ÷ residual = %s ÷ %s = %s", mid(ct), mid(c), mid(ct/c))
		w.result("time", ct/c, "min")
	case "residual":
		if err := positive("time", t); err != nil {
			return nil, err
		}
		fallthrough
	default:
		ctOrResidual(w, miss, c, ct, t)
	}
	ctNote(w)
	return w, nil
}

// ctOrResidual works out the CT, or the residual that makes it, from a time.
func ctOrResidual(w *Work, miss string, c, ct, t float64) {
	if miss == "residual" {
		w.line("residual = CT ÷ contact time = %s ÷ %s = %s mg/L", mid(ct), mid(t), mid(ct/t))
		w.result("residual", ct/t, "mg/L")
		return
	}
	w.line("CT = residual × contact time = %s × %s = %s mg·min/L", mid(c), mid(t), mid(c*t))
	w.result("CT", c*t, "mg·min/L")
}

func ctNote(w *Work) {
	w.note("C is the residual at the basin's outlet and T the contact time at peak hourly flow (40 CFR 141.2 and 141.74); the permit says which chlorine and which time count")
}
