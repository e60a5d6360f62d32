package chart

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Three readings of 50 among 300 of 1 to 2 do not press the others into a corner: they
// lie outside, and the foot says how many. A reference measurement is always shown.
func TestFewReadingsDoNotSqueezeTheRest(t *testing.T) {
	var x, y []float64
	for i := range 300 {
		v := 1 + float64(i)/300
		x, y = append(x, v), append(y, 100*v)
	}
	far := Group{Name: "minutes", Cloud: true, X: append(x, 50, 50, 50), Y: append(y, 150, 150, 150)}
	c := &Scatter{X: Axis{Name: "residual", Unit: "mg/L"}, Y: Axis{Name: "ORP", Unit: "mV"}, Groups: []Group{far}}
	ax, _ := c.axes()
	require.Less(t, ax.hi, 10.0)
	require.Equal(t, "3 points lie outside of this picture.", c.note())

	c.Groups = append(c.Groups, Group{Name: "grab", Strong: true, X: []float64{40}, Y: []float64{150}})
	ax, _ = c.axes()
	require.GreaterOrEqual(t, ax.hi, 40.0)
}
