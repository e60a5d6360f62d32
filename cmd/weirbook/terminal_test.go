package main

import (
	"bytes"
	"io"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

func TestWrapWords(t *testing.T) {
	line := "The chlorine contact basin was short in 8 of the 784 hours that could be determined, worst Tue 17 Mar 08:00."
	got := wrapWords(line, 40)
	for _, l := range strings.Split(got, "\n") {
		require.LessOrEqual(t, utf8.RuneCountInString(l), 40)
	}
	require.Equal(t, strings.Fields(line), strings.Fields(got), "not a word is lost or cut")
	require.Equal(t, "  aa bb\n    cc dd", wrapWords("  aa bb cc dd", 9), "further lines hang")
	table := "AIT-301      ammonia_n at secondary      47,413  47,413"
	require.Equal(t, table, wrapWords(table, 30), "columns stay")
	long := strings.Repeat("x", 60)
	require.Equal(t, long, wrapWords(long, 30), "a path stays whole, to be copied")
}

// TestPipesGetTheBytes: what is no terminal gets the program's own words, and no
// progress.
func TestPipesGetTheBytes(t *testing.T) {
	var b bytes.Buffer
	require.Equal(t, io.Writer(&b), onTerminal(&b))
	require.Nil(t, newProgress(&b, false).reading())
	p := newProgress(&b, false)
	p.drawing(1, 2)
	p.finish()
	require.Zero(t, b.Len())
}

func TestColourOfALine(t *testing.T) {
	with, without := &terminal{colour: true}, &terminal{}
	require.Equal(t, "\x1b[1mReport:\x1b[0m out/report.html", with.shown("Report: out/report.html", 80))
	require.Equal(t, "Report: out/report.html", without.shown("Report: out/report.html", 80))
}
