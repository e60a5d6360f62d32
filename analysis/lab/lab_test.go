package lab

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The words a laboratory's sheet may hold, and what they say. Common practice,
// no source.
func TestWords(t *testing.T) {
	for word, want := range map[string]Meaning{
		"ND": NotDetected, "n.d.": NotDetected, "Non-Detect": NotDetected, "U": NotDetected, "BDL": BelowDetection, "<MDL": BelowDetection, "< RL": BelowReporting,
		"TNTC": TooMany, "CG": TooMany, "Confluent growth": TooMany, "Absent": Absent, "P": Present, "J": Estimated, "(est.)": Estimated,
		"NS": NotSampled, "no sample": NotSampled, "broken": Lost, "QC fail": Rejected, "Lab Error": LabError, "No Discharge": NoDischarge, "NODI 9": NoResult, "NODI: C": NoResult,
		"Off-season": OffSeason, "--": NoResult, "-": NoResult,
	} {
		m, ok := Of(word)
		require.True(t, ok, word)
		require.Equal(t, want, m, word)
	}
	for _, word := range []string{"12 mg/L", "green", "see Ana"} {
		_, ok := Of(word)
		require.False(t, ok, word)
	}
}

func TestWordBesideANumber(t *testing.T) {
	for _, c := range []struct {
		text string
		m    Meaning
		rest string
	}{
		{"TNTC (>200)", TooMany, ">200"}, {"TNTC > 200", TooMany, "> 200"}, {"4 E", Estimated, "4"}, {"3J", Estimated, "3"}, {"est. 7", Estimated, "7"}, {"~8", Estimated, "8"},
		{"<5 U", NotDetected, "<5"}, {"12 (est)", Estimated, "12"}, {"J 3.1", Estimated, "3.1"},
	} {
		m, rest, ok := Split(c.text)
		require.True(t, ok, c.text)
		require.Equal(t, c.m, m, c.text)
		require.Equal(t, c.rest, rest, c.text)
	}
	for _, text := range []string{"12", "1.0", "<5", "ND", "5 mg/L", "7/8"} {
		_, _, ok := Split(text)
		require.False(t, ok, text)
	}
}
