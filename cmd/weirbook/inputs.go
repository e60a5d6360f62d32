package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"sort"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"weirbook/analysis/export"
	"weirbook/analysis/plant"
	"weirbook/reports"
)

// Names of the files in a plant folder.
const (
	plantFile = "plant.toml"
	tagsFile  = "tags.csv"
	logFile   = "log.csv"
)

// openPlant loads the plant description in a folder.
func openPlant(dir string) (*plant.Plant, error) {
	if dir == "" {
		return nil, usageError{errors.New("name the plant's folder with -p; \"weirbook draft\" makes one from exports")}
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
	p, err := plant.Load(filepath.ToSlash(pt), tf, filepath.ToSlash(tg), gf)
	if err != nil {
		return nil, err
	}
	return p, addLog(p, filepath.Join(dir, logFile))
}

// addLog reads a plant's log where there is one.
func addLog(p *plant.Plant, path string) error {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("%s: cannot be opened: %w", filepath.ToSlash(path), reason(err))
	}
	defer f.Close()
	return p.ReadLog(filepath.ToSlash(path), f)
}

// logHeading is how a plant's log begins; an export may have its name, too.
var logHeading = regexp.MustCompile(`(?i)^(\x{FEFF})?"?from"?[,;\t]"?to"?[,;\t]"?what"?`)

// takeLogs enters the logs that stand among the exports, and leaves the others.
func (e *exports) takeLogs(p *plant.Plant) error {
	var rest []export.File
	for _, f := range e.files {
		if !strings.EqualFold(path.Base(f.Name), logFile) {
			rest = append(rest, f)
			continue
		}
		isLog, err := readIfLog(p, f)
		if err != nil {
			return err
		}
		if !isLog {
			rest = append(rest, f)
		}
	}
	e.files = rest
	return nil
}

func readIfLog(p *plant.Plant, f export.File) (bool, error) {
	r, err := f.Open()
	if err != nil {
		return false, fmt.Errorf("%s: cannot be opened: %w", f.Name, err)
	}
	defer r.Close()
	text, err := io.ReadAll(r)
	if err != nil {
		return false, fmt.Errorf("%s: cannot be read: %w", f.Name, reason(err))
	}
	if !logHeading.Match(text) {
		return false, nil
	}
	for _, have := range p.Files {
		if sum := sha256.Sum256(text); have.Name == path.Base(f.Name) && have.SHA256 == hex.EncodeToString(sum[:]) {
			return true, nil // the plant's own, named once more
		}
	}
	return true, p.ReadLog(f.Name, bytes.NewReader(text))
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

// exports are the files that a command reads, and what was named and is not read.
type exports struct {
	files   []export.File
	notRead []export.Message
}

func (e *exports) skip(severity export.Severity, path, why string) {
	e.notRead = append(e.notRead, export.Message{Severity: severity, File: filepath.ToSlash(path), Text: why})
}

// What stands among exports and is none.
const (
	ownFolder = "this folder is a report that weirbook wrote: its sheets are results and no exports, and none of them is read"
	ownFile   = "weirbook wrote this file: it holds results and no export, and is not read"
)

// findExports turns arguments (files, folders, patterns) into files, sorted by
// name and each once. The shell of a Windows laptop expands no patterns. What
// weirbook wrote itself is left out and named.
func findExports(args []string) (exports, error) {
	var out exports
	var paths []string
	for _, a := range args {
		named := []string{a}
		if _, err := os.Stat(a); err != nil {
			if !strings.ContainsAny(a, "*?[") {
				return out, fmt.Errorf("%s: cannot be opened: %w", filepath.ToSlash(a), reason(err))
			}
			if named, err = filepath.Glob(a); err != nil {
				return out, usageError{fmt.Errorf("%s: %w", a, err)}
			}
			if len(named) == 0 {
				return out, fmt.Errorf("%s: no file fits this pattern", filepath.ToSlash(a))
			}
		}
		for _, n := range named {
			st, err := os.Stat(n)
			switch {
			case err != nil || !st.IsDir():
				paths = append(paths, n)
			case reports.OwnFolder(n):
				out.skip(export.Warning, n, ownFolder)
			default:
				got, err := exportsIn(n)
				if err != nil {
					return out, err
				}
				if len(got) == 0 && !isPlantFolder(n) {
					return out, fmt.Errorf("%s: no exports in this folder; looked for %s", filepath.ToSlash(n), strings.Join(exportEndings, " "))
				}
				paths = append(paths, got...)
			}
		}
	}
	sort.Strings(paths)
	for _, p := range slices.Compact(paths) {
		out.add(p)
	}
	if len(out.files) == 0 {
		var why []string
		for _, m := range out.notRead {
			why = append(why, m.File+": "+m.Text)
		}
		return out, errors.New(strings.Join(append(why, "no export is left to read; name the files that the control system wrote"), "\n"))
	}
	return out, nil
}

// add takes a file as an export, unless it is none.
func (e *exports) add(p string) {
	st, err := os.Stat(p)
	switch {
	case err != nil:
		e.skip(export.Error, p, "cannot be opened: "+reason(err).Error())
	case !st.Mode().IsRegular():
		e.skip(export.Error, p, "is not a file that can be read more than once; save it as a file and name that")
	case st.Size() == 0:
		e.skip(export.Error, p, "the file is empty; export it again")
	case reports.OwnFile(p):
		e.skip(export.Warning, p, ownFile)
	default:
		e.files = append(e.files, export.File{Name: filepath.ToSlash(p), Size: st.Size(),
			Open: func() (io.ReadCloser, error) { return openSized(p, st.Size()) }})
	}
}

// sized is a file as long as it was when it was found: one that a logger still
// writes to has the same bytes each time it is read.
type sized struct {
	*io.SectionReader
	io.Closer
}

func openSized(path string, size int64) (io.ReadCloser, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, reason(err)
	}
	if st, err := f.Stat(); err != nil || st.Size() < size {
		f.Close()
		return nil, errors.New("the file became shorter while it was read; wait until it is written and run again")
	}
	return sized{io.NewSectionReader(f, 0, size), f}, nil
}

func isPlantFolder(dir string) bool {
	_, err := os.Stat(filepath.Join(dir, plantFile))
	return err == nil
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
		if e.IsDir() || strings.EqualFold(e.Name(), tagsFile) || strings.EqualFold(e.Name(), logFile) && isPlantFolder(dir) || strings.HasPrefix(e.Name(), "~$") || strings.HasPrefix(e.Name(), "._") {
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
