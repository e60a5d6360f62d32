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
	"sync"
	"time"
)

// Marker is the file by which a run's folder is known for one: it is written
// last and lists the others with their hashes.
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
// A later run replaces the folder only if it holds what the Marker's list "files",
// as Files gives it, says, and nothing besides: somebody's notes are not the
// tool's to delete.
type Stage struct {
	final, temp string
	files       map[string]File
	open        map[*stagedFile]bool
	sys         system
	remarks     []string

	mu   sync.Mutex // held while the folder is written to, put in place or taken away
	done bool
}

// Remark is the error of a run whose folder stands whole, with something left
// for people to do beside it.
type Remark struct{ Text string }

func (r Remark) Error() string { return r.Text }

// live are the stages under way, for AbortAll, and whether one was put in place.
var live = struct {
	sync.Mutex
	stages    map[*Stage]bool
	committed bool
}{stages: map[*Stage]bool{}}

// AbortAll takes away what any run of this program has staged, as Abort does: for
// a program that is told to stop. It waits for a Commit that has begun, and says
// whether one was done. Whatever still writes to a stage fails from then on.
func AbortAll() (committed bool) {
	live.Lock()
	defer live.Unlock()
	for s := range live.stages {
		s.mu.Lock()
		_ = s.abort() // what cannot be removed now goes at the next run
		s.mu.Unlock()
	}
	return live.committed
}

// system is what the staging asks of the file system; tests make it fail.
type system struct {
	rename    func(from, to string) error
	removeAll func(path string) error
	open      func(path string) (*os.File, error) // for reading, as one that may be written to
	pause     func()
}

func realSystem() system {
	return system{rename: os.Rename, removeAll: os.RemoveAll, pause: func() { time.Sleep(150 * time.Millisecond) },
		open: func(path string) (*os.File, error) { return os.OpenFile(path, os.O_RDWR, 0) }}
}

// NewStage begins a folder meant for dir. It refuses at once if dir is
// something that the tool did not make.
func NewStage(dir string) (*Stage, error) {
	return newStage(dir, realSystem())
}

func newStage(dir string, sys system) (*Stage, error) {
	final, err := outputPath(dir)
	if err != nil {
		return nil, err
	}
	s := &Stage{final: final, files: map[string]File{}, open: map[*stagedFile]bool{}, sys: sys}
	if err := s.recover(); err != nil {
		return nil, err
	}
	if err := replaceable(final, sys); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(filepath.Dir(final), 0o777); err != nil {
		return nil, fmt.Errorf("output folder %s: %w", dir, err)
	}
	live.Lock()
	defer live.Unlock()
	s.temp, err = os.MkdirTemp(filepath.Dir(final), s.prefix("new")+thisProcess()+"-")
	if err != nil {
		return nil, fmt.Errorf("cannot make a folder beside %s: %w", dir, err)
	}
	// MkdirTemp keeps others out; a report is as open as any file of its owner.
	if err := os.Chmod(s.temp, 0o755); err != nil {
		return nil, errors.Join(err, s.removeAll(s.temp))
	}
	live.stages[s] = true
	return s, nil
}

// prefix names the folders that stand beside the final one for a while.
func (s *Stage) prefix(what string) string {
	return "." + filepath.Base(s.final) + ".weirbook-" + what + "-"
}

// Open reads a file of the folder back, before it is put in place.
func (s *Stage) Open(name string) (io.ReadCloser, error) {
	return os.Open(filepath.Join(s.temp, filepath.FromSlash(name)))
}

// Create opens a file of the folder for writing. Names have slashes and stay
// inside: "charts/timeline.png".
func (s *Stage) Create(name string) (io.WriteCloser, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
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
	// On the disk before the folder's new name is: a power loss must not leave a
	// whole folder of empty files.
	err := errors.Join(w.f.Sync(), w.f.Close())
	w.s.mu.Lock()
	defer w.s.mu.Unlock()
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
	live.Lock()
	defer live.Unlock()
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.abort()
}

// abort wants both locks.
func (s *Stage) abort() error {
	if s.done {
		return nil
	}
	s.done = true
	delete(live.stages, s)
	for w := range s.open {
		w.f.Close() // Windows removes no open file
	}
	return s.removeAll(s.temp)
}

// Commit puts the folder into place. The Marker must have been written. A Remark
// as its error says that the folder stands and something is left over beside it.
func (s *Stage) Commit() error {
	live.Lock()
	defer live.Unlock()
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.done {
		return errors.New("the run's folder is closed already")
	}
	if err := s.commit(); err != nil {
		return errors.Join(err, s.abort())
	}
	s.done, live.committed = true, true
	delete(live.stages, s)
	if len(s.remarks) > 0 {
		return Remark{strings.Join(s.remarks, "; ")}
	}
	return nil
}

func (s *Stage) commit() error {
	if len(s.open) > 0 {
		return errors.New("a file of the run's folder was not written to its end")
	}
	if _, ok := s.files[Marker]; !ok {
		return fmt.Errorf("the run's folder has no %s", Marker)
	}
	if err := s.whole(); err != nil {
		return fmt.Errorf("the run's folder did not stay as it was written, and was not put in place: %w", err)
	}
	// The old folder may have changed while the run went on.
	if err := replaceable(s.final, s.sys); err != nil {
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
	syncFolder(filepath.Dir(s.final))
	if old != "" {
		if err := s.removeAll(old); err != nil {
			s.remark(old, err)
		}
	}
	return nil
}

// whole says that the staged folder holds every file as it was written, and puts
// the folders on the disk.
func (s *Stage) whole() error {
	for name, f := range s.files {
		info, err := os.Lstat(filepath.Join(s.temp, filepath.FromSlash(name)))
		if err != nil {
			return fmt.Errorf("%s is gone: %w", name, reasonOf(err))
		}
		if info.Size() != f.Bytes {
			return fmt.Errorf("%s has %d bytes and not %d", name, info.Size(), f.Bytes)
		}
	}
	return filepath.WalkDir(s.temp, func(path string, d fs.DirEntry, err error) error {
		if err == nil && d.IsDir() {
			syncFolder(path)
		}
		return err
	})
}

// syncFolder puts a folder's names on the disk, where the system can do that;
// Windows and some network drives cannot, and need not.
func syncFolder(dir string) {
	if f, err := os.Open(dir); err == nil {
		_ = f.Sync()
		f.Close()
	}
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
