package reports

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// CheckOutput says, before any work is done, whether a run may put its folder
// where dir is.
func CheckOutput(dir string) error {
	final, err := outputPath(dir)
	if err != nil {
		return err
	}
	return replaceable(final, realSystem())
}

// outputPath is dir in full; a folder that no run may replace is refused.
func outputPath(dir string) (string, error) {
	final, err := filepath.Abs(dir)
	if err != nil {
		return "", fmt.Errorf("output folder %s: %w", dir, err)
	}
	if filepath.Dir(final) == final {
		return "", fmt.Errorf("output folder %s is the root of a drive: choose a folder in it", dir)
	}
	if wd, err := os.Getwd(); err == nil && wd == final {
		return "", fmt.Errorf("output folder %s is the folder you are in: choose one in it, such as -o out", dir)
	}
	return final, nil
}

// runMarker is what a Marker says of the folder it stands in.
type runMarker struct {
	Program string `json:"program"`
	Command string `json:"command"`
	Files   []File `json:"files"`
}

const programName = "weirbook"

// OwnFolder says that dir is a folder that a run made: its Marker is ours.
func OwnFolder(dir string) bool {
	m, err := readMarker(dir)
	return err == nil && m.Program == programName && len(m.Files) > 0
}

func readMarker(dir string) (runMarker, error) {
	var m runMarker
	data, err := os.ReadFile(filepath.Join(dir, Marker))
	if err != nil {
		return m, err
	}
	return m, json.Unmarshal(data, &m)
}

// litter says that a file is one that systems and spreadsheets leave in folders
// they show or open: it is neither anybody's work nor kept.
func litter(name string) bool {
	switch strings.ToLower(name) {
	case ".ds_store", "thumbs.db", "desktop.ini", ".directory":
		return true
	}
	return strings.HasPrefix(name, "~$") || strings.HasPrefix(name, "._") || strings.HasPrefix(name, ".~lock.") && strings.HasSuffix(name, "#")
}

// replaceable says whether a run may put its folder where dir is: there is
// nothing, an empty folder, or a folder exactly as an earlier run left it.
func replaceable(dir string, sys system) error {
	info, err := os.Lstat(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("output folder %s: %w", dir, err)
	}
	if !info.IsDir() {
		return fmt.Errorf("%s is not a folder: choose another with -o", dir)
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return fmt.Errorf("output folder %s: %w", dir, err)
	}
	empty := true
	for _, e := range entries {
		empty = empty && !e.IsDir() && litter(e.Name())
	}
	if empty {
		return nil
	}
	made, err := readMarker(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s holds files and no %s, so weirbook did not make it: choose another folder with -o", dir, Marker)
	case err != nil:
		return fmt.Errorf("%s is not one that weirbook wrote (%w): choose another folder with -o", filepath.Join(dir, Marker), err)
	case made.Program != programName || len(made.Files) == 0:
		return fmt.Errorf("%s does not list what weirbook wrote into the folder, so a new run will not replace it: choose another folder with -o", filepath.Join(dir, Marker))
	}
	for _, f := range made.Files {
		if len(f.SHA256) != 2*sha256.Size {
			return fmt.Errorf("%s lists %s without its hash, so a new run will not replace the folder: choose another with -o", filepath.Join(dir, Marker), f.Name)
		}
	}
	return unchanged(dir, made.Files, sys)
}

// unchanged says whether dir holds only what is listed, as it was written, and
// no other program has it open.
func unchanged(dir string, made []File, sys system) error {
	known, folders := map[string]File{Marker: {Name: Marker}}, map[string]bool{".": true}
	for _, f := range made {
		known[f.Name] = f
		for d := path.Dir(f.Name); d != "."; d = path.Dir(d) {
			folders[d] = true
		}
	}
	return filepath.WalkDir(dir, func(at string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(dir, at)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		f, ok := known[rel]
		switch {
		case d.IsDir() && folders[rel], !d.IsDir() && litter(d.Name()):
			return nil
		case !ok || !d.Type().IsRegular():
			return fmt.Errorf("%s is not one that weirbook wrote, and a new run would delete it: move it, or choose another folder with -o", at)
		}
		sum, err := hashFile(at, sys)
		if err != nil {
			return err
		}
		if f.SHA256 != "" && sum != f.SHA256 {
			return fmt.Errorf("%s was changed after weirbook wrote it, and a new run would overwrite it: move it, or choose another folder with -o", at)
		}
		return nil
	})
}

// hashFile opens a file as one that will be replaced: a spreadsheet that has it
// open lets it be read and not written, which is better known before the work.
func hashFile(path string, sys system) (string, error) {
	f, err := sys.open(path)
	if errors.Is(err, fs.ErrPermission) { // write-protected by its owner
		f, err = os.Open(path)
	}
	if err != nil {
		return "", fmt.Errorf("%s cannot be replaced; it is open in another program: close the workbook or viewer that shows it and run again: %w", path, reasonOf(err))
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// reasonOf is an error without the path that the message names already.
func reasonOf(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}
