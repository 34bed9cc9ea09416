package intake_test

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"strings"
	"testing"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/layout"
)

const sample = "transport_id,team\nT1,Zürich\nT2,\"a,b\"\nT3,œ€\n"

var sampleRows = [][]string{{"T1", "Zürich"}, {"T2", "a,b"}, {"T3", "œ€"}}

func encoded(t *testing.T, e encoding.Encoding, text string) []byte {
	t.Helper()
	b, err := e.NewEncoder().Bytes([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func zipped(t *testing.T, content []byte) []byte {
	t.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	if _, err := w.Write(content); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestEncodings(t *testing.T) {
	st := openStore(t)
	little, big := unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM), unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)
	for _, c := range []struct {
		name, file, encoding string
		content              []byte
	}{
		{"UTF-8", "transports.csv", "utf-8", []byte(sample)},
		{"UTF-8 with mark", "transports.csv", "utf-8 with mark", []byte("\xef\xbb\xbf" + sample)},
		{"UTF-16 little endian", "transports.csv", "utf-16le", encoded(t, little, sample)},
		{"UTF-16 big endian", "transports.csv", "utf-16be", encoded(t, big, sample)},
		{"UTF-16 little endian with mark", "transports.csv", "utf-16le", append([]byte{0xFF, 0xFE}, encoded(t, little, sample)...)},
		{"UTF-16 big endian with mark", "transports.csv", "utf-16be", append([]byte{0xFE, 0xFF}, encoded(t, big, sample)...)},
		{"Windows-1252", "transports.csv", "windows-1252", encoded(t, charmap.Windows1252, sample)},
		{"gzip", "transports.csv.gz", "utf-8", zipped(t, []byte(sample))},
		{"gzip of UTF-16", "transports.csv.gz", "utf-16be", zipped(t, encoded(t, big, sample))},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := inspected(t, c.file, c.content)
			sum := sha256.Sum256(c.content)
			if s.Encoding != c.encoding || s.Records != 3 || s.SHA256 != hex.EncodeToString(sum[:]) || s.Bytes != int64(len(c.content)) {
				t.Errorf("%+v", s)
			}
			if rows, _ := stage(t, st, s); !slices.EqualFunc(rows, sampleRows, slices.Equal[[]string]) {
				t.Errorf("rows %q, want %q", rows, sampleRows)
			}
		})
	}
}

// A character that the end of a block cuts in two is still one, at whichever of its bytes the cut falls.
func TestCharactersAcrossBlocks(t *testing.T) {
	const block = 1 << 20
	st := openStore(t)
	for cut := range 4 {
		head := "transport_id,team\nT1,"
		text := head + strings.Repeat("a", block-len(head)-cut) + "𝄞ü\nT2,b\n"
		s := inspected(t, "transports.csv", []byte(text))
		rows, _ := stage(t, st, s)
		if s.Encoding != "utf-8" || len(rows) != 2 || !strings.HasSuffix(rows[0][1], "a𝄞ü") {
			t.Errorf("cut after %d bytes: %s, %d rows", cut, s.Encoding, len(rows))
		}
		latin := encoded(t, charmap.Windows1252, head+strings.Repeat("a", block-len(head)-cut)+"ü\nT2,é\n")
		if s := inspected(t, "transports.csv", latin); s.Encoding != "windows-1252" {
			t.Errorf("cut after %d bytes: Windows-1252 is taken for %s", cut, s.Encoding)
		}
	}
}

func TestDelimitersAndLineEnds(t *testing.T) {
	st := openStore(t)
	for name, text := range map[string]string{
		"comma":                     sample,
		"semicolon":                 "transport_id;team\nT1;Zürich\nT2;a,b\nT3;œ€\n",
		"tab":                       "transport_id\tteam\nT1\tZürich\nT2\ta,b\nT3\tœ€\n",
		"bar":                       "transport_id|team\nT1|Zürich\nT2|a,b\nT3|œ€\n",
		"CRLF":                      strings.ReplaceAll(sample, "\n", "\r\n"),
		"CR":                        strings.ReplaceAll(sample, "\n", "\r"),
		"LF in the header, CRLF":    "transport_id,team\nT1,Zürich\r\nT2,\"a,b\"\r\nT3,œ€\r\n",
		"CRLF in the header, LF":    "transport_id,team\r\nT1,Zürich\nT2,\"a,b\"\nT3,œ€\n",
		"a lone CR":                 "transport_id,team\nT1,Zürich\rT2,\"a,b\"\nT3,œ€\n",
		"no last line end":          strings.TrimSuffix(sample, "\n"),
		"no last line end, CR":      strings.ReplaceAll(strings.TrimSuffix(sample, "\n"), "\n", "\r"),
		"blank lines":               "transport_id,team\n\nT1,Zürich\n\n\nT2,\"a,b\"\nT3,œ€\n\n\n",
		"blank lines, CRLF":         "transport_id,team\r\n\r\nT1,Zürich\r\n\r\nT2,\"a,b\"\r\nT3,œ€\r\n\r\n",
		"all quoted":                "\"transport_id\",\"team\"\n\"T1\",\"Zürich\"\n\"T2\",\"a,b\"\n\"T3\",\"œ€\"\n",
		"header in capitals, blank": " Transport ID , TEAM\nT1,Zürich\nT2,\"a,b\"\nT3,œ€\n",
	} {
		t.Run(name, func(t *testing.T) {
			s := inspected(t, "transports.csv", []byte(text))
			rows, rejected := stage(t, st, s)
			if s.Records != 3 || len(rejected) != 0 || !slices.EqualFunc(rows, sampleRows, slices.Equal[[]string]) {
				t.Errorf("%d records counted, rows %q, rejected %v", s.Records, rows, rejected)
			}
		})
	}
}

func TestLineEndsInsideQuotes(t *testing.T) {
	st := openStore(t)
	for _, c := range []struct{ text, want string }{
		{"transport_id,team\nT1,\"a\nb\"\n", "a\nb"},
		{"transport_id,team\r\nT1,\"a\nb\"\r\n", "a\nb"},
		{"transport_id,team\r\nT1,\"a\r\nb\"\r\n", "a\r\nb"},
		{"transport_id,team\nT1,\"a\rb\"\n", "a\rb"},
		{"transport_id,team\nT1,\"a\"\"b\"\n", "a\"b"},
		{"transport_id,team\nT1,3.5\" tube\n", "3.5\" tube"},
	} {
		s := inspected(t, "transports.csv", []byte(c.text))
		rows, _ := stage(t, st, s)
		if s.Records != 1 || len(rows) != 1 || rows[0][1] != c.want {
			t.Errorf("%q: %d records, rows %q, want %q", c.text, s.Records, rows, c.want)
		}
	}
}

func TestHeaders(t *testing.T) {
	for _, c := range []struct{ header, column, staged, unit string }{
		{"transport_id,start_pressure (psi)", "start_pressure", "c1", "psi"},
		{"transport_id,Start Pressure [psi]", "start_pressure", "c1", "psi"},
		{"transport_id,start_pressure (cm[H2O])", "start_pressure", "c1", "cm[H2O]"},
		{"transport_id,start_pressure [cm[H2O]]", "start_pressure", "c1", "cm[H2O]"},
		{"transport_id,start-temperature [degF]", "start_temperature", "c1", "degF"},
		{"transport_id,start_temperature [[degF]]", "start_temperature", "c1", "[degF]"},
		{"transport_id,start_mass [lb_av]", "start_mass", "c1", "[lb_av]"},
		{"transport_id,start_mass (lb_av)", "start_mass", "c1", "lb_av"},
		{"transport_id,start_mass", "start_mass", "c1", ""},
		{"transport_id,\"Note\nof the crew\",gas", "gas", "c2", ""},
		{"transport_id,\"say \"\"x\"\"\",gas", "gas", "c2", ""},
	} {
		s := inspected(t, "cylinders.csv", []byte(c.header+"\n"))
		staged, unit, ok := s.Column(c.column)
		if !ok || staged != c.staged || unit != c.unit {
			t.Errorf("%q: column %s is %q in %q, want %q in %q", c.header, c.column, staged, unit, c.staged, c.unit)
		}
	}
	s := inspected(t, "cylinders.csv", []byte("transport_id,\"Note\nof the crew\",x'); drop table y; --\n"))
	if want := []string{"Note\nof the crew", "x'); drop table y; --"}; !slices.Equal(s.Unread(), want) {
		t.Errorf("unread %q, want %q", s.Unread(), want)
	}
}

func TestFilesThatAreRefused(t *testing.T) {
	for _, c := range []struct{ name, file, content, want string }{
		{"empty", "transports.csv", "", "is empty"},
		{"no known column", "transports.csv", "a,b\n1,2\n", "record 1: the header names no column of table transports"},
		{"a column's name among the records", "transports.csv", "a,b\n1,team\n2,3\n", "record 1: the header names no column"},
		{"repeated column", "assessments.csv", "transport_id,spo2,SpO2 (%)\n", "record 1: column spo2 stands twice"},
		{"zero bytes at the start", "transports.csv", "transport_id,team\nT1,a\x00b\n", "holds zero bytes"},
		{"zero bytes far on", "transports.csv", "transport_id,team\n" + strings.Repeat("T1,aaaa\n", 1<<18) + "T1,a\x00b\n", "holds zero bytes"},
		{"zero bytes after Windows-1252", "transports.csv", "transport_id,team\nT1,\xe9\n" + strings.Repeat("T1,aaaa\n", 1<<10) + "T1,a\x00b\n", "holds zero bytes"},
		{"zero in UTF-16", "transports.csv", "\xff\xfe" + string(encoded(t, unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM), "transport_id\nT\x00\n")), "holds zero bytes"},
		{"open quote", "transports.csv", "transport_id,team\nT1,a\nT2,\"b\nT3,c\n", "record 3: a quote is opened and never closed"},
		{"broken header", "transports.csv", "transport_id,\"a\"b\nT1,c\n", "record 1: something stands after a quoted cell of the header"},
		{"no gzip", "transports.csv.gz", sample, "no gzip file"},
		{"torn gzip", "transports.csv.gz", string(zipped(t, []byte(sample))[:40]), "unexpected EOF"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := inspect(t, write(t, t.TempDir(), c.file, []byte(c.content)))
			if err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
				t.Errorf("%v, want one line with %q; source %+v", err, c.want, s)
			}
			if err != nil && !strings.Contains(err.Error(), "transports") && !strings.Contains(err.Error(), "assessments") {
				t.Errorf("%v: names no file", err)
			}
		})
	}
}

func TestHeaderOnly(t *testing.T) {
	st := openStore(t)
	for _, text := range []string{"transport_id,team", "transport_id,team\n", "transport_id,team\r\n\r\n"} {
		s := inspected(t, "transports.csv", []byte(text))
		if rows, rejected := stage(t, st, s); s.Records != 0 || len(rows)+len(rejected) != 0 {
			t.Errorf("%q: %d records, %d rows, %d rejected", text, s.Records, len(rows), len(rejected))
		}
	}
}

// A name that is a pattern to the engine must not make it read another file.
func TestNamesThatAreNotPatterns(t *testing.T) {
	st := openStore(t)
	for _, odd := range []string{"alarms-[1].csv", "alarms-?.csv", "alarms-*.csv", "alarms-{1,2}.csv", "alarms-'; drop table x; --.csv", "alarms-\\1.csv"} {
		folder := t.TempDir()
		write(t, folder, "alarms-1.csv", []byte("device_id\nother\n"))
		found, err := intake.Find([]string{write(t, folder, odd, []byte("device_id\nright\n"))}, layout.Layout{})
		if err != nil {
			t.Fatal(err)
		}
		s, err := intake.Inspect(found.Candidates[0], t.TempDir(), 0)
		if err != nil {
			t.Fatal(err)
		}
		if rows, _ := stage(t, st, s); len(rows) != 1 || rows[0][0] != "right" {
			t.Errorf("%s: rows %q", odd, rows)
		}
	}
}
