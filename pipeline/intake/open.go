package intake

import (
	"archive/zip"
	"bufio"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
)

// Limits on what is packed. Logs of devices pack to a tenth or a thirtieth of their size; what unpacks to more than these
// was made to fill a disk.
const (
	mostUnpacked = 200      // times the packed size
	freeUnpacked = 64 << 20 // bytes that are unpacked whatever their packed size
)

// raw opens the file as it came: on disk, or as a member of a zip archive, unpacked from there. Size is what it takes up
// where it lies.
func (c Candidate) raw() (r io.ReadCloser, size int64, err error) {
	if c.Member != "" {
		return openMember(c.Path, c.Member)
	}
	f, err := os.Open(c.Path)
	if err != nil {
		return nil, 0, fmt.Errorf("%s: cannot be read: %w", c.Path, err)
	}
	info, err := f.Stat()
	if err != nil {
		return nil, 0, errors.Join(err, f.Close())
	}
	return f, info.Size(), nil
}

// open gives the bytes of the text: of the file as it came, or of what is packed in it.
func (c Candidate) open() (*bufio.Reader, func(), error) {
	f, size, err := c.raw()
	if err != nil {
		return nil, nil, err
	}
	var r io.Reader = f
	if c.gzipped() {
		unpacked, err := gzip.NewReader(f)
		if err != nil {
			f.Close()
			return nil, nil, fmt.Errorf("%s: is no gzip file; unpack it first", c.where())
		}
		r = bounded(unpacked, size)
	}
	return bufio.NewReaderSize(r, blockSize), func() { f.Close() }, nil
}

func (c Candidate) gzipped() bool {
	return strings.HasSuffix(strings.ToLower(c.Name), ".gz")
}

// where names the file for people, with the path that was given.
func (c Candidate) where() string {
	if c.Member == "" {
		return c.Path
	}
	return c.Path + "/" + c.Member
}

var errBomb = fmt.Errorf("unpacks to more than %d times its packed size and %d MiB; no export does: unpack it and look at it first",
	mostUnpacked, freeUnpacked>>20)

// bounded ends with errBomb where more is unpacked than an export can hold, whatever the archive says of itself.
func bounded(r io.Reader, packed int64) io.Reader {
	return &boundedReader{r, max(freeUnpacked, packed*mostUnpacked)}
}

type boundedReader struct {
	r    io.Reader
	left int64
}

func (b *boundedReader) Read(p []byte) (int, error) {
	n, err := b.r.Read(p)
	if b.left -= int64(n); b.left < 0 {
		return 0, errBomb
	}
	return n, err
}

// openMember opens one member of an archive.
func openMember(path, name string) (io.ReadCloser, int64, error) {
	archive, err := zip.OpenReader(path)
	if err != nil {
		return nil, 0, fmt.Errorf("%s: is no zip archive; unpack it first", path)
	}
	for _, f := range archive.File {
		if f.Name != name {
			continue
		}
		r, err := f.Open()
		if err != nil {
			return nil, 0, errors.Join(fmt.Errorf("%s/%s: cannot be unpacked: %w", path, name, err), archive.Close())
		}
		packed := int64(min(f.CompressedSize64, 1<<50))
		return member{bounded(r, packed), r, archive}, int64(min(f.UncompressedSize64, 1<<50)), nil
	}
	return nil, 0, errors.Join(fmt.Errorf("%s: holds no member %q any more", path, name), archive.Close())
}

// member reads one member of an archive and closes both.
type member struct {
	io.Reader
	file    io.Closer
	archive io.Closer
}

func (m member) Close() error { return errors.Join(m.file.Close(), m.archive.Close()) }
