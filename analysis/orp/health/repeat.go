package health

import (
	"math"
	"weirbook/analysis/orp/signal"
)

// repeats finds stretches in which all tags repeat, to the last digit, what
// they read some time before.
func repeats(cs []*signal.Column, n int) []Trouble {
	hash := make([]uint64, n)
	for i := range hash {
		h := uint64(14695981039346656037)
		for _, c := range cs {
			h = (h ^ math.Float64bits(c.V[i])) * 1099511628211
			h ^= h >> 29
		}
		hash[i] = h
	}
	const probe = 4 // minutes in a row that must match to suspect a lag
	last := make(map[uint64]int, n/probe)
	var out []Trouble
	key := func(i int) uint64 {
		h := uint64(1469598103934665603)
		for k := 0; k < probe; k++ {
			h = (h ^ hash[i+k]) * 1099511628211
		}
		return h
	}
	moved := func(i int) bool { // a repeat of stillness tells nothing
		return i > 0 && hash[i] != hash[i-1] && hash[i+1] != hash[i]
	}
	for i := 0; i+probe < n; i++ {
		k := key(i)
		if j, ok := last[k]; ok && i-j > 30 && moved(i) {
			lag := i - j
			end := i
			for end < n && hash[end] == hash[end-lag] {
				end++
			}
			if end-i >= 30 {
				out = append(out, Trouble{Span: signal.Between(i, end), Kind: RepeatedBlock, Alarm: i + 30, Size: float64(lag), Usual: 0})
				i = end
				continue
			}
		}
		last[k] = i
	}
	return out
}
