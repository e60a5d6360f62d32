package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"weirbook/analysis/export"
	"weirbook/analysis/plant"
)

// Names of the files in a plant folder.
const (
	plantFile = "plant.toml"
	tagsFile  = "tags.csv"
)

// openPlant loads the plant description in a folder.
func openPlant(dir string) (*plant.Plant, error) {
	if dir == "" {
		return nil, usageError{errors.New("name the plant's folder with -p; \"weirbook draft\" makes one from exports")}
	}
	if base := filepath.Base(dir); strings.EqualFold(base, plantFile) || strings.EqualFold(base, tagsFile) {
		dir = filepath.Dir(dir) // the file was named instead of its folder
	}
	pt, tg := filepath.Join(dir, plantFile), filepath.Join(dir, tagsFile)
	tf, err := os.Open(pt)
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be opened: %w; a plant's folder holds %s and %s", filepath.ToSlash(pt), reason(err), plantFile, tagsFile)
	}
	defer tf.Close()
	gf, err := os.Open(tg)
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be opened: %w; a plant's folder holds %s and %s", filepath.ToSlash(tg), reason(err), plantFile, tagsFile)
	}
	defer gf.Close()
	return plant.Load(filepath.ToSlash(pt), tf, filepath.ToSlash(tg), gf)
}

// reason strips the path that the message names already.
func reason(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}

// exportEndings are the files taken from a folder; a file named outright is
// taken whatever its ending.
var exportEndings = []string{".csv", ".txt", ".tsv", ".asc", ".gz", ".zip"}

// findExports turns arguments (files, folders, patterns) into files, sorted by
// name and each once. The shell of a Windows laptop expands no patterns.
func findExports(args []string) ([]export.File, error) {
	var paths []string
	for _, a := range args {
		st, err := os.Stat(a)
		switch {
		case err == nil && st.IsDir():
			got, err := exportsIn(a)
			if err != nil {
				return nil, err
			}
			if len(got) == 0 {
				return nil, fmt.Errorf("%s: no exports in this folder; looked for %s", filepath.ToSlash(a), strings.Join(exportEndings, " "))
			}
			paths = append(paths, got...)
		case err == nil:
			paths = append(paths, a)
		case strings.ContainsAny(a, "*?["):
			got, err := filepath.Glob(a)
			if err != nil {
				return nil, usageError{fmt.Errorf("%s: %w", a, err)}
			}
			if len(got) == 0 {
				return nil, fmt.Errorf("%s: no file fits this pattern", filepath.ToSlash(a))
			}
			paths = append(paths, got...)
		default:
			return nil, fmt.Errorf("%s: cannot be opened: %w", filepath.ToSlash(a), reason(err))
		}
	}
	sort.Strings(paths)
	var out []export.File
	for i, p := range paths {
		if i > 0 && p == paths[i-1] {
			continue
		}
		st, err := os.Stat(p)
		if err != nil {
			return nil, fmt.Errorf("%s: cannot be opened: %w", filepath.ToSlash(p), reason(err))
		}
		if st.Size() == 0 {
			return nil, fmt.Errorf("%s: the file is empty; export it again", filepath.ToSlash(p))
		}
		out = append(out, export.File{
			Name: filepath.ToSlash(p), Size: st.Size(),
			Open: func() (io.ReadCloser, error) { return os.Open(p) },
		})
	}
	return out, nil
}

// exportsIn lists the exports of a folder, without its sub-folders and without
// the plant's own files.
func exportsIn(dir string) ([]string, error) {
	es, err := os.ReadDir(dir)
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be read: %w", filepath.ToSlash(dir), reason(err))
	}
	var out []string
	for _, e := range es {
		if e.IsDir() || strings.EqualFold(e.Name(), tagsFile) || strings.HasPrefix(e.Name(), "truth_") {
			continue
		}
		for _, end := range exportEndings {
			if strings.EqualFold(filepath.Ext(e.Name()), end) {
				out = append(out, filepath.Join(dir, e.Name()))
			}
		}
	}
	return out, nil
}

// period is the --from and --to of a command, on the plant's own clock.
type period struct{ from, to string }

func (d *period) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&d.from, "from", "", "first moment, as 2026-03-14 or \"2026-03-14 06:30\" on the plant's clock")
	cmd.Flags().StringVar(&d.to, "to", "", "end (not included); a date means its first moment")
}

// bounds gives Unix milliseconds; 0 for an end that is open.
func (d period) bounds(loc *time.Location) (from, to int64, err error) {
	if d.from != "" {
		t, err := plant.ParseTime(d.from, loc)
		if err != nil {
			return 0, 0, usageError{fmt.Errorf("--from: %w", err)}
		}
		from = t.UnixMilli()
	}
	if d.to != "" {
		t, err := plant.ParseTime(d.to, loc)
		if err != nil {
			return 0, 0, usageError{fmt.Errorf("--to: %w", err)}
		}
		to = t.UnixMilli()
	}
	if from != 0 && to != 0 && from >= to {
		return 0, 0, usageError{fmt.Errorf("--from %s is not before --to %s", d.from, d.to)}
	}
	return from, to, nil
}
