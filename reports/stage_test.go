package reports

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// tree lists every file below dir with what it holds.
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, _ := filepath.Rel(dir, path)
		if d.IsDir() {
			return nil
		}
		b, err := os.ReadFile(path)
		out[filepath.ToSlash(rel)] = string(b)
		return err
	}))
	return out
}

// beside lists what stands in dir.
func beside(t *testing.T, dir string) []string {
	t.Helper()
	es, err := os.ReadDir(dir)
	require.NoError(t, err)
	out := []string{}
	for _, e := range es {
		out = append(out, e.Name())
	}
	sort.Strings(out)
	return out
}

// makeRun stages and commits a folder that holds text.
func makeRun(dir, text string, sys system) error {
	s, err := newStage(dir, sys)
	if err != nil {
		return err
	}
	defer s.Abort()
	if err := s.WriteFile("charts/a.png", []byte(text)); err != nil {
		return err
	}
	if err := s.WriteFile("report.md", []byte(text)); err != nil {
		return err
	}
	marker, err := json.Marshal(map[string]any{"files": s.Files()})
	if err != nil {
		return err
	}
	if err := s.WriteFile(Marker, marker); err != nil {
		return err
	}
	return s.Commit()
}

func quick() system {
	sys := realSystem()
	sys.pause = func() {}
	return sys
}

func TestCommitPutsTheFolderInPlaceAndReplacesAnOlderOne(t *testing.T) {
	root := t.TempDir()
	out := filepath.Join(root, "deep", "out")
	require.NoError(t, makeRun(out, "one", quick()))
	require.Equal(t, "one", tree(t, out)["charts/a.png"])
	require.NoError(t, makeRun(out, "two", quick()))
	require.Equal(t, "two", tree(t, out)["report.md"])
	require.Equal(t, []string{"out"}, beside(t, filepath.Join(root, "deep")))
}

func TestEmptyFolderIsReplaced(t *testing.T) {
	root := t.TempDir()
	out := filepath.Join(root, "out")
	require.NoError(t, os.Mkdir(out, 0o755))
	require.NoError(t, makeRun(out, "one", quick()))
	require.Equal(t, []string{"out"}, beside(t, root))
	require.Len(t, tree(t, out), 3)
}

func TestNothingIsSeenBeforeCommitAndAbortLeavesNothing(t *testing.T) {
	root := t.TempDir()
	out := filepath.Join(root, "out")
	s, err := newStage(out, quick())
	require.NoError(t, err)
	require.NoError(t, s.WriteFile("report.md", []byte("x")))
	_, err = os.Stat(out)
	require.ErrorIs(t, err, fs.ErrNotExist)
	require.NoError(t, s.Abort())
	require.Empty(t, beside(t, root))
	require.Error(t, s.Commit())
	require.Error(t, s.WriteFile("late", nil))
}

func TestForeignFoldersAreRefused(t *testing.T) {
	root := t.TempDir()
	out := filepath.Join(root, "thesis")
	require.NoError(t, os.Mkdir(out, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(out, "chapter.doc"), []byte("years of work"), 0o644))
	err := makeRun(out, "x", quick())
	require.ErrorContains(t, err, "weirbook did not make it")
	require.ErrorContains(t, err, "-o")
	require.Equal(t, map[string]string{"chapter.doc": "years of work"}, tree(t, out))
	require.Equal(t, []string{"thesis"}, beside(t, root))

	file := filepath.Join(root, "file")
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	require.ErrorContains(t, makeRun(file, "x", quick()), "not a folder")
}

func TestAddedAndChangedFilesAreNotDeleted(t *testing.T) {
	for name, spoil := range map[string]func(out string) error{
		"notes.txt is not one that weirbook wrote": func(out string) error {
			return os.WriteFile(filepath.Join(out, "notes.txt"), []byte("mine"), 0o644)
		},
		"report.md was changed": func(out string) error {
			return os.WriteFile(filepath.Join(out, "report.md"), []byte("edited by the lead"), 0o644)
		},
	} {
		root := t.TempDir()
		out := filepath.Join(root, "out")
		require.NoError(t, makeRun(out, "one", quick()))
		require.NoError(t, spoil(out))
		before := tree(t, out)
		require.ErrorContains(t, makeRun(out, "two", quick()), name)
		require.Equal(t, before, tree(t, out))
		require.Equal(t, []string{"out"}, beside(t, root))
	}
}

// TestEveryFailedRenameLeavesTheOldFolderWhole fails the n-th rename for good
// and expects the old folder, and nothing beside it.
func TestEveryFailedRenameLeavesTheOldFolderWhole(t *testing.T) {
	for n := 1; n <= 2; n++ {
		root := t.TempDir()
		out := filepath.Join(root, "out")
		require.NoError(t, makeRun(out, "one", quick()))
		before := tree(t, out)
		sys := quick()
		seen := map[string]int{}
		sys.rename = func(from, to string) error {
			if _, ok := seen[from]; !ok {
				seen[from] = len(seen) + 1
			}
			if seen[from] == n {
				return errors.New("in use")
			}
			return os.Rename(from, to)
		}
		err := makeRun(out, "two", sys)
		require.ErrorContains(t, err, "in use", "rename %d", n)
		require.Equal(t, before, tree(t, out))
		require.Equal(t, []string{"out"}, beside(t, root))
	}
}

func TestRenameIsTriedAgain(t *testing.T) {
	root := t.TempDir()
	out := filepath.Join(root, "out")
	sys := quick()
	fails := 2
	sys.rename = func(from, to string) error {
		if fails > 0 {
			fails--
			return errors.New("held by a scanner")
		}
		return os.Rename(from, to)
	}
	require.NoError(t, makeRun(out, "one", sys))
	require.Equal(t, "one", tree(t, out)["report.md"])
}

// TestCutOffBetweenRenames is a run that dies after it moved the old folder
// aside: the next run finds it and puts it back before it does anything else.
func TestCutOffBetweenRenames(t *testing.T) {
	root := t.TempDir()
	out := filepath.Join(root, "out")
	require.NoError(t, makeRun(out, "one", quick()))
	require.NoError(t, os.Rename(out, filepath.Join(root, ".out.weirbook-old-123")))
	s, err := newStage(out, quick())
	require.NoError(t, err)
	require.Equal(t, "one", tree(t, out)["report.md"])
	require.NoError(t, s.Abort())
	require.Equal(t, []string{"out"}, beside(t, root))
}

func TestStagingFoldersOfDeadRunsAreSweptWhenOld(t *testing.T) {
	root := t.TempDir()
	old, young := filepath.Join(root, ".out.weirbook-new-1"), filepath.Join(root, ".out.weirbook-new-2")
	require.NoError(t, os.Mkdir(old, 0o755))
	require.NoError(t, os.Mkdir(young, 0o755))
	then := time.Now().Add(-48 * time.Hour)
	require.NoError(t, os.Chtimes(old, then, then))
	require.NoError(t, makeRun(filepath.Join(root, "out"), "one", quick()))
	require.Equal(t, []string{".out.weirbook-new-2", "out"}, beside(t, root), "another run may be writing the young one")
}

func TestFolderYouAreInIsRefused(t *testing.T) {
	t.Chdir(t.TempDir())
	_, err := newStage(".", quick())
	require.ErrorContains(t, err, "-o out")
}

func TestUnfinishedRunsAreNotCommitted(t *testing.T) {
	root := t.TempDir()
	s, err := newStage(filepath.Join(root, "out"), quick())
	require.NoError(t, err)
	require.NoError(t, s.WriteFile("report.md", []byte("x")))
	require.ErrorContains(t, s.Commit(), "has no run.json")
	require.Empty(t, beside(t, root))

	s, err = newStage(filepath.Join(root, "out"), quick())
	require.NoError(t, err)
	_, err = s.Create("hourly.csv")
	require.NoError(t, err)
	require.NoError(t, s.WriteFile(Marker, []byte("{}")))
	require.ErrorContains(t, s.Commit(), "not written to its end")
}

func TestNamesStayInside(t *testing.T) {
	s, err := newStage(filepath.Join(t.TempDir(), "out"), quick())
	require.NoError(t, err)
	defer s.Abort()
	for _, name := range []string{"../x", "/etc/x", "a/../../x", "", ".", `a\b`, "C:x", "a?b"} {
		require.Error(t, s.WriteFile(name, nil), name)
	}
	require.NoError(t, s.WriteFile("a.csv", []byte("1")))
	require.ErrorContains(t, s.WriteFile("a.csv", nil), "twice")
	files := s.Files()
	require.Len(t, files, 1)
	// SHA-256 of "1", as sha256sum prints it.
	require.Equal(t, "6b86b273ff34fce19d6b804eff5a3f5747ada4eaa22f1d49c01e52ddb7875b4b", files[0].SHA256)
	require.Equal(t, int64(1), files[0].Bytes)
	require.True(t, strings.HasPrefix(filepath.Base(s.temp), ".out.weirbook-new-"))
}
