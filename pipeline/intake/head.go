package intake

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/transform"
)

// Exports lists every text export in files, folders and zip archives, whatever its name, in the order of the paths and of
// the names in a folder; hidden files are none. A path that is not there is an error.
func Exports(paths []string) ([]Candidate, error) {
	var found Found
	seen := map[string]bool{}
	for _, asked := range paths {
		info, err := os.Stat(asked)
		if err != nil {
			return nil, fmt.Errorf("%s: no such file or folder; give the exports or the folder that holds them", asked)
		}
		if !info.IsDir() {
			err = found.takeExport(asked, info.Name(), info, seen)
		} else {
			err = found.walkExports(asked, seen)
		}
		if err != nil {
			return nil, err
		}
	}
	return found.Candidates, nil
}

func (f *Found) walkExports(folder string, seen map[string]bool) error {
	root, err := filepath.EvalSymlinks(folder)
	if err != nil {
		return fmt.Errorf("%s: cannot be read: %w", folder, err)
	}
	return filepath.WalkDir(root, func(file string, d fs.DirEntry, err error) error {
		if err != nil {
			return fmt.Errorf("%s: cannot be read: %w", file, err)
		}
		if strings.HasPrefix(d.Name(), ".") && file != root {
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		info, err := os.Stat(file)
		if err != nil || d.IsDir() || !isArchive(d.Name()) && !isText(d.Name()) {
			return nil
		}
		name, err := filepath.Rel(root, file)
		if err != nil {
			return err
		}
		return f.takeExport(file, filepath.ToSlash(name), info, seen)
	})
}

func (f *Found) takeExport(file, name string, info fs.FileInfo, seen map[string]bool) error {
	if !info.Mode().IsRegular() {
		return nil
	}
	if !isArchive(file) {
		f.take(Candidate{Path: file, Name: name, Bytes: info.Size()}, seen)
		return nil
	}
	archive, err := zip.OpenReader(file)
	if err != nil {
		return fmt.Errorf("%s: is no zip archive that can be read; unpack it first", file)
	}
	defer archive.Close()
	left := uint64(mostInAll)
	for _, m := range archive.File {
		if m.FileInfo().IsDir() || hiddenMember(m.Name) || !isText(path.Base(m.Name)) {
			continue
		}
		if err := checkMember(m, &left); err != nil {
			return fmt.Errorf("%s: member %q %w", file, m.Name, err)
		}
		f.take(Candidate{Path: file, Member: m.Name, Name: name + "/" + m.Name, Bytes: int64(m.UncompressedSize64)}, seen)
	}
	return nil
}

func isText(name string) bool {
	switch path.Ext(strings.TrimSuffix(strings.ToLower(name), ".gz")) {
	case ".csv", ".tsv", ".txt":
		return true
	}
	return false
}

// Head is the beginning of an export's text as UTF-8. Whole says that it is all of it; else its last line may be broken off.
type Head struct {
	Text     []byte
	Encoding string
	Whole    bool
}

// Head reads the beginning of the file, at most so many bytes of it as it stands unpacked. The encoding is told from these
// bytes alone.
func (c Candidate) Head(most int) (Head, error) {
	r, closeFile, err := c.open()
	if err != nil {
		return Head{}, err
	}
	defer closeFile()
	block := make([]byte, most+1)
	n, err := io.ReadFull(r, block)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return Head{}, fmt.Errorf("%s: cannot be read: %w", c.where(), err)
	}
	whole := n <= most
	block = block[:min(n, most)]
	encoding := headEncoding(block, whole)
	text, _, err := transform.Bytes(lenient(encoding), block)
	if err != nil {
		return Head{}, fmt.Errorf("%s: cannot be read as %s: %w", c.where(), encoding, err)
	}
	if bytes.IndexByte(text, 0) >= 0 {
		return Head{}, fmt.Errorf("%s: %w", c.where(), errZeros)
	}
	return Head{text, encoding, whole}, nil
}

func headEncoding(block []byte, whole bool) string {
	head := block[:min(len(block), 4096)]
	if name := byMark(head); name != "" {
		return name
	}
	if name := byZeros(head); name != "" {
		return name
	}
	if !whole {
		block = block[:lastWholeRune(block)]
	}
	if utf8.Valid(block) {
		return utf8Text
	}
	return windows1252
}
