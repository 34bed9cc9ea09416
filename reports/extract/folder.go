package extract

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
)

// free refuses a folder that holds anything but an earlier extract as it was written.
func free(dir string) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("%s: expected a folder that is empty or not there: %w", dir, err)
	}
	if len(entries) == 0 {
		return nil
	}
	ours, err := filesOf(dir)
	if err != nil {
		return fmt.Errorf("%s: is not empty and holds no earlier extract; name another folder with --out", dir)
	}
	for _, e := range entries {
		if !slices.Contains(ours, e.Name()) || e.IsDir() {
			return fmt.Errorf("%s: holds %q beside an earlier extract; move that away, or name another folder with --out", dir, e.Name())
		}
	}
	return nil
}

// filesOf lists the files of the extract in a folder, by its manifest.
func filesOf(dir string) ([]string, error) {
	text, err := os.ReadFile(filepath.Join(dir, manifestFile))
	if err != nil {
		return nil, err
	}
	var m manifest
	if err := json.Unmarshal(text, &m); err != nil {
		return nil, err
	}
	if m.Kind != manifestKind {
		return nil, errors.New("another kind of manifest")
	}
	names := []string{manifestFile}
	for _, o := range m.Outputs {
		names = append(names, o.File)
	}
	return names, nil
}

// fresh makes an empty folder that its owner alone can enter; what a killed run left there goes.
func fresh(dir string) error {
	if err := os.RemoveAll(dir); err != nil {
		return fmt.Errorf("%s: %w", dir, err)
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("%s: %w", dir, err)
	}
	return nil
}

// replace puts the finished folder in its place. The earlier extract goes last, so that one of the two is always whole.
func replace(dir, partial string) error {
	earlier := filepath.Clean(dir) + ".earlier"
	if err := os.RemoveAll(earlier); err != nil {
		return fmt.Errorf("%s: %w", earlier, err)
	}
	if err := os.Rename(dir, earlier); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: the earlier extract cannot be replaced: %w", dir, err)
	}
	if err := os.Rename(partial, dir); err != nil {
		return fmt.Errorf("%s: %w", dir, err)
	}
	return os.RemoveAll(earlier)
}

// create opens a new file that its owner alone can read.
func create(dir, name string) (*os.File, error) {
	return os.OpenFile(filepath.Join(dir, name), os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o600)
}
