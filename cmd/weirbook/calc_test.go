package main

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// calc runs one calc command line and gives what it printed.
func calc(t *testing.T, args ...string) (string, error) {
	t.Helper()
	cmd := newCalcCmd()
	var out bytes.Buffer
	cmd.SetOut(&out)
	cmd.SetErr(&out)
	cmd.SilenceErrors, cmd.SilenceUsage = true, true
	cmd.SetArgs(args)
	err := cmd.Execute()
	return out.String(), err
}

func TestCalcPoundsShowsTheWorking(t *testing.T) {
	out, err := calc(t, "pounds", "--flow", "5MGD", "--conc", "2mg/L")
	require.NoError(t, err)
	require.Contains(t, out, "  lb/d = 5 × 2 × 8.34\n  lb/d = 83.4\n")
	require.Contains(t, out, "load  83.4 lb/d\n") // common practice, no source
	out, err = calc(t, "pounds", "--flow", "5MGD", "--conc", "2mg/L", "--json")
	require.NoError(t, err)
	var w struct {
		Results []struct {
			Name, Unit string
			Value      float64
		}
	}
	require.NoError(t, json.Unmarshal([]byte(out), &w))
	require.Equal(t, "lb/d", w.Results[0].Unit)
	require.InDelta(t, 83.4, w.Results[0].Value, 1e-9)
}

func TestEveryCalcExampleRuns(t *testing.T) {
	for _, c := range newCalcCmd().Commands() {
		require.NotEmpty(t, c.Example, c.Name())
		for _, line := range strings.Split(c.Example, "\n") {
			args := strings.Fields(line)
			require.Equal(t, []string{"weirbook", "calc", c.Name()}, args[:3])
			out, err := calc(t, args[2:]...)
			require.NoError(t, err, line)
			require.Contains(t, out, "=", line)
			require.NotContains(t, out, "not determined", line)
		}
	}
}

func TestCalcMistakesAreWrongUsage(t *testing.T) {
	for want, args := range map[string][]string{
		"it does pounds, dose": {"wine"},
		"give all but one":     {"pounds"},
		"no unit given":        {"pounds", "--flow", "5"},
		"unknown unit":         {"pounds", "--flow", "5 furlongs"},
		"write trade":          {"dose", "--strength", "12%", "--as", "proof", "--flow", "1MGD", "--dose", "2mg/L"},
		"name what \"5\" is":   {"detention", "5"},
		"is no number":         {"ct", "--baffling", "half"},
	} {
		_, err := calc(t, args...)
		require.ErrorContains(t, err, want)
	}
}

func TestExplain(t *testing.T) {
	run := func(args ...string) (string, error) {
		cmd := newExplainCmd()
		var out bytes.Buffer
		cmd.SetOut(&out)
		cmd.SetErr(&out)
		cmd.SilenceErrors, cmd.SilenceUsage = true, true
		cmd.SetArgs(args)
		err := cmd.Execute()
		return out.String(), err
	}
	all, err := run()
	require.NoError(t, err)
	for _, e := range formulas() {
		require.Contains(t, all, e.Title)
		one, err := run(e.Quantity)
		require.NoError(t, err)
		require.Contains(t, one, e.Source)
		require.Contains(t, one, string(e.Mark))
	}
	_, err = run("phosphorus")
	require.ErrorContains(t, err, "it explains")
	two, err := run("contact", "time")
	require.NoError(t, err)
	require.Contains(t, two, "contact time")
}
