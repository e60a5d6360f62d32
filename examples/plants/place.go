package plants

import "math"

// placer deals out kinds of events in turn, so that each comes about as often
// as the others.
type placer struct {
	next  int
	count map[Kind]int
}

// events fills a record after its first week: a kind, one to two days of rest,
// the next kind. Every other event of a kind that comes in sizes is half-size.
func (p *placer) events(d *draw, c Config) []Event {
	var out []Event
	s := &c.Site
	end := c.Days*1440 - 720
	at := 7*1440 + d.IntN(1440)
	if s.SeasonFrom > 0 {
		at += s.SeasonFrom
	}
	for skipped := 0; skipped < len(kindList); {
		in := kindList[(p.next*7)%len(kindList)] // shares no factor with their number
		p.next++
		subject, ok := subjectOf(d, s, in)
		length := int(60 * in.hours * (0.7 + 0.6*d.Float64()))
		if !ok || at+length > end {
			skipped++
			continue
		}
		skipped = 0
		e := Event{Kind: in.kind, From: at, To: at + length, Subject: subject, Size: in.size * (0.9 + 0.4*d.Float64())}
		if in.kind == OtherUnit {
			e.Size = 1000
			if subject == flow {
				e.Size = 1e6 / 1440 // gal/min for MGD
			}
		}
		p.count[in.kind]++
		if !in.noHalf && p.count[in.kind]%2 == 0 {
			e.Half = true
			e.Size *= 0.5
		}
		if in.ways && d.Float64() < 0.5 {
			e.Size = -e.Size
		}
		switch in.kind {
		case ProbeDry:
			e.Size = math.Min(e.Size, 1)
		case ClockOff:
			e.Size = math.Round(in.size)
		}
		out = append(out, e)
		at += length + 1500 + d.IntN(1700)
	}
	return out
}

// subjectOf picks what an event is about; false where it means nothing at the
// plant.
func subjectOf(d *draw, s *Site, in kindInfo) (string, bool) {
	second := func(role string) string {
		if s.Trains == 2 && d.Float64() < 0.5 {
			return ofTrain(role, 1)
		}
		return role
	}
	switch in.party {
	case faultProbe:
		if s.Middle && d.Float64() < 0.4 {
			return second(middle), true
		}
		return second(orp), s.Outlet
	case faultAnalyser:
		if !s.Total || s.Free && s.NH3 < 0.2 && d.Float64() < 0.4 {
			return second(free), s.Free
		}
		return second(total), true
	case faultFlow:
		return second(flow), true
	}
	switch in.kind {
	case FeedLost, FeedShort, FeedHigh, Weak:
		return second(feed), true
	case Breakthrough, Nitrite:
		return in.subject, s.NH3 < 2
	case NoDechlor:
		return in.subject, s.Dechlor && (s.FinalAnalyser || s.FinalORP)
	case LinkHeld, LinkBlank:
		return linkName(d.IntN(s.Links)), true
	case ClockOff:
		return linkName(min(1, s.Links-1)), s.Links > 1
	case OtherUnit:
		if s.Total && d.Float64() < 0.4 {
			return total, true
		}
		return flow, true
	}
	return in.subject, true
}
