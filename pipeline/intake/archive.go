package intake

import (
	"archive/zip"
	"errors"
	"fmt"
	"path"
	"strconv"
	"strings"
	"unicode"
)

// Limits on an archive as a whole.
const (
	mostMembers  = 10_000
	mostInAll    = 32 << 30 // bytes unpacked
	encryptedBit = 1        // of a member's flags: PKWARE APPNOTE 4.4.4
)

func isArchive(name string) bool { return strings.HasSuffix(strings.ToLower(name), ".zip") }

// askArchive is addArchive for an archive that was asked for by its name: it must hold an export.
func (f *Found) askArchive(file, name string, seen map[string]bool) error {
	exports, err := f.addArchive(file, name, seen)
	if err == nil && exports == 0 {
		return fmt.Errorf("%s: holds no file whose name begins with a table's name; expected one of %s, such as alarms-2026.csv", file, tableNames())
	}
	return err
}

// addArchive takes the exports among an archive's members, each as the file `archive.zip/folder/member.csv`. Name is the
// archive's own below the folder that was asked for. It refuses an archive whose members point out of it, are encrypted
// or unpack to more than an export can hold; members that belong to no table are passed over. It gives
// the number of exports.
func (f *Found) addArchive(file, name string, seen map[string]bool) (exports int, err error) {
	archive, err := zip.OpenReader(file)
	if err != nil {
		return 0, fmt.Errorf("%s: is no zip archive that can be read; unpack it first", file)
	}
	defer archive.Close()
	if len(archive.File) > mostMembers {
		return 0, fmt.Errorf("%s: holds %d members, at most %d are read; unpack it first", file, len(archive.File), mostMembers)
	}
	left := uint64(mostInAll)
	for _, m := range archive.File {
		if m.FileInfo().IsDir() || hiddenMember(m.Name) {
			continue
		}
		uses := f.uses(m.Name)
		if len(uses) == 0 {
			f.PassedOver = append(f.PassedOver, name+"/"+shown(m.Name))
			continue
		}
		if err := checkMember(m, &left); err != nil {
			return 0, fmt.Errorf("%s: member %q %w", file, m.Name, err)
		}
		exports++
		f.take(Candidate{Path: file, Member: m.Name, Name: name + "/" + m.Name, Bytes: int64(m.UncompressedSize64)}, seen, uses...)
	}
	return exports, nil
}

// hiddenMember tells what a hidden file or folder is, as in a folder; some systems pack one beside each file.
func hiddenMember(name string) bool {
	for part := range strings.SplitSeq(name, "/") {
		if part == "__MACOSX" || strings.HasPrefix(part, ".") && strings.Trim(part, ".") != "" {
			return true
		}
	}
	return false
}

func checkMember(m *zip.File, left *uint64) error {
	switch {
	case m.Flags&encryptedBit != 0:
		return errors.New("is encrypted; unpack it with its password first")
	case !m.Mode().IsRegular():
		return errors.New("is no plain file; unpack it first")
	case m.Method != zip.Store && m.Method != zip.Deflate:
		return fmt.Errorf("is packed by method %d, expected deflate (8) or none (0); unpack it first", m.Method)
	case !tameName(m.Name):
		return errors.New("has a name that points out of the archive or cannot be printed; unpack it by hand")
	case m.UncompressedSize64 > freeUnpacked && m.UncompressedSize64/mostUnpacked > m.CompressedSize64:
		return errBomb
	case m.UncompressedSize64 > *left:
		return fmt.Errorf("brings the archive over %d GiB unpacked; unpack it first", mostInAll>>30)
	}
	*left -= m.UncompressedSize64
	return nil
}

// shown is a member's name for people: one that is not tame is quoted, so that it does nothing to a terminal.
func shown(name string) string {
	if tameName(name) {
		return name
	}
	return strconv.Quote(name)
}

// tameName refuses what a path can trick with: another folder's files, drives, links by name, control characters. Nothing
// is ever written under a member's name; it is shown and kept.
func tameName(name string) bool {
	if name != path.Clean(name) || path.IsAbs(name) || name == ".." || strings.HasPrefix(name, "../") {
		return false
	}
	return !strings.ContainsFunc(name, func(r rune) bool {
		return r == '\\' || r == ':' || r == unicode.ReplacementChar || unicode.IsControl(r) || unicode.Is(unicode.Cf, r)
	})
}
