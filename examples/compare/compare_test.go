package main

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func table(t *testing.T, s string) map[key]row {
	t.Helper()
	m, err := read(strings.NewReader(s))
	require.NoError(t, err)
	return m
}

// TestDiffer changes the table that was worked by hand in one place at a time.
func TestDiffer(t *testing.T) {
	b, err := os.ReadFile("sample-hourly.csv")
	require.NoError(t, err)
	hand := string(b)
	lines := strings.SplitAfter(strings.TrimSuffix(hand, "\n"), "\n")
	turned := lines[0] + lines[2] + lines[1] + strings.Join(lines[3:], "")
	_, err = differ(table(t, hand), table(t, turned))
	require.NoError(t, err, "the order of rows does not count")

	for name, c := range map[string]struct{ old, new, says string }{
		"within 1e-9":     {",3.75\n", ",3.750000003\n", ""},
		"beyond 1e-9":     {",3.75\n", ",3.750000004\n", "mean"},
		"count":           {"00,3,", "00,4,", "count"},
		"lowest":          {",1.0,", ",1.1,", "lowest"},
		"highest":         {",6.0,", ",6.1,", "highest"},
		"no number":       {",3.75\n", ",NaN\n", "mean"},
		"another hour":    {"A,2026-03-02 11", "A,2026-03-02 12", "missing"},
		"another tag":     {"A,2026-03-02 10", "C,2026-03-02 10", "missing"},
		"one row less":    {lines[2], "", "rows"},
		"other way round": {"3,2.0,6.0", "3,6.0,2.0", "lowest"},
	} {
		require.Contains(t, hand, c.old, name)
		_, err := differ(table(t, hand), table(t, strings.Replace(hand, c.old, c.new, 1)))
		if c.says == "" {
			require.NoError(t, err, name)
		} else {
			require.ErrorContains(t, err, c.says, name)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	for _, s := range []string{
		"",
		"hour,tag,count,lowest,highest,mean\n",
		"tag,hour,count,lowest,highest,mean\nA,2026-03-02 10:00:00,3,2,6,\n",
		"tag,hour,count,lowest,highest,mean\nA,2026-03-02 10:00:00,3,2,6,4\nA,2026-03-02 10:00:00,3,2,6,4\n",
	} {
		_, err := read(strings.NewReader(s))
		require.Error(t, err, s)
	}
}
