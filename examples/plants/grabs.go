package plants

import "math"

// grabs reads bottles at the bench: some 4 % and 0.03 mg/L off, at a usual hour
// give or take, on working days only where there is one a day. Blunders are
// what people do: a digit or a decimal point mistyped, outfall and basin
// swapped, a time written down hours late.
func (p *plant) grabs(r *Record, w []minute) []Grab {
	s := p.s
	if s.GrabsPerDay == 0 {
		return nil
	}
	var out []Grab
	rd := stream(p.seed, "grabs")
	days := r.Days
	for d := range days {
		for g := range s.GrabsPerDay {
			hour := 8.2 + float64(g)*24/float64(s.GrabsPerDay+1) + 0.5*rd.NormFloat64()
			i := spinUp + d*1440 + int(60*hour)
			skip := rd.Float64() < 0.05 || (s.GrabsPerDay == 1 && d%7 >= 5 && rd.Float64() < 0.7)
			if i < spinUp || i >= len(w) || w[i].flow <= 0 || i < s.SeasonFrom || skip {
				continue
			}
			for k := range s.Trains {
				role := total
				if !s.Total {
					role = free
				}
				at := int64(r.First + 60*int64(i-spinUp))
				v := p.truth[ofTrain(role, k)][i]*(1+0.04*rd.NormFloat64()) + 0.02*rd.NormFloat64()
				fin := p.truth[final][i] + 0.01*math.Abs(rd.NormFloat64())
				b := Grab{Second: at, Role: ofTrain(role, k), V: hundredth(v)}
				if rd.Float64() < s.Blunders {
					b.Blunder = true
					switch rd.IntN(4) {
					case 0:
						b.V = hundredth(v / 10)
					case 1:
						b.V = hundredth(v * 10)
					case 2:
						b.V, fin = hundredth(fin), v
					case 3:
						b.Second += int64(60 * (120 + rd.IntN(420)))
					}
				}
				out = append(out, b)
				if k == 0 && s.Dechlor && g == 0 {
					out = append(out, Grab{Second: at + 300, Role: final, V: hundredth(fin), Blunder: b.Blunder})
				}
			}
		}
	}
	return out
}

func hundredth(v float64) float64 { return math.Round(100*math.Max(v, 0)) / 100 }

// calendar tells when there is no water or no season, and when it rains.
func (r *Record) calendar(s *Site, w []minute) {
	r.Resting = make([]bool, r.N)
	wet := -1
	for i := range r.N {
		m := &w[i+spinUp]
		r.Resting[i] = m.flow <= 0 || i+spinUp < s.SeasonFrom
		switch {
		case m.wet > 0.3 && wet < 0:
			wet = i
		case m.wet <= 0.1 && wet >= 0:
			r.Rains = append(r.Rains, Span{wet, i})
			wet = -1
		}
	}
	if wet >= 0 {
		r.Rains = append(r.Rains, Span{wet, r.N})
	}
}
