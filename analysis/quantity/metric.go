package quantity

// metric pairs the working units with those of a metric report.
var metric = map[string]Unit{
	"MGD": MustUnit("m³/d"), "gal/h": MustUnit("L/h"), "lb": MustUnit("kg"), "lb/d": MustUnit("kg/d"),
	"gal": MustUnit("m³"), "MG": MustUnit("m³"), "ft": MustUnit("m"), "ft²": MustUnit("m²"),
}

// InMetric is the unit in which a metric report shows a figure kept in the
// working unit u: u itself where both systems use it.
func InMetric(u Unit) Unit {
	if m, ok := metric[u.Symbol]; ok {
		return m
	}
	return u
}
