package export

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/record"
	"weirbook/analysis/series"
)

// A sign under a heading of quality is the result's, also where the first rows had
// none.
func TestSignInAQualityColumn(t *testing.T) {
	text := "time,tag,value,Flag\n"
	for i := range 300 {
		text += fmt.Sprintf("2026-03-%02d %02d:00,TRC,0.08,\n", 1+i/24, i%24)
	}
	text += "2026-03-25 06:00,TRC,0.05,<\n"
	r, err := Read(context.Background(), []record.File{memFile("a.csv", []byte(text))}, Options{})
	require.NoError(t, err)
	s := r.Series["TRC"]
	require.Equal(t, 301, s.Len())
	require.Equal(t, series.LessThan, s.F[300])
	require.Equal(t, 1, r.Ledger[0].LessThan)
}
