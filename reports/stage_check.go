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
	"path/filepath"
)

// replaceable says whether a run may put its folder where dir is: there is
// nothing, an empty folder, or a folder as an earlier run left it.
func replaceable(dir string) error {
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
	if len(entries) == 0 {
		return nil
	}
	marker, err := os.ReadFile(filepath.Join(dir, Marker))
	if err != nil {
		return fmt.Errorf("%s holds files and no %s, so weirbook did not make it: choose another folder with -o", dir, Marker)
	}
	var made struct {
		Files []File `json:"files"`
	}
	if err := json.Unmarshal(marker, &made); err != nil {
		return fmt.Errorf("%s is not one that weirbook wrote (%w): choose another folder with -o", filepath.Join(dir, Marker), err)
	}
	if len(made.Files) == 0 {
		return nil
	}
	return unchanged(dir, made.Files)
}

// unchanged says whether dir holds only what is listed, as it was written.
func unchanged(dir string, made []File) error {
	known := map[string]File{Marker: {Name: Marker}}
	for _, f := range made {
		known[f.Name] = f
	}
	return filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		f, ok := known[filepath.ToSlash(rel)]
		if !ok {
			return fmt.Errorf("%s is not one that weirbook wrote, and a new run would delete it: move it, or choose another folder with -o", path)
		}
		if f.SHA256 == "" {
			return nil
		}
		sum, err := hashFile(path)
		if err != nil {
			return err
		}
		if sum != f.SHA256 {
			return fmt.Errorf("%s was changed after weirbook wrote it, and a new run would overwrite it: move it, or choose another folder with -o", path)
		}
		return nil
	})
}

func hashFile(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
