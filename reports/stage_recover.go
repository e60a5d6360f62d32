package reports

import (
	"errors"
	"fmt"
	"hash/fnv"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"time"
)

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
		info, err := os.Stat(d)
		if err == nil && (time.Since(info.ModTime()) > stale || ofDeadProcess(strings.TrimPrefix(filepath.Base(d), s.prefix("new")))) {
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
			s.remark(d, err)
		}
	}
	return nil
}

func (s *Stage) remark(old string, err error) {
	s.remarks = append(s.remarks, fmt.Sprintf("the report that was replaced is still in %s and could not be removed (%v); delete it by hand when nothing has it open", old, reasonOf(err)))
}

// thisProcess names the running process among those that may write here.
func thisProcess() string {
	host, err := os.Hostname()
	if err != nil {
		return strconv.Itoa(os.Getpid())
	}
	h := fnv.New32a()
	h.Write([]byte(host))
	return fmt.Sprintf("%08x-%d", h.Sum32(), os.Getpid())
}

// ofDeadProcess says that a stage's name, after its prefix, is of a process of
// this machine that is no more.
func ofDeadProcess(name string) bool {
	host, _, _ := strings.Cut(thisProcess(), "-")
	rest, here := strings.CutPrefix(name, host+"-")
	word, _, ok := strings.Cut(rest, "-")
	pid, err := strconv.Atoi(word)
	if !here || !ok || err != nil {
		return false
	}
	p, err := os.FindProcess(pid)
	if err != nil {
		return true // as Windows tells of a process that has ended
	}
	defer p.Release()
	if runtime.GOOS == "windows" {
		return false
	}
	return errors.Is(p.Signal(syscall.Signal(0)), os.ErrProcessDone)
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
