package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/charmap"
)

var (
	fences = regexp.MustCompile("(?s)```(sh|text)\n(.*?)```")
	argsIn = regexp.MustCompile(`"([^"]*)"|(\S+)`)
)

// crlf gives a text the line ends of Windows.
func crlf(b []byte) []byte { return bytes.ReplaceAll(b, []byte("\n"), []byte("\r\n")) }

// TestFirstHour follows the guide in a fresh folder: every command works, and every
// line that it shows is printed. Once more as a Windows laptop has it: exports and
// answers with its line ends, and the sheet saved by its spreadsheet in its code page.
func TestFirstHour(t *testing.T) {
	if testing.Short() {
		t.Skip("a whole report twice; the tests without -short have it")
	}
	const guide = "../../examples/first-hour"
	text, err := os.ReadFile(filepath.Join(guide, "README.md"))
	require.NoError(t, err)
	blocks := fences.FindAllStringSubmatch(string(text), -1)
	require.NotEmpty(t, blocks)
	files, err := filepath.Glob(guide + "/exports/*.csv")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	files = append(files, guide+"/answers.txt")
	bodies := map[string][]byte{}
	for _, f := range files {
		body, err := os.ReadFile(f)
		require.NoError(t, err)
		rel, err := filepath.Rel(guide, f)
		require.NoError(t, err)
		bodies[rel] = body
	}
	for _, windows := range []bool{false, true} {
		dir := t.TempDir()
		require.NoError(t, os.Mkdir(filepath.Join(dir, "exports"), 0o777))
		for name, body := range bodies {
			if windows {
				body = crlf(body)
			}
			require.NoError(t, os.WriteFile(filepath.Join(dir, name), body, 0o666))
		}
		t.Chdir(dir)
		said := ""
		for _, b := range blocks {
			for _, line := range strings.Split(strings.TrimSpace(b[2]), "\n") {
				if b[1] == "text" {
					require.Contains(t, said, strings.TrimSpace(line))
					continue
				}
				var args []string
				for _, m := range argsIn.FindAllStringSubmatch(line, -1) {
					args = append(args, m[1]+m[2])
				}
				require.Equal(t, "weirbook", args[0])
				var out, errs bytes.Buffer
				require.Equal(t, exitDone, run(context.Background(), args[1:], &out, &errs), "%s: %s", line, errs.String())
				said = out.String()
				if windows && args[1] == "draft" {
					resave(t)
				}
			}
		}
	}
}

// resave writes the draft as a spreadsheet and an editor of Windows would.
func resave(t *testing.T) {
	tags, err := os.ReadFile("heron/tags.csv")
	require.NoError(t, err)
	tags = bytes.ReplaceAll(bytes.TrimPrefix(tags, []byte("\ufeff")), []byte("\r\n"), []byte("\n"))
	tags, err = charmap.Windows1252.NewEncoder().Bytes(tags)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile("heron/tags.csv", crlf(tags), 0o666))
	plant, err := os.ReadFile("heron/plant.toml")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile("heron/plant.toml", crlf(plant), 0o666))
}
