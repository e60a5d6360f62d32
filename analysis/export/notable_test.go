package export

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/ledger"
)

// A file without a table says what it is instead. Expected words by hand.
func TestNoTableSaysWhatItIs(t *testing.T) {
	tar := "a.csv" + strings.Repeat("\x00", 252) + "ustar\x0000" + strings.Repeat("\x00", 248) + "time,A\n2026-03-25 06:00,1\n"
	for text, want := range map[string]string{
		"<!DOCTYPE html>\n<HTML><body><table><tr><td>2026-03-25 06:00</td><td>1</td></tr></table></body></HTML>": "an HTML page",
		"\ufeff<html><table>\n<tr><th>time</th><th>A</th></tr>\n</table></html>":                                 "an HTML page",
		"<?xml version=\"1.0\"?>\n<rows><row t=\"2026-03-25 06:00\" v=\"1\"/></rows>":                            "this is XML",
		"[{\"time\":\"2026-03-25 06:00\",\"A\":1},\n{\"time\":\"2026-03-25 06:01\",\"A\":2}]":                    "this is JSON",
		"{\n \"time\": \"2026-03-25 06:00\"\n}":                                                                  "this is JSON",
		"Report of the night shift\ntime;A;B\n":                                                                  "a heading and no rows (\"time;A;B\")",
		"time,tag,value":                                                                                         "a heading and no rows (\"time,tag,value\")",
		"\n\nDear all,\nthe export failed\n":                                                                     "The first line is \"Dear all,\"",
		tar:                                                                                                      "a tar archive",
	} {
		r := readAll(t, Options{}, memFile("a.csv", []byte(text)))
		require.Len(t, r.Messages, 1, text)
		require.Contains(t, r.Messages[0].Text, want)
		require.Equal(t, ledger.Error, r.Messages[0].Severity)
	}
}
