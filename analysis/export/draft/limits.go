package draft

import (
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// limitForm is a limit that permits often state for a kind: its statistic and its
// unit, and never its value. Common practice, no source.
type limitForm struct {
	kind      quantity.Kind
	statistic string
	unit      string
	sample    string
}

var limitForms = []limitForm{
	{quantity.BOD5, "average monthly", "mg/L", "composite"},
	{quantity.BOD5, "maximum weekly average", "mg/L", "composite"},
	{quantity.CBOD5, "average monthly", "mg/L", "composite"},
	{quantity.CBOD5, "maximum weekly average", "mg/L", "composite"},
	{quantity.TSS, "average monthly", "mg/L", "composite"},
	{quantity.TSS, "maximum weekly average", "mg/L", "composite"},
	{quantity.AmmoniaN, "average monthly", "mg/L", "composite"},
	{quantity.AmmoniaN, "maximum daily", "mg/L", "composite"},
	{quantity.Phosphorus, "average monthly", "mg/L", "composite"},
	{quantity.EColi, "geometric mean monthly", "MPN/100mL", "grab"},
	{quantity.EColi, "instantaneous maximum", "MPN/100mL", "grab"},
	{quantity.FecalColiform, "geometric mean monthly", "MPN/100mL", "grab"},
	{quantity.FecalColiform, "instantaneous maximum", "MPN/100mL", "grab"},
	{quantity.Enterococci, "geometric mean monthly", "MPN/100mL", "grab"},
	{quantity.TotalColiform, "median 7 day", "MPN/100mL", "grab"},
	{quantity.ChlorineTotal, "maximum daily", "mg/L", "grab"},
	{quantity.PH, "range", "", "grab"},
	{quantity.DissolvedOxygen, "minimum daily", "mg/L", "grab"},
	{quantity.TurbidityK, "maximum daily", "NTU", "grab"},
}

// writeLimits writes the limits that permits often state for what the exports
// hold, as questions, and how the month is reported.
func writeLimits(p printer, d *Draft) {
	p("")
	p("# --- the permit ---")
	p("# The permit's own figures, for what these exports hold. Delete what it does not state,")
	p("# and copy a block where it states more.")
	for _, f := range limitForms {
		at := ""
		for _, g := range d.Guesses {
			if g.Measures != f.kind || g.looks.n == 0 {
				continue
			}
			if end := g.At == outfall || g.At == basinOutlet && f.kind == quantity.PH; !end {
				continue
			}
			if at == "" || g.At == outfall {
				at = g.At
			}
			if f.kind == quantity.PH && g.Reading != series.Grab {
				f.statistic, f.sample = "range continuous", "continuous"
			}
		}
		if at == "" {
			continue
		}
		p("")
		p("#[[limit]]")
		p("#parameter = %q", f.kind)
		p("#at = %q", at)
		p("#statistic = %q", f.statistic)
		if f.kind == quantity.PH {
			p("#low = \"?\"")
			p("#high = \"?\"")
		} else {
			p("#value = \"?\"   # as the permit writes it: 0.10 has two figures")
			p("#unit = %q", f.unit)
		}
		p("#sample = %q", f.sample)
		p("#source = \"?\"   # part and page of the permit")
	}
	p("")
	p("#[reporting]")
	p("#facility = \"?\"        # as the permit names it")
	p("#permit_number = \"?\"")
	p("#non_detect = \"?\"      # what the permit counts a result below its limit as: zero, half, limit")
}

// LogCSV is an empty log with its words explained: what only people know.
func LogCSV() []byte {
	return []byte("\ufeff" + `from,to,what,where,value,unit,note
# Write a row for what only people know; rows that begin with # are not read. Times are the plant's clock (2026-03-14 06:30); without "to" it is a moment.,,,,,,
# ,,delivery,name of the feed,12.5,trade percent,"a delivery, and its strength"
# ,,tank changed,name of the feed,12.5,trade percent,"another tank or tote is fed from now on, and its strength"
# ,,cleaned,tag,,,"a probe or an analyser was cleaned"
# ,,calibrated,tag,2.10 -> 1.95,mg/L,"what it read before -> after"
# ,,standard,tag,1.00,mg/L,"a standard was read at the instrument from ... to"
# ,,out of service,tag,,,"the instrument's readings in this time are not the water's"
# ,,closed,name of the basin,,,"a basin out of service, or a pump"
# ,,bypass,point or basin,,,"water went round it"
# ,,storm,,,,"rain, inflow"
# ,,sampling,point,,,"trouble with a sample or the sampler"
# ,,remark,,,,"anything else that should stand beside the events"
`)
}
