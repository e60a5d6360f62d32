package analysis

import (
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/contact"
	"weirbook/analysis/finding"
)

// A finding of high flow says that something was short only where it was.
func TestHighFlowTellsWhatCameOfIt(t *testing.T) {
	const hour = 3600_000
	hours := func(vs ...contact.Verdict) *Result {
		r := &Result{Frame: &Frame{}, Basins: make([]Basin, 1),
			Findings: []finding.Finding{{Kind: "storm", Start: hour, End: 3 * hour, Summary: "High flow."}}}
		for i, v := range vs {
			r.Hours = append(r.Hours, align.Window{Start: int64(i) * hour, End: int64(i+1) * hour})
			r.Basins[0].Hours = append(r.Basins[0].Hours, BasinHour{Asked: true, Verdict: v})
		}
		r.tellContactTime()
		return r
	}
	require.Equal(t, "High flow; what is required was met in all hours of it that could be determined.", hours(contact.Short, contact.Met, contact.Met, contact.Short).Findings[0].Summary)
	require.Equal(t, "High flow; what is required was not met in one hour of it.", hours(contact.Met, contact.Short, contact.Met).Findings[0].Summary)
	require.Equal(t, "High flow; whether what is required was met is not known.", hours(contact.Met, contact.NotDetermined, contact.NotDetermined).Findings[0].Summary)
}
