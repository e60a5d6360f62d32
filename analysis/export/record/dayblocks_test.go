package record

import (
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestDayBlocks(t *testing.T) {
	const text = "Tern Hollow laboratory\r\n\r\nDate: 4/1/2026,,\r\nParameter,Result,Units\r\nTSS,8,mg/L\r\nE. coli,ND,MPN/100 mL\r\n\r\n4/2/2026,,\r\nParameter,Result,Units\r\nTSS,9,mg/L\r\n"
	f := File{Name: "lab.csv", Open: func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(text)), nil }}
	ms, err := Members(f)
	require.NoError(t, err)
	r, err := ms[0].Open()
	require.NoError(t, err)
	got, err := io.ReadAll(r)
	require.NoError(t, err)
	require.NoError(t, r.Close())
	require.Equal(t, "Tern Hollow laboratory\r\n\r\n\r\nDate,Parameter,Result,Units\r\n4/1/2026,TSS,8,mg/L\r\n4/1/2026,E. coli,ND,MPN/100 mL\r\n\r\n\r\n\r\n4/2/2026,TSS,9,mg/L\r\n", string(got))
	// No blocks: a column of dates, one date above a table, dates in a title.
	for _, other := range []string{"Date\n2026-04-01\n2026-04-02\n", "2026-04-01\nTag,Value\nA,1\n", "Report of 2026-04-01\nTag,Value\nReport of 2026-04-02\nTag,Value\n", "2026-04-01\nTag,Value\nA,1\n2026-04-02\nOther,Value\nA,1\n"} {
		_, sep := dayBlocks([]byte(other))
		require.Zero(t, sep, other)
	}
}
