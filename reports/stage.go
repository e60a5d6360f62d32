// Package reports turns an analysis into a run's folder. Stage is how the
// folder comes to be: whole or not at all.
package reports

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"time"
)

// Marker is the file by which a run's folder is known for one: it is written
// last, and a folder that holds other things and no Marker is never replaced.
const Marker = "run.json"

// File is one file of a run's folder.
type File struct {
	Name   string `json:"name"` // from the folder on, with slashes
	SHA256 string `json:"sha256"`
	Bytes  int64  `json:"bytes"`
}

// Stage collects a run's files in a folder beside the one they are meant for.
// Commit renames that folder into place; Abort takes it away. Until Commit the
// old folder is untouched, and if Commit fails it is back where it was.
//
//	st, err := reports.NewStage("out")
//	…
//	defer st.Abort() // does nothing after Commit
//	err = st.WriteFile("hourly.csv", data)
//	…
//	err = st.WriteFile(reports.Marker, runJSON) // holds "files": st.Files()
//	err = st.Commit()
//
// If the Marker holds a list "files" as Files gives it, a later run refuses to
// replace the folder when a file in it was added or changed since: somebody's
// notes are not the tool's to delete.
type Stage struct {
	final, temp string
	files       map[string]File
	open        map[*stagedFile]bool
	done        bool
	sys         system
}

// system is what the staging asks of the file system; tests make it fail.
type system struct {
	rename    func(from, to string) error
	removeAll func(path string) error
	pause     func()
}

func realSystem() system {
	return system{rename: os.Rename, removeAll: os.RemoveAll, pause: func() { time.Sleep(150 * time.Millisecond) }}
}

// NewStage begins a folder meant for dir. It refuses at once if dir is
// something that the tool did not make.
func NewStage(dir string) (*Stage, error) {
	return newStage(dir, realSystem())
}

func newStage(dir string, sys system) (*Stage, error) {
	final, err := filepath.Abs(dir)
	if err != nil {
		return nil, fmt.Errorf("output folder %s: %w", dir, err)
	}
	if filepath.Dir(final) == final {
		return nil, fmt.Errorf("output folder %s is the root of a drive: choose a folder in it", dir)
	}
	if wd, err := os.Getwd(); err == nil && wd == final {
		return nil, fmt.Errorf("output folder %s is the folder you are in: choose one in it, such as -o out", dir)
	}
	s := &Stage{final: final, files: map[string]File{}, open: map[*stagedFile]bool{}, sys: sys}
	if err := s.recover(); err != nil {
		return nil, err
	}
	if err := replaceable(final); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(filepath.Dir(final), 0o777); err != nil {
		return nil, fmt.Errorf("output folder %s: %w", dir, err)
	}
	s.temp, err = os.MkdirTemp(filepath.Dir(final), s.prefix("new"))
	if err != nil {
		return nil, fmt.Errorf("cannot make a folder beside %s: %w", dir, err)
	}
	// MkdirTemp keeps others out; a report is as open as any file of its owner.
	if err := os.Chmod(s.temp, 0o755); err != nil {
		return nil, errors.Join(err, s.Abort())
	}
	return s, nil
}

// prefix names the folders that stand beside the final one for a while.
func (s *Stage) prefix(what string) string {
	return "." + filepath.Base(s.final) + ".weirbook-" + what + "-"
}

// stale is how old a staging folder is when no run can still be writing it.
const stale = 24 * time.Hour

// recover mends what a run left that was cut off: between its two renames the
// old folder stands aside and nothing is in its place; before them a staging
// folder was left half full.
func (s *Stage) recover() error {
	half, err := s.leftovers("new")
	if err != nil {
		return err
	}
	for _, d := range half {
		if info, err := os.Stat(d); err == nil && time.Since(info.ModTime()) > stale {
			_ = s.sys.removeAll(d) // only tidying: it harms nothing where it is
		}
	}
	aside, err := s.leftovers("old")
	if err != nil || len(aside) == 0 {
		return err
	}
	if _, err := os.Lstat(s.final); errors.Is(err, fs.ErrNotExist) {
		if err := s.sys.rename(aside[len(aside)-1], s.final); err != nil {
			return fmt.Errorf("an earlier run was cut off; its folder %s could not be put back: %w", aside[len(aside)-1], err)
		}
		aside = aside[:len(aside)-1]
	}
	for _, d := range aside {
		if err := s.sys.removeAll(d); err != nil {
			return fmt.Errorf("an earlier run left %s behind, which could not be removed: %w", d, err)
		}
	}
	return nil
}

func (s *Stage) leftovers(what string) ([]string, error) {
	entries, err := os.ReadDir(filepath.Dir(s.final))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("output folder %s: %w", s.final, err)
	}
	var out []string
	for _, e := range entries {
		if e.IsDir() && strings.HasPrefix(e.Name(), s.prefix(what)) {
			out = append(out, filepath.Join(filepath.Dir(s.final), e.Name()))
		}
	}
	return out, nil
}

// Create opens a file of the folder for writing. Names have slashes and stay
// inside: "charts/timeline.png".
func (s *Stage) Create(name string) (io.WriteCloser, error) {
	if s.done {
		return nil, errors.New("the run's folder is closed already")
	}
	if !fs.ValidPath(name) || name == "." || !filepath.IsLocal(filepath.FromSlash(name)) || strings.ContainsAny(name, `\:*?"<>|`) {
		return nil, fmt.Errorf("%q cannot be the name of a file in a run's folder", name)
	}
	if _, ok := s.files[name]; ok {
		return nil, fmt.Errorf("%s was written twice", name)
	}
	path := filepath.Join(s.temp, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return nil, err
	}
	s.files[name] = File{Name: name}
	w := &stagedFile{s: s, f: f, name: name, sum: sha256.New()}
	s.open[w] = true
	return w, nil
}

// WriteFile writes a whole file of the folder.
func (s *Stage) WriteFile(name string, data []byte) error {
	w, err := s.Create(name)
	if err != nil {
		return err
	}
	_, err = w.Write(data)
	return errors.Join(err, w.Close())
}

type stagedFile struct {
	s      *Stage
	f      *os.File
	name   string
	sum    hash.Hash
	n      int64
	failed bool
	closed bool
}

func (w *stagedFile) Write(p []byte) (int, error) {
	n, err := w.f.Write(p)
	w.sum.Write(p[:n])
	w.n += int64(n)
	w.failed = w.failed || err != nil
	return n, err
}

func (w *stagedFile) Close() error {
	if w.closed {
		return nil
	}
	w.closed = true
	err := w.f.Close()
	if err == nil && !w.failed {
		delete(w.s.open, w)
		w.s.files[w.name] = File{Name: w.name, SHA256: hex.EncodeToString(w.sum.Sum(nil)), Bytes: w.n}
	}
	return err
}

// Files lists the files written and closed so far, by name.
func (s *Stage) Files() []File {
	out := []File{}
	for _, f := range s.files {
		if f.SHA256 != "" {
			out = append(out, f)
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Name < out[j].Name })
	return out
}

// Abort removes what was staged. After Commit it does nothing.
func (s *Stage) Abort() error {
	if s.done {
		return nil
	}
	s.done = true
	for w := range s.open {
		w.f.Close() // Windows removes no open file
	}
	return s.removeAll(s.temp)
}

// Commit puts the folder into place. The Marker must have been written.
func (s *Stage) Commit() error {
	if s.done {
		return errors.New("the run's folder is closed already")
	}
	if err := s.commit(); err != nil {
		return errors.Join(err, s.Abort())
	}
	s.done = true
	return nil
}

func (s *Stage) commit() error {
	if len(s.open) > 0 {
		return errors.New("a file of the run's folder was not written to its end")
	}
	if _, ok := s.files[Marker]; !ok {
		return fmt.Errorf("the run's folder has no %s", Marker)
	}
	// The old folder may have changed while the run went on.
	if err := replaceable(s.final); err != nil {
		return err
	}
	old := ""
	if _, err := os.Lstat(s.final); err == nil {
		old = filepath.Join(filepath.Dir(s.final), s.prefix("old")+strings.TrimPrefix(filepath.Base(s.temp), s.prefix("new")))
		if err := s.rename(s.final, old); err != nil {
			return fmt.Errorf("%s could not be replaced: is one of its files open in another program, such as a spreadsheet? "+
				"Close it and run again; the folder is as it was: %w", s.final, err)
		}
	}
	if err := s.rename(s.temp, s.final); err != nil {
		err = fmt.Errorf("the finished folder could not be put in place as %s: %w", s.final, err)
		if old != "" {
			if back := s.rename(old, s.final); back != nil {
				return errors.Join(err, fmt.Errorf("the former folder is whole in %s: %w", old, back))
			}
		}
		return err
	}
	if old != "" {
		// The new folder stands; a remainder of the old one is taken away by the next run.
		_ = s.removeAll(old)
	}
	return nil
}

// rename tries a few times: on Windows a virus scanner may hold a file that was
// just written.
func (s *Stage) rename(from, to string) (err error) {
	for try := range 4 {
		if try > 0 {
			s.sys.pause()
		}
		if err = s.sys.rename(from, to); err == nil {
			return nil
		}
	}
	return err
}

func (s *Stage) removeAll(dir string) (err error) {
	for try := range 4 {
		if try > 0 {
			s.sys.pause()
		}
		if err = s.sys.removeAll(dir); err == nil {
			return nil
		}
	}
	return err
}
