package analysis

import (
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/finding"
)

// What lasts over the seam of two stretches is found in both, and is one.
func TestFindingAcrossASeamIsOne(t *testing.T) {
	const h = int64(3_600_000)
	at := func(tag string, start, end int64, sure float64) finding.Finding {
		return finding.Finding{Kind: "orp-offset", AtFault: finding.ORPProbe, Subject: tag, Start: start * h, End: end * h, Confidence: sure}
	}
	have := acrossSeam(nil, []finding.Finding{at("A", 10, 20, 0.7), at("A", 90, 100, 0.7), at("B", 80, 99, 0.7)}, 0)
	have = acrossSeam(have, []finding.Finding{at("A", 99, 130, 0.9), at("B", 140, 150, 0.7)}, 100*h)
	require.Len(t, have, 4)
	require.Equal(t, []int64{90 * h, 130 * h}, []int64{have[1].Start, have[1].End})
	require.Equal(t, 0.9, have[1].Confidence)
}
