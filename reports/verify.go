package reports

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
)

// Record is what a run's folder says of itself.
type Record struct {
	runJSON
	Dir string
}

// ReadRecord reads the Marker of a folder that a run made.
func ReadRecord(dir string) (*Record, error) {
	data, err := os.ReadFile(filepath.Join(dir, Marker))
	if err != nil {
		return nil, fmt.Errorf("%s: no report of weirbook: its %s cannot be read: %w", dir, Marker, reasonOf(err))
	}
	r := &Record{Dir: dir}
	if err := json.Unmarshal(data, &r.runJSON); err != nil {
		return nil, fmt.Errorf("%s: not one that weirbook wrote: %w", filepath.Join(dir, Marker), err)
	}
	if r.Program != programName || len(r.Files) == 0 {
		return nil, fmt.Errorf("%s: does not list what weirbook wrote into the folder", filepath.Join(dir, Marker))
	}
	return r, nil
}

// Changed says, a line each, how the folder's files differ from what the record
// lists.
func (r *Record) Changed() ([]string, error) {
	sys := realSystem()
	sys.open = os.Open // to be read only
	known := map[string]bool{Marker: true}
	var out []string
	for _, f := range r.Files {
		known[f.Name] = true
		sum, err := hashFile(filepath.Join(r.Dir, filepath.FromSlash(f.Name)), sys)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			out = append(out, f.Name+": is gone")
		case err != nil:
			out = append(out, fmt.Sprintf("%s: cannot be read: %v", f.Name, reasonOf(err)))
		case sum != f.SHA256:
			out = append(out, f.Name+": is not as it was written")
		}
	}
	err := filepath.WalkDir(r.Dir, func(at string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || litter(d.Name()) {
			return err
		}
		rel, err := filepath.Rel(r.Dir, at)
		if err == nil && !known[filepath.ToSlash(rel)] {
			out = append(out, filepath.ToSlash(rel)+": was not written with the report")
		}
		return err
	})
	sort.Strings(out)
	return out, err
}

// Differs says, a line each, how a report made again differs from this one.
func (r *Record) Differs(again *Record) []string {
	was, is := map[string]File{}, map[string]File{}
	names := map[string]bool{}
	for _, f := range r.Files {
		was[f.Name], names[f.Name] = f, true
	}
	for _, f := range again.Files {
		is[f.Name], names[f.Name] = f, true
	}
	var out []string
	for n := range names {
		a, before := was[n]
		b, now := is[n]
		switch {
		case !before:
			out = append(out, n+": is new")
		case !now:
			out = append(out, n+": is not made any more")
		case a.SHA256 != b.SHA256:
			out = append(out, n+": other bytes")
		}
	}
	sort.Strings(out)
	return out
}

// Setting is the value of a setting of the record; empty where it has none.
func (r *Record) Setting(name string) string {
	for _, s := range r.Settings {
		if s.Name == name {
			return s.Value
		}
	}
	return ""
}
