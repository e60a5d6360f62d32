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

// Worked by hand. 10 gal/h are 240 gal/d: 240 × 8.34 × 1.2 = 2401.9 lb/d. 500 gal of
// 10 g/L take 500 × 10 ÷ 125 = 40 gal of 125 g/L. At 10 °C, pH 7 and 1.0 mg/L 3 log of
// Giardia ask for 112 mg·min/L (40 CFR 141.74(b)(3)(v), table 1.3, from memory), so that
// 56 are 1.5 log. HOCl: pKa 7.54 at 25 °C (Morris 1966, from memory), 1 ÷ (1 + 10^-0.04)
// = 0.52. √(10 × 1000) = 100.
func TestMoreSums(t *testing.T) {
	for want, args := range map[string][]string{
		"weight  2,402 lb/d":       {"solution", "--feed", "10gal/h", "--gravity", "1.2"},
		"feed = 240 gpd":           {"solution", "--weight", "2401.92lb/d", "--gravity", "1.2"},
		"use  40 gal":              {"batch", "--strong", "125g/L", "--weak", "10g/L", "--make", "500gal"},
		"make  500 gal":            {"batch", "--strong", "125g/L", "--weak", "10g/L", "--use", "40gal"},
		"log inactivation  1.5":    {"log", "--ct", "56mg-min/L", "--residual", "1mg/L", "--ph", "7", "--temp", "10degC"},
		"more than  4":             {"log", "--ct", "60mg-min/L", "--pathogen", "virus", "--ph", "7", "--temp", "10degC"},
		"HOCl  52":                 {"hocl", "--ph", "7.5", "--temp", "25degC"},
		"geometric mean  100":      {"geomean", "10", "1000"},
		"whole solution":           {"solution", "--feed", "10gal/h", "--gravity", "1.2"},
		"wastewater permit may or": {"log", "--ct", "6mg-min/L", "--pathogen", "virus", "--ph", "7", "--temp", "5degC"},
	} {
		out, err := calc(t, args...)
		require.NoError(t, err, args)
		require.Contains(t, out, want)
	}
	for want, args := range map[string][]string{
		"has no logarithm":     {"geomean", "10", "0"},
		"is no number":         {"geomean", "<10"},
		"give all but one":     {"batch", "--strong", "125g/L"},
		"goes by the residual": {"log", "--ct", "6mg-min/L", "--ph", "7", "--temp", "5degC"},
	} {
		_, err := calc(t, args...)
		require.ErrorContains(t, err, want)
	}
}
