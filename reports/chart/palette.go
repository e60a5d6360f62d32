package chart

import (
	"image"
	"image/color"
	"sort"
)

// fewColours turns a drawing into one with a palette of 256 colours: a third
// of the bytes in the report and faster to pack. Colours are gathered in
// buckets of 32 steps per channel, and each bucket is given its most frequent
// colour, so that flat areas keep theirs exactly and only the shades of
// smoothed edges move, by less than an eye can tell.
func fewColours(img image.Image) image.Image {
	src, ok := img.(*image.RGBA)
	if !ok {
		return img
	}
	type bucket struct {
		n    int
		seen map[uint32]int
	}
	buckets := make([]bucket, 1<<15)
	key := func(r, g, b uint8) int { return int(r>>3)<<10 | int(g>>3)<<5 | int(b>>3) }
	px := src.Pix
	last, lastN := uint32(0), 0
	put := func() {
		if lastN == 0 {
			return
		}
		b := &buckets[key(uint8(last>>16), uint8(last>>8), uint8(last))]
		if b.seen == nil {
			b.seen = map[uint32]int{}
		}
		b.n += lastN
		b.seen[last] += lastN
	}
	for i := 0; i < len(px); i += 4 {
		c := uint32(px[i])<<16 | uint32(px[i+1])<<8 | uint32(px[i+2])
		if c == last && lastN > 0 {
			lastN++
			continue
		}
		put()
		last, lastN = c, 1
	}
	put()
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
			best, n := uint32(0), 0
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
	for i, o := 0, 0; i < len(px); i, o = i+4, o+1 {
		out.Pix[o] = index[key(px[i], px[i+1], px[i+2])]
	}
	return out
}
