package orp

// confidence is how often findings like this one are right.
func (w *work) confidence(e *event) float64 {
	return clamp(e.share, 0.05, 0.99)
}
