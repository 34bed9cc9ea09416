package intake_test

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// The engine must deliver as many records as the bytes hold, for whatever quotes and line ends stand in them: the load
// holds one number against the other.
func TestRecordsAreCountedAsTheEngineReadsThem(t *testing.T) {
	st := openStore(t)
	random := rand.New(rand.NewPCG(1, 2))
	pieces := []string{"a", "b", ",", ",", "\"", "\"x\"", "\"x,y\"", "\"p\nq\"", "\"\"", "\n", "\n", "\n", " ", "é"}
	unclosed, compared := 0, 0
	for range 150 {
		body := ""
		for range random.IntN(14) {
			body += pieces[random.IntN(len(pieces))]
		}
		for _, end := range []string{"\n", "\r\n"} {
			text := strings.ReplaceAll("transport_id,team\n"+body, "\n", end)
			s, err := inspect(t, write(t, t.TempDir(), "transports.csv", []byte(text)))
			if err != nil {
				unclosed++
				if !strings.Contains(err.Error(), "a quote is opened and never closed") {
					t.Errorf("%q: %v", body, err)
				}
				continue
			}
			compared++
			if rows, rejected := stage(t, st, s); int64(len(rows)+len(rejected)) != s.Records {
				t.Errorf("%q: %d records counted, the engine delivers %d and rejects %d", body, s.Records, len(rows), len(rejected))
			}
		}
	}
	if unclosed == 0 || compared < 200 {
		t.Errorf("%d files compared, %d with an unclosed quote: the cases are not what they should be", compared, unclosed)
	}
}

func TestBlankAndRejectedRecordsKeepTheirNumbers(t *testing.T) {
	s := inspected(t, "transports.csv", []byte("transport_id,team\nT1,a\n\nT2,b,c\n\r\n\nT3\n\"T4\",\"a\nb\"\nT5,\"a\n\nb\",x\nT6,z"))
	if want := []int64{3, 5, 6}; !slices.Equal(s.Blank, want) || s.Records != 6 {
		t.Errorf("blank %v of %d records, want %v of 6", s.Blank, s.Records, want)
	}
	rows, rejected := stage(t, openStore(t), s)
	if want := []int64{4, 7, 9}; !slices.Equal(rejected, want) {
		t.Errorf("rejected records %v, want %v", rejected, want)
	}
	if len(rows) != 3 || rows[1][1] != "a\nb" || rows[2][0] != "T6" {
		t.Errorf("rows %q", rows)
	}
}

func TestVeryLongCells(t *testing.T) {
	st := openStore(t)
	for name, cell := range map[string]string{
		"plain":                strings.Repeat("x", 3<<20),
		"quoted":               `"` + strings.Repeat("y", 3<<20) + `"`,
		"line ends":            `"` + strings.Repeat("\n", 5<<20) + `"`,
		"escaped quotes":       `"` + strings.Repeat(`""`, 3<<20) + `"`,
		"ends with its block":  strings.Repeat("z", 2<<20-len("transport_id,team\nT1,")),
		"CRLF across blocks":   strings.Repeat("z", 1<<20-len("transport_id,team\nT1,")-1) + "\r\n",
		"CRLF, long":           strings.Repeat("z", 2<<20) + "\r\n",
		"quote at block's end": `"` + strings.Repeat("q", 1<<20-len("transport_id,team\nT1,")-2) + `"""`,
	} {
		t.Run(name, func(t *testing.T) {
			s := inspected(t, "transports.csv", []byte("transport_id,team\nT1,"+cell))
			if s.Records != 1 {
				t.Fatalf("%d records, want 1", s.Records)
			}
			rows, rejected := stage(t, st, s)
			want := strings.Trim(cell, "\"\r")
			if strings.HasSuffix(cell, "\r\n") {
				want = strings.TrimSuffix(cell, "\r\n")
			}
			if strings.Contains(cell, `""`) {
				want = strings.ReplaceAll(cell[1:len(cell)-1], `""`, `"`)
			}
			if len(rows) != 1 || len(rejected) != 0 || rows[0][1] != want {
				t.Errorf("%d rows, %d rejected; the cell is not as it was", len(rows), len(rejected))
			}
		})
	}
}
