package extract

import (
	"encoding/csv"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tripwake/queries"
)

// Nothing that was planted in any text column of any table is in any file, and no date and no hour.
func TestPlantedTextsStayBehind(t *testing.T) {
	p := plant(t, 30)
	out := filepath.Join(t.TempDir(), "x")
	s, err := Write(t.Context(), out, p.input())
	if err != nil {
		t.Fatal(err)
	}
	if s.Rows["transports"] != 30 || s.Rows["gas"] != 1 || s.Rows["alarms"] != 0 {
		t.Errorf("rows %v", s.Rows)
	}
	found := files(t, out)
	if got := slices.Sorted(maps.Keys(found)); !slices.Equal(got, slices.Sorted(slices.Values(s.Files))) || len(got) != 21 {
		t.Errorf("files %v", got)
	}
	for name, text := range found {
		for _, planted := range p.texts {
			if strings.Contains(strings.ToLower(text), strings.ToLower(planted)) && !strings.HasSuffix(name, ".arrow") {
				t.Errorf("%s holds %q", name, planted)
			}
		}
	}
	identifiers, err := p.input().Reader.Identifiers(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, planted := range p.texts[:6] {
		if !slices.ContainsFunc(identifiers, func(one queries.Identifying) bool { return one.Text == planted }) {
			t.Errorf("%q is not looked for", planted)
		}
	}
	for _, planted := range p.texts[9:] {
		if !slices.ContainsFunc(identifiers, func(one queries.Identifying) bool { return one.Text == planted }) {
			t.Errorf("%q is not looked for", planted)
		}
	}
}

// A program that lets something through writes nothing: whatever is planted into a column, and whichever column, the check
// finds it in the finished file and the files go.
func TestCheckFindsWhatIsLetThrough(t *testing.T) {
	p := plant(t, 12)
	identifiers, err := p.input().Reader.Identifiers(t.Context())
	if err != nil || len(identifiers) < 30 {
		t.Fatalf("%d identifiers, %v", len(identifiers), err)
	}
	for _, one := range identifiers {
		p.mustRefuse(t, one.Place, "transports", "urgency", func(v *queries.Values) { v.Texts[0] = one.Text })
	}
	for name, text := range map[string]string{"a date": "2026-03-10", "an hour": "at 08:17", "a word": "yes", "another form of code": "T123"} {
		p.mustRefuse(t, name, "transports", "transport", func(v *queries.Values) { v.Texts[0] = text })
		p.mustRefuse(t, name, "gas", "left_out", func(v *queries.Values) { v.Texts[0], v.Valid[0] = text, true })
	}
	p.exec("insert into kept.carried (transport_id, device_id, file_id, record_no) values ('Run-0', '7654321', 1, 1)")
	p.mustRefuse(t, "a key of digits", "transports", "patient_leg_time", func(v *queries.Values) { v.Numbers[0], v.Valid[0] = 7654321, true })
	p.mustRefuse(t, "seconds since 1970", "transports", "care_time", func(v *queries.Values) { v.Numbers[0] = 1773130663 })
}

// mustRefuse lets one cell through and expects that nothing is left of the extract.
func (p planted) mustRefuse(t *testing.T, what, table, column string, change func(*queries.Values)) {
	t.Helper()
	in, out := p.input(), filepath.Join(t.TempDir(), "x")
	at := columnAt(t, in.tables(), table, column)
	in.alter = func(name string, b queries.Batch) {
		if name == table {
			change(&b.Columns[at])
		}
	}
	if _, err := Write(t.Context(), out, in); err == nil || !strings.Contains(err.Error(), "column "+column) {
		t.Errorf("%s: %v", what, err)
	}
	for _, path := range []string{out, out + ".partial"} {
		if _, err := os.Stat(path); !os.IsNotExist(err) {
			t.Errorf("%s: %s is left behind", what, path)
		}
	}
}

// Each kind of file is looked at for itself: what one alone holds is found.
func TestEveryFileIsChecked(t *testing.T) {
	p := plant(t, 12)
	out := filepath.Join(t.TempDir(), "x")
	in := p.input()
	if _, err := Write(t.Context(), out, in); err != nil {
		t.Fatal(err)
	}
	identifiers, err := in.Reader.Identifiers(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	clean := files(t, out)
	for _, name := range []string{"transports.csv", "codebook.csv", "codebook.html", "manifest.json", "transports.parquet", "transports.arrow"} {
		// As long as what it replaces, so that binary files stay whole.
		text := strings.Replace(clean[name], "respiratory", "Site Betula", 1)
		if name == manifestFile {
			text = strings.Replace(clean[name], "legal finding", "Site Betula", 1)
		}
		if name == "transports.csv" {
			text = strings.Replace(clean[name], "cardiac", "Site Betula", 1)
		}
		if err := os.WriteFile(filepath.Join(out, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := Check(out, in.tables(), identifiers); text == clean[name] || err == nil || !strings.HasPrefix(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
		if err := os.WriteFile(filepath.Join(out, name), []byte(clean[name]), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := Check(out, in.tables(), identifiers); err != nil {
		t.Errorf("a clean extract: %v", err)
	}
}

// Names that are words of the descriptions give nothing away and stop nothing.
func TestWordsOfTheDescriptionsAreNoIdentifiers(t *testing.T) {
	p := plant(t, 12)
	p.exec("update kept.transports set team = 'cardiac', referring_site = 'transport', receiving_site = 'oxygen', ventilator_id = 'ground'")
	if _, err := Write(t.Context(), filepath.Join(t.TempDir(), "x"), p.input()); err != nil {
		t.Error(err)
	}
}

func TestSameStoreSameBytes(t *testing.T) {
	p := plant(t, 25)
	one, two := filepath.Join(t.TempDir(), "x"), filepath.Join(t.TempDir(), "y")
	for _, out := range []string{one, two} {
		if _, err := Write(t.Context(), out, p.input()); err != nil {
			t.Fatal(err)
		}
	}
	if !maps.Equal(files(t, one), files(t, two)) {
		t.Error("two runs gave different bytes")
	}
	for _, path := range []string{one, filepath.Join(one, "transports.parquet")} {
		info, err := os.Stat(path)
		if err != nil || info.Mode()&0o077 != 0 {
			t.Errorf("%s: %v, %v", path, info.Mode(), err)
		}
	}
}

// An earlier extract is replaced; a folder with anything else in it is left alone.
func TestFolders(t *testing.T) {
	p := plant(t, 12)
	out := filepath.Join(t.TempDir(), "x")
	for range 2 {
		if _, err := Write(t.Context(), out, p.input()); err != nil {
			t.Fatal(err)
		}
	}
	write := func(dir, name string) string {
		if err := os.MkdirAll(dir, 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte("{}"), 0o600); err != nil {
			t.Fatal(err)
		}
		return dir
	}
	foreign := write(filepath.Join(t.TempDir(), "y"), "manifest.json")
	for dir, words := range map[string]string{write(out, "thesis.doc"): `"thesis.doc"`, foreign: "holds no earlier extract"} {
		before := files(t, dir)
		if _, err := Write(t.Context(), dir, p.input()); err == nil || !strings.Contains(err.Error(), words) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", dir, err)
		}
		if !maps.Equal(before, files(t, dir)) {
			t.Errorf("%s was changed", dir)
		}
	}
}

// The codebook and the manifest say what the files hold, and no small count can be told from the codebook.
func TestCodebookAndManifest(t *testing.T) {
	p := plant(t, 30)
	out := filepath.Join(t.TempDir(), "x")
	if _, err := Write(t.Context(), out, p.input()); err != nil {
		t.Fatal(err)
	}
	found := files(t, out)
	rows, err := csv.NewReader(strings.NewReader(found["codebook.csv"])).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	counts := map[string]string{}
	for _, row := range rows[1:] {
		counts[row[0]+"."+row[1]] = row[8]
	}
	// 2 of 30 died: with 28 told, 2 would follow.
	if got := counts["transports.died_within_7_days"]; got != "true: withheld; false: withheld; empty: 0" {
		t.Errorf("died: %q", got)
	}
	if got := counts["transports.care_time"]; got != "filled: 30; empty: 0" {
		t.Errorf("care time: %q", got)
	}
	var m manifest
	if err := json.Unmarshal([]byte(found[manifestFile]), &m); err != nil {
		t.Fatal(err)
	}
	if m.Classes.Smallest != 30 || m.Classes.Released != 30 || m.Tables[0].Rows != 30 || len(m.Outputs) != 20 {
		t.Errorf("%+v", m)
	}
	for _, o := range m.Outputs {
		if sum, size, err := HashFile(filepath.Join(out, o.File)); err != nil || sum != o.SHA256 || size != o.Bytes {
			t.Errorf("%s: %s, %d, %v", o.File, sum, size, err)
		}
	}
}
