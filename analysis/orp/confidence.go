package orp

// Confidence of a finding is how often such findings were right: of its kind, and told as
// an alarm that its evidence decides, as an alarm with a second explanation not far, or as
// a suspicion. The counts are of the tune half of examples/plants, three seeds (207
// records, some 1,300 findings), each shrunk towards nine in ten by three findings and
// held at 0.97; seeds that nothing was set on are scored in DEVELOPERS.md. Within a kind
// the three never rise from the first to the last (isotonic: pooled where they did).

// earned is what findings of one kind were worth.
type earned struct{ plain, contested, suspected float64 }

var confidences = map[string]earned{
	"ammonia-breakthrough": {0.88, 0.88, 0.5},
	"bisulfite-lost":       {0.86, 0.86, 0.5},
	"bisulfite-surplus":    {0.7, 0.7, 0.3},
	"chlorine-at-outfall":  {0.2, 0.2, 0.2},
	"clock-shift":          {0.97, 0.97, 0.5},
	"demand-rise":          {0.9, 0.9, 0.68},
	"feed-lost":            {0.97, 0.97, 0.5},
	"feed-surplus":         {0.93, 0.93, 0.55},
	"flow-drift":           {0.97, 0.97, 0.8},
	"flow-frozen":          {0.97, 0.97, 0.8},
	"flow-missing":         {0.97, 0.97, 0.8},
	"flow-offset":          {0.96, 0.9, 0.8},
	"link-blank":           {0.97, 0.97, 0.8},
	"link-frozen":          {0.97, 0.97, 0.8},
	"orp-calibration-step": {0.8, 0.8, 0.6},
	"orp-clip":             {0.9, 0.9, 0.6},
	"orp-drift":            {0.97, 0.95, 0.8},
	"orp-frozen":           {0.97, 0.97, 0.6},
	"orp-noise":            {0.95, 0.95, 0.3},
	"orp-offset":           {0.96, 0.9, 0.8},
	"orp-response-lost":    {0.6, 0.6, 0.5},
	"repeated-block":       {0.95, 0.95, 0.8},
	"residual-clip":        {0.85, 0.85, 0.5},
	"residual-drift":       {0.97, 0.85, 0.65},
	"residual-frozen":      {0.91, 0.91, 0.5},
	"residual-noise":       {0.3, 0.3, 0.3},
	"residual-offset":      {0.95, 0.7, 0.7},
	"residual-sample-lost": {0.93, 0.85, 0.65},
	"storm":                {0.95, 0.95, 0.5},
	"unit-mix-up":          {0.97, 0.97, 0.8},
}

// confidence looks an event up.
func (w *work) confidence(e *event) float64 {
	c := confidences[e.kind.name]
	switch {
	case e.suspicion:
		return c.suspected
	case e.ep != nil && e.share < w.s.OffsetShare:
		return c.contested
	}
	return c.plain
}
