package sparks

import (
	"bytes"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/series"
)

func TestPage(t *testing.T) {
	wave, lab := &series.Series{}, &series.Series{}
	for i := range 20_000 {
		if i > 8000 && i < 12_000 {
			continue // nothing was stored
		}
		v := math.Sin(float64(i) / 700)
		if i == 100 {
			v = 9999 // one value far out does not flatten the rest
		}
		wave.Append(int64(i)*60_000, v, 0)
	}
	for i := range 10 {
		lab.Append(int64(i)*86_400_000, float64(i), 0)
	}
	var b bytes.Buffer
	require.NoError(t, Write(&b, "Elder Ford <draft>", time.UTC, []Row{
		{Tag: `A&"B`, Taken: "ph at basin_outlet", Ask: "Where?", Unit: "pH", Series: wave}, {Tag: "LAB", Series: lab}, {Tag: "NONE"},
	}))
	page := b.String()
	require.Contains(t, page, "Elder Ford &lt;draft&gt;")
	require.Contains(t, page, `A&amp;&#34;B`)
	require.Contains(t, page, "1 Jan 1970 00:00 to 14 Jan 1970 21:19")
	require.Contains(t, page, "no reading")
	line := page[strings.Index(page, `class="line"`):]
	line = line[:strings.Index(line, "/>")]
	require.Equal(t, 2, strings.Count(line, "M"), "one line before the gap, one after")
	require.Equal(t, 20, strings.Count(page[strings.Index(page, `class="dots"`):], "h.01"))
}
