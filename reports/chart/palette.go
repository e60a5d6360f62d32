package chart

import (
	"encoding/binary"
	"image"
	"image/color"
	"sort"
)

// fewColours turns a drawing into one with a palette of 256 colours: a third
// of the bytes in the report and faster to pack. Colours are gathered in
// buckets of 32 steps per channel, and each bucket is given its most frequent
// colour, so that flat areas keep theirs exactly and only the shades of
// smoothed edges move, by less than an eye can tell.
func fewColours(src *image.RGBA) *image.Paletted {
	type bucket struct {
		n     int
		seen  map[uint32]int // all but the one met last
		last  uint32
		lastN int
	}
	buckets := make([]bucket, 1<<15)
	key := func(c uint32) int { return int(c>>19)<<10 | int(c>>11&31)<<5 | int(c>>3&31) }
	eachRun(src.Pix, func(c uint32, n int) {
		b := &buckets[key(c)]
		b.n += n
		if b.last != c && b.lastN > 0 {
			if b.seen == nil {
				b.seen = map[uint32]int{}
			}
			b.seen[b.last] += b.lastN
			b.lastN = 0
		}
		b.last, b.lastN = c, b.lastN+n
	})
	var used []int
	for k := range buckets {
		if buckets[k].n > 0 {
			used = append(used, k)
		}
	}
	sort.SliceStable(used, func(i, j int) bool { return buckets[used[i]].n > buckets[used[j]].n })
	pal := color.Palette{}
	index := make([]uint8, 1<<15)
	for i, k := range used {
		if i < 256 {
			best, n := buckets[k].last, buckets[k].lastN+buckets[k].seen[buckets[k].last]
			for c, m := range buckets[k].seen {
				if m > n || m == n && c < best {
					best, n = c, m
				}
			}
			index[k] = uint8(i)
			pal = append(pal, color.RGBA{uint8(best >> 16), uint8(best >> 8), uint8(best), 0xff})
			continue
		}
		// The rarest shades take the nearest that is kept.
		index[k] = uint8(pal.Index(color.RGBA{uint8(k>>10)<<3 | 4, uint8(k>>5&31)<<3 | 4, uint8(k&31)<<3 | 4, 0xff}))
	}
	out := image.NewPaletted(src.Rect, pal)
	o := 0
	eachRun(src.Pix, func(c uint32, n int) {
		at := index[key(c)]
		for range n {
			out.Pix[o] = at
			o++
		}
	})
	return out
}

// eachRun tells every run of one colour (0xRRGGBB) in the pixels of an RGBA picture.
func eachRun(px []uint8, tell func(c uint32, n int)) {
	for i := 0; i < len(px); {
		word := binary.LittleEndian.Uint32(px[i:])
		k := i + 4
		for two := uint64(word) | uint64(word)<<32; k+8 <= len(px) && binary.LittleEndian.Uint64(px[k:]) == two; {
			k += 8
		}
		for k < len(px) && binary.LittleEndian.Uint32(px[k:]) == word {
			k += 4
		}
		tell(uint32(px[i])<<16|uint32(px[i+1])<<8|uint32(px[i+2]), (k-i)/4)
		i = k
	}
}
