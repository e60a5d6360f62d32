package screen_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/quantity"
	"weirbook/analysis/screen"
	"weirbook/analysis/series"
)

// counted is a running total read every quarter hour.
func counted(vs ...float64) screen.Tagged {
	s := &series.Series{Tag: "FQ"}
	for i, v := range vs {
		s.Append(int64(i)*900_000, v, 0)
	}
	tg := tag(s, quantity.FlowTotal, "gal")
	tg.Reading = series.Counter
	return tg
}

// Which readings are no part of the total was told by hand.
func TestRunningTotals(t *testing.T) {
	for name, c := range map[string]struct {
		v     []float64
		spike []int // not used
		jumps []int // risen to by more than the flow can
	}{
		"a zero between":            {[]float64{500, 510, 520, 0, 540, 550, 560}, []int{3}, nil},
		"a digit too many":          {[]float64{500, 510, 520, 5300, 540, 550, 560}, []int{3}, nil},
		"zeros for a while":         {[]float64{500, 510, 520, 0, 0, 0, 0, 0, 0, 600, 610, 620}, []int{3, 4, 5, 6, 7, 8}, nil},
		"two near zero":             {[]float64{500, 510, 520, 0, 1, 550, 560, 570}, []int{3, 4}, nil},
		"two apart":                 {[]float64{500, 510, 0, 530, 540, 550, 5600, 570, 580}, []int{2, 6}, nil},
		"turned over":               {[]float64{999960, 999970, 999980, 999990, 2, 12, 22}, nil, nil},
		"set back":                  {[]float64{500, 510, 520, 3, 13, 23, 33, 43}, nil, nil},
		"set back, and up again":    {[]float64{5000, 5010, 5020, 0, 10, 20, 30, 40, 5080, 5090}, nil, []int{8}},
		"set up":                    {[]float64{500, 510, 520, 9000, 9010, 9020}, nil, []int{3}},
		"a digit too many at last":  {[]float64{500, 510, 520, 530, 5400}, nil, []int{4}},
		"a zero at first":           {[]float64{0, 510, 520, 530, 540}, nil, []int{1}},
		"stood still, then went on": {[]float64{500, 510, 520, 520, 520, 520, 520, 520, 520, 520, 520, 520, 520, 520, 520, 660, 670, 680}, nil, nil},
		"a storm of nine times":     {[]float64{500, 510, 520, 530, 620, 710, 800, 890, 900}, nil, nil},
		"batches":                   {[]float64{0, 0, 1, 1, 1, 2, 2, 2, 50, 98, 146, 194, 194, 194, 195, 195}, nil, nil},
		"too short to tell":         {[]float64{500, 0, 520}, nil, nil},
	} {
		t.Run(name, func(t *testing.T) {
			tg := counted(c.v...)
			rep := screen.Screen([]screen.Tagged{tg}, screen.DefaultSettings())
			require.NoError(t, rep.Apply([]screen.Tagged{tg}))
			var spike, jumps []int
			for i, f := range tg.Series.F {
				if f == series.Spike {
					spike = append(spike, i)
				}
			}
			up := screen.TotalJumps(tg.Series, screen.DefaultSettings())
			for i := range c.v {
				if up[i] {
					jumps = append(jumps, i)
				}
			}
			require.Equal(t, c.spike, spike)
			require.Equal(t, c.jumps, jumps)
			want := 0
			if len(c.spike) > 0 {
				want++
			}
			if len(c.jumps) > 0 {
				want++
			}
			require.Len(t, rep.Messages, want)
		})
	}
}
