package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"github.com/BurntSushi/toml"
	"github.com/spf13/cobra"

	"weirbook/analysis/export/draft"
	"weirbook/analysis/plant"
)

// defaultsFile in a plant's folder says what is taken where the command line does
// not: draft writes it, and people edit it.
const defaultsFile = "defaults.toml"

// defaults of a plant; paths are seen from the plant's folder.
type defaults struct {
	Exports []string `toml:"exports"`
	Out     string   `toml:"out"`
	FailOn  string   `toml:"fail_on"`
}

// readDefaults gives those of a plant's folder; none where it has none.
func readDefaults(dir string) (defaults, error) {
	var d defaults
	path := filepath.Join(dir, defaultsFile)
	if !exists(path) {
		return d, nil
	}
	meta, err := toml.DecodeFile(path, &d)
	if err != nil {
		return d, fmt.Errorf("%s: %w", filepath.ToSlash(path), err)
	}
	var unknown []string
	for _, k := range meta.Undecoded() {
		unknown = append(unknown, k.String()+nearestWord(k.String(), []string{"exports", "out", "fail_on"}))
	}
	if len(unknown) > 0 {
		return d, fmt.Errorf("%s: unknown key %s; the keys are exports, out and fail_on", filepath.ToSlash(path), strings.Join(unknown, ", "))
	}
	return d, nil
}

// nearestWord suggests a known word for one that is not.
func nearestWord(word string, known []string) string {
	if w := draft.Nearest(word, known); w != "" {
		return fmt.Sprintf(" (did you mean %s?)", w)
	}
	return ""
}

// dir is the plant's folder: the one named, or the one we stand in.
func (j *job) dir() string {
	dir := j.plantDir
	if dir == "" && exists(plantFile) {
		return "."
	}
	if base := filepath.Base(dir); strings.EqualFold(base, plantFile) || strings.EqualFold(base, tagsFile) {
		return filepath.Dir(dir) // the file was named instead of its folder
	}
	return dir
}

// open loads the plant.
func (j *job) open() (*plant.Plant, error) { return openPlant(j.dir()) }

// exports finds the exports named, or those of the plant's defaults.
func (j *job) exports(cmd *cobra.Command, args []string) (exports, error) {
	if len(args) == 0 {
		dir := j.dir()
		d, err := readDefaults(dir)
		if err != nil {
			return exports{}, err
		}
		if len(d.Exports) == 0 {
			return exports{}, usageError{fmt.Errorf("%s: name at least one export (a file, a folder or a pattern), or write exports = [...] into %s in the plant's folder; %s", cmd.Name(), defaultsFile, cmd.UseLine())}
		}
		for _, e := range d.Exports {
			if !filepath.IsAbs(e) {
				e = filepath.Join(dir, filepath.FromSlash(e))
			}
			args = append(args, e)
		}
	}
	return findExports(args)
}

// fill takes from the plant's defaults what the command line leaves out.
func (j *job) fill(cmd *cobra.Command, out, failOn *string) error {
	d, err := readDefaults(j.dir())
	if err != nil {
		return err
	}
	if d.Out != "" && !cmd.Flags().Changed("out") {
		*out = d.Out
		if !filepath.IsAbs(d.Out) {
			*out = filepath.Join(j.dir(), filepath.FromSlash(d.Out))
		}
	}
	if d.FailOn != "" && !cmd.Flags().Changed("fail-on") {
		*failOn = d.FailOn
	}
	return nil
}

// defaultsTOML is the defaults.toml that a draft leaves: the exports it was made from.
func defaultsTOML(dir string, exports []string) []byte {
	var list []string
	for _, e := range exports {
		if rel, err := relative(dir, e); err == nil {
			e = rel
		}
		list = append(list, fmt.Sprintf("%q", filepath.ToSlash(e)))
	}
	sort.Strings(list)
	return []byte("# What weirbook takes where the command line does not say. Paths are seen from this folder.\n" +
		"exports = [" + strings.Join(list, ", ") + "]\n" +
		"#out = \"../report\"        # where run leaves its report\n" +
		"#fail_on = \"warning\"      # exit with 3 when a finding is at or above: notice, warning or critical\n")
}

func relative(dir, path string) (string, error) {
	from, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	to, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	return filepath.Rel(from, to)
}

// replaceFile puts a file in the place of another, whole or not at all.
func replaceFile(path string, body []byte) error {
	tmp, err := os.CreateTemp(filepath.Dir(path), ".weirbook-*")
	if err != nil {
		return reason(err)
	}
	_, err = tmp.Write(body)
	err = errors.Join(err, tmp.Close())
	if err == nil {
		mode := os.FileMode(0o644) // CreateTemp's own is for its owner alone
		if st, serr := os.Stat(path); serr == nil {
			mode = st.Mode().Perm()
		}
		err = os.Chmod(tmp.Name(), mode)
	}
	if err == nil {
		err = os.Rename(tmp.Name(), path)
	}
	if err != nil {
		os.Remove(tmp.Name())
		return reason(err)
	}
	return nil
}
