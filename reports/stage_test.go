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
	marker, err := json.Marshal(map[string]any{"program": "weirbook", "files": s.Files()})
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

// TestForeignMarkersAreNotEnough holds somebody's files beside a run.json that is
// none of ours, lists nothing, or lists without hashes.
func TestForeignMarkersAreNotEnough(t *testing.T) {
	for name, marker := range map[string]string{
		"another program's":   `{"run": 7}`,
		"another's with list": `{"program": "other", "files": [{"name": "thesis.doc", "sha256": "6b86b273ff34fce19d6b804eff5a3f5747ada4eaa22f1d49c01e52ddb7875b4b"}]}`,
		"no list":             `{"program": "weirbook"}`,
		"an empty list":       `{"program": "weirbook", "files": []}`,
		"no hash":             `{"program": "weirbook", "files": [{"name": "thesis.doc"}]}`,
	} {
		root := t.TempDir()
		out := filepath.Join(root, "out")
		require.NoError(t, os.Mkdir(out, 0o755))
		require.NoError(t, os.WriteFile(filepath.Join(out, "thesis.doc"), []byte("1"), 0o644))
		require.NoError(t, os.WriteFile(filepath.Join(out, Marker), []byte(marker), 0o644))
		require.ErrorContains(t, CheckOutput(out), "-o", name)
		require.Error(t, makeRun(out, "x", quick()), name)
		require.Equal(t, "1", tree(t, out)["thesis.doc"], name)
		require.Equal(t, []string{"out"}, beside(t, root), name)
	}
}

func TestFoldersAndLinksAreNotOurs(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	require.NoError(t, makeRun(out, "one", quick()))
	require.NoError(t, os.Mkdir(filepath.Join(out, "photos"), 0o755))
	require.ErrorContains(t, CheckOutput(out), "photos")
	require.NoError(t, os.Remove(filepath.Join(out, "photos")))
	require.NoError(t, os.Remove(filepath.Join(out, "report.md")))
	if err := os.Symlink(filepath.Join(out, "charts", "a.png"), filepath.Join(out, "report.md")); err != nil {
		t.Skip("no links here:", err)
	}
	require.ErrorContains(t, CheckOutput(out), "report.md")
}

func TestLitterNeitherBlocksNorIsKept(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	require.NoError(t, makeRun(out, "one", quick()))
	for _, name := range []string{".DS_Store", "Thumbs.db", "desktop.ini", "~$month.xlsx", ".~lock.hourly.csv#", "charts/.DS_Store"} {
		require.NoError(t, os.WriteFile(filepath.Join(out, name), []byte("x"), 0o644))
	}
	require.NoError(t, makeRun(out, "two", quick()))
	require.Len(t, tree(t, out), 3)
}

func TestOpenWorkbookIsToldBeforeTheWork(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	require.NoError(t, makeRun(out, "one", quick()))
	sys := quick()
	sys.open = func(path string) (*os.File, error) {
		return nil, &fs.PathError{Op: "open", Path: path, Err: errors.New("used by another process")}
	}
	require.ErrorContains(t, replaceable(out, sys), "close the workbook")
}

func TestVanishedFileIsNotCommitted(t *testing.T) {
	root := t.TempDir()
	out := filepath.Join(root, "out")
	require.NoError(t, makeRun(out, "one", quick()))
	for _, spoil := range []func(path string) error{os.Remove, func(p string) error { return os.Truncate(p, 0) }} {
		s, err := newStage(out, quick())
		require.NoError(t, err)
		require.NoError(t, s.WriteFile("report.md", []byte("two")))
		require.NoError(t, s.WriteFile(Marker, []byte("{}")))
		require.NoError(t, spoil(filepath.Join(s.temp, "report.md")))
		require.ErrorContains(t, s.Commit(), "report.md")
		require.Equal(t, "one", tree(t, out)["report.md"])
		require.Equal(t, []string{"out"}, beside(t, root))
	}
}

// TestUndeletableOldFolderIsARemark has the former report held open, in this run
// and at the next.
func TestUndeletableOldFolderIsARemark(t *testing.T) {
	root := t.TempDir()
	out := filepath.Join(root, "out")
	require.NoError(t, makeRun(out, "one", quick()))
	sys := quick()
	sys.removeAll = func(path string) error {
		if strings.Contains(path, "weirbook-old") {
			return errors.New("in use")
		}
		return os.RemoveAll(path)
	}
	for _, text := range []string{"two", "three"} {
		err := makeRun(out, text, sys)
		var remark Remark
		require.ErrorAs(t, err, &remark)
		require.Contains(t, remark.Text, "weirbook-old")
		require.Equal(t, text, tree(t, out)["report.md"])
	}
	require.NoError(t, makeRun(out, "four", quick()))
	require.Equal(t, []string{"out"}, beside(t, root))
}

func TestStagesOfDeadProcessesGoAtTheNextRun(t *testing.T) {
	root := t.TempDir()
	host, _, _ := strings.Cut(thisProcess(), "-")
	// No system gives a process this number.
	dead, mine := ".out.weirbook-new-"+host+"-2147483646-1", ".out.weirbook-new-"+thisProcess()+"-1"
	elsewhere := ".out.weirbook-new-00000000-2147483646-1"
	for _, d := range []string{dead, mine, elsewhere} {
		require.NoError(t, os.Mkdir(filepath.Join(root, d), 0o755))
	}
	require.NoError(t, makeRun(filepath.Join(root, "out"), "one", quick()))
	require.ElementsMatch(t, []string{mine, elsewhere, "out"}, beside(t, root))
}

func TestAbortAllTakesAwayWhatIsStaged(t *testing.T) {
	root := t.TempDir()
	s, err := newStage(filepath.Join(root, "out"), quick())
	require.NoError(t, err)
	require.NoError(t, s.WriteFile("report.md", []byte("two")))
	AbortAll()
	require.Empty(t, beside(t, root))
	require.Error(t, s.WriteFile("later.md", nil))
	require.Error(t, s.Commit())
	require.Empty(t, beside(t, root))
}

// TestOwnOutputIsKnownByContent gives sheets other names and packs a report.
func TestOwnOutputIsKnownByContent(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		p := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(p, []byte(text), 0o644))
		return p
	}
	for name, head := range map[string]string{
		"lab.csv":   "sample_start,sample_end,tag,measures,at,sample,qualifier\r\n",
		"h.csv":     "hour_start,influent.flow_mgd,influent.flow_coverage\n",
		"saved.csv": "\ufeff\"day_start\";\"influent.flow_mgd\";\"influent.flow_coverage\"\r\n",
	} {
		require.True(t, OwnFile(write(name, head)), name)
	}
	for name, head := range map[string]string{
		"export.csv": "time,tag,value,quality\n", "wide.csv": "hour_start,FIC-101,AIT-102\n", "empty.csv": "",
	} {
		require.False(t, OwnFile(write(name, head)), name)
	}
}
