package whiteboard

import (
	"weirbook/analysis/loading"
	"weirbook/analysis/quantity"
)

// Detention solves detention time = volume / flow for the one that is missing.
func Detention(volume, flow, time *Amount) (*Work, error) {
	miss, err := unknown([]string{"volume", "flow", "time"}, []bool{volume != nil, flow != nil, time != nil})
	if err != nil {
		return nil, err
	}
	w := &Work{Title: "Detention time"}
	var v, q, t float64
	if volume != nil {
		if v, err = w.in("volume", volume, "gal"); err != nil {
			return nil, err
		}
	}
	if flow != nil {
		if q, err = w.in("flow", flow, "MGD"); err != nil {
			return nil, err
		}
	}
	if time != nil {
		if t, err = w.in("time", time, "min"); err != nil {
			return nil, err
		}
	}
	switch miss {
	case "time":
		if err := positive("flow", q); err != nil {
			return nil, err
		}
		t = loading.DetentionMinutes(v, q)
		w.line("min = gal × 1,440 ÷ (MGD × 1,000,000)")
		w.line("min = %s × 1,440 ÷ (%s × 1,000,000)", mid(v), mid(q))
		w.line("min = %s", mid(t))
		w.result("time", t, "min")
		w.result("time", t/60, "h")
	case "volume":
		v = loading.DetentionVolume(q, t)
		w.line("gal = MGD × 1,000,000 × min ÷ 1,440")
		w.line("gal = %s × 1,000,000 × %s ÷ 1,440", mid(q), mid(t))
		w.line("gal = %s", mid(v))
		w.result("volume", v, "gal")
		w.result("volume", v/quantity.GallonsPerCubicFoot, "ft³")
		w.result("volume", v*quantity.LitresPerGallon/1000, "m³")
	default:
		if err := positive("time", t); err != nil {
			return nil, err
		}
		q = loading.DetentionFlow(v, t)
		w.line("MGD = gal × 1,440 ÷ (min × 1,000,000)")
		w.line("MGD = %s × 1,440 ÷ (%s × 1,000,000)", mid(v), mid(t))
		w.line("MGD = %s", mid(q))
		w.result("flow", q, "MGD")
		w.result("flow", q*1e6/1440, "gpm")
		w.result("flow", q*quantity.LitresPerGallon*1000, "m³/d")
	}
	w.note("this is the mean time; the first tenth of the water leaves earlier: \"calc ct\" takes a baffling factor")
	return w, nil
}
