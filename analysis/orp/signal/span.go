package signal

// Span is a run of minutes or bins, [from, to).
type Span struct{ From, To int }

// Between gives [from, to).
func Between(from, to int) Span { return Span{from, to} }

// Len is its length.
func (a Span) Len() int { return a.To - a.From }

// Overlap is how much of a and b is the same.
func (a Span) Overlap(b Span) int { return max(0, min(a.To, b.To)-max(a.From, b.From)) }
