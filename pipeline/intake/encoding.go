package intake

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// The encodings that are told apart.
const (
	utf8Text    = "utf-8"
	utf8Mark    = "utf-8 with mark"
	utf16Little = "utf-16le"
	utf16Big    = "utf-16be"
	windows1252 = "windows-1252"
)

const blockSize = 1 << 20

// tellEncoding reads as much of a file as it needs: a mark decides, then zero bytes at even or odd places, and a file that
// is not UTF-8 throughout is taken for Windows-1252, in which every byte but five is a character.
func tellEncoding(c Candidate) (string, error) {
	r, closeFile, err := c.open()
	if err != nil {
		return "", err
	}
	defer closeFile()
	head, err := r.Peek(4096)
	if err != nil && !errors.Is(err, io.EOF) {
		return "", fmt.Errorf("%s: cannot be read: %w", c.where(), err)
	}
	if asked := c.Dialect.Encoding; asked == utf8Text && byMark(head) == utf8Mark {
		return utf8Mark, nil
	} else if asked != "" {
		return asked, nil
	}
	if name := byMark(head); name != "" {
		return name, nil
	}
	if name := byZeros(head); name != "" {
		return name, nil
	}
	if bytes.IndexByte(head, 0) >= 0 {
		return "", fmt.Errorf("%s: %w", c.where(), errZeros)
	}
	ok, err := validUTF8(r)
	if err != nil {
		return "", fmt.Errorf("%s: cannot be read: %w", c.where(), err)
	}
	if ok {
		return utf8Text, nil
	}
	return windows1252, nil
}

func byMark(head []byte) string {
	switch {
	case bytes.HasPrefix(head, []byte{0xEF, 0xBB, 0xBF}):
		return utf8Mark
	case bytes.HasPrefix(head, []byte{0xFF, 0xFE}):
		return utf16Little
	case bytes.HasPrefix(head, []byte{0xFE, 0xFF}):
		return utf16Big
	}
	return ""
}

// byZeros finds UTF-16 without a mark: a header in Latin letters has a zero in every second byte.
func byZeros(head []byte) string {
	var even, odd int
	for i, b := range head {
		if b != 0 {
			continue
		}
		if i%2 == 0 {
			even++
		} else {
			odd++
		}
	}
	switch half := len(head) / 2; {
	case half > 0 && odd*10 > half*8 && even == 0:
		return utf16Little
	case half > 0 && even*10 > half*8 && odd == 0:
		return utf16Big
	}
	return ""
}

var errZeros = errors.New("holds zero bytes and is no text; export it as CSV")

// validUTF8 reads as far as it must to tell whether the text is UTF-8.
func validUTF8(r io.Reader) (bool, error) {
	block := make([]byte, blockSize)
	kept := 0
	for {
		n, err := io.ReadFull(r, block[kept:])
		n += kept
		if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
			return false, err
		}
		last := err != nil
		whole := n
		if !last {
			whole = lastWholeRune(block[:n])
		}
		if !utf8.Valid(block[:whole]) {
			return false, nil
		}
		if last {
			return true, nil
		}
		kept = copy(block, block[whole:n])
	}
}

// lastWholeRune gives the length of block without a character that the block's end cuts in two.
func lastWholeRune(block []byte) int {
	for back := 1; back <= utf8.UTFMax && back <= len(block); back++ {
		if b := block[len(block)-back]; utf8.RuneStart(b) {
			if utf8.FullRune(block[len(block)-back:]) {
				return len(block)
			}
			return len(block) - back
		}
	}
	return len(block)
}

func decoder(name string) encoding.Encoding {
	switch name {
	case utf16Little:
		return unicode.UTF16(unicode.LittleEndian, unicode.UseBOM)
	case utf16Big:
		return unicode.UTF16(unicode.BigEndian, unicode.UseBOM)
	case windows1252:
		return charmap.Windows1252
	}
	return unicode.UTF8BOM
}

// plainText gives the file's text as plain UTF-8: the file itself where it is that already, else a copy in the scratch
// folder. Bytes pass through here, rows do not. A path with characters that are a pattern to the engine is copied too: it
// would read other files under it; and one that is no text, which no statement can hold.
func (s *Source) plainText(c Candidate, scratch scratch) error {
	plain, err := filepath.Abs(c.Path)
	if err != nil {
		return fmt.Errorf("%s: %w", c.Path, err)
	}
	if s.Encoding == utf8Text && c.Member == "" && !c.gzipped() && utf8.ValidString(plain) && !strings.ContainsAny(plain, `*?[]{}\`) {
		s.Plain = plain
		return nil
	}
	r, closeFile, err := c.open()
	if err != nil {
		return err
	}
	defer closeFile()
	return s.rewrite(transform.NewReader(r, lenient(s.Encoding)), scratch, "plain")
}

// scratch is where copies go: a folder, and the number of the source in it.
type scratch struct {
	folder string
	number int
}

// rewrite makes what r gives the source's plain text, as a file of the scratch folder named for what was done. A copy that
// it replaces goes.
func (s *Source) rewrite(r io.Reader, to scratch, step string) error {
	target := filepath.Join(to.folder, fmt.Sprintf("%s-%d.csv", step, to.number))
	out, err := os.OpenFile(target, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return fmt.Errorf("scratch copy of %s: %w", s.Name, err)
	}
	if _, err = io.Copy(out, r); errors.Join(err, out.Close()) != nil {
		return fmt.Errorf("scratch copy of %s: %w", s.Name, errors.Join(err, os.Remove(target)))
	}
	if s.copied {
		if err := os.Remove(s.Plain); err != nil {
			return fmt.Errorf("scratch copy of %s: %w", s.Name, err)
		}
	}
	s.Plain, s.copied = target, true
	return nil
}

// transformed is rewrite for the plain text itself, gone through by t.
func (s *Source) transformed(t transform.Transformer, to scratch, step string) error {
	f, err := os.Open(s.Plain)
	if err != nil {
		return fmt.Errorf("%s: cannot be read: %w", s.Name, err)
	}
	defer f.Close()
	return s.rewrite(transform.NewReader(f, t), to, step)
}

// lineFeeds turns carriage returns, alone or before a line feed, into line feeds.
type lineFeeds struct{ transform.NopResetter }

func (lineFeeds) Transform(dst, src []byte, atEOF bool) (written, read int, err error) {
	for read < len(src) {
		if written == len(dst) {
			return written, read, transform.ErrShortDst
		}
		b, width := src[read], 1
		if b == '\r' {
			if read+1 == len(src) && !atEOF {
				return written, read, transform.ErrShortSrc
			}
			b = '\n'
			if read+1 < len(src) && src[read+1] == '\n' {
				width = 2
			}
		}
		dst[written] = b
		written, read = written+1, read+width
	}
	return written, read, nil
}

// lenient decodes UTF-16 with or without a mark; the mark was looked at before.
func lenient(name string) transform.Transformer {
	switch name {
	case utf16Little:
		return unicode.BOMOverride(unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM).NewDecoder())
	case utf16Big:
		return unicode.BOMOverride(unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM).NewDecoder())
	}
	return decoder(name).NewDecoder()
}
