// Package ready holds an example's files in memory, ready to be analysed: for
// the demo command, tests and benchmarks.
package ready

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/plant"
	"weirbook/examples"
)

// Text is one file of an example with its contents.
type Text struct {
	Name string
	Data []byte
}

// Write makes every file of an example.
func Write(files []examples.File) ([]Text, error) {
	out := make([]Text, 0, len(files))
	for _, f := range files {
		var b bytes.Buffer
		if err := f.Write(&b); err != nil {
			return nil, fmt.Errorf("%s: %w", f.Name, err)
		}
		out = append(out, Text{f.Name, b.Bytes()})
	}
	return out, nil
}

// Input gives what analysis.Run needs of an example: its plant, after edit has
// had a look at plant.toml (nil: as it is), and its exports.
func Input(texts []Text, edit func(plantTOML string) string) (analysis.Input, error) {
	var in analysis.Input
	var toml, tags []byte
	for _, t := range texts {
		switch {
		case t.Name == "plant/plant.toml":
			toml = t.Data
		case t.Name == "plant/tags.csv":
			tags = t.Data
		case strings.HasPrefix(t.Name, "exports/"):
			data := t.Data
			in.Files = append(in.Files, export.File{Name: t.Name, Size: int64(len(data)),
				Open: func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(data)), nil }})
		}
	}
	text := string(toml)
	if edit != nil {
		text = edit(text)
	}
	var err error
	in.Plant, err = plant.Load("plant/plant.toml", strings.NewReader(text), "plant/tags.csv", bytes.NewReader(tags))
	return in, err
}
