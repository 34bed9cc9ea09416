package queries

import (
	"crypto/hmac"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"testing"
)

func disclosure() Disclosure {
	d := DefaultDisclosure()
	d.Key = []byte(strings.Repeat("k", 32))
	return d
}

// released reads one column of the released transports, empty cells as "-", sorted.
func (f *fixture) released(r *Reader, d Disclosure, column string) []string {
	f.t.Helper()
	var cells []string
	t := ReleasedTables(d)[0]
	at := slices.IndexFunc(t.Columns, func(c ResearchColumn) bool { return c.Name == column })
	if at < 0 {
		f.t.Fatalf("no column %s", column)
	}
	err := r.Batches(f.t.Context(), t, 2, func(b Batch) error {
		for row, filled := range b.Columns[at].Valid {
			switch v := b.Columns[at]; {
			case !filled:
				cells = append(cells, "-")
			case v.Texts != nil:
				cells = append(cells, v.Texts[row])
			case v.Counts != nil:
				cells = append(cells, fmt.Sprint(v.Counts[row]))
			default:
				cells = append(cells, fmt.Sprint(v.Flags[row]))
			}
		}
		return nil
	})
	if err != nil {
		f.t.Fatal(err)
	}
	slices.Sort(cells)
	return cells
}

// The engine's HMAC is that of the standard library (RFC 2104), and not the one that reports call transports by.
func TestPseudonymsAreHMAC(t *testing.T) {
	f := newFixture(t)
	f.trip("Ä 1", cells{"patient_key": q("P''1")})
	r, d := f.reader(), disclosure()
	d.K = 1
	if _, err := r.Release(t.Context(), d); err != nil {
		t.Fatal(err)
	}
	code := func(letter, text string) string {
		inner := hmac.New(sha256.New, d.Key)
		inner.Write([]byte("extract"))
		mac := hmac.New(sha256.New, inner.Sum(nil))
		mac.Write([]byte(text))
		return letter + hex.EncodeToString(mac.Sum(nil))[:16]
	}
	if got, want := f.released(r, d, "transport"), code("T", "transport Ä 1"); got[0] != want {
		t.Errorf("transport %v, want %s", got, want)
	}
	if got, want := f.released(r, d, "patient"), code("P", "patient P'1"); got[0] != want {
		t.Errorf("patient %v, want %s", got, want)
	}
}

// Rows come in the order of their codes, whatever the order of keys and times.
func TestReleasedInOrderOfCodes(t *testing.T) {
	f := newFixture(t)
	for i := range 40 {
		f.trip(fmt.Sprintf("T%02d", i), nil)
	}
	r, d := f.reader(), disclosure()
	if _, err := r.Release(t.Context(), d); err != nil {
		t.Fatal(err)
	}
	var codes []string
	if err := r.Batches(t.Context(), ReleasedTables(d)[0], 7, func(b Batch) error {
		codes = append(codes, b.Columns[0].Texts[:b.Rows]...)
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	if len(codes) != 40 || !slices.IsSorted(codes) {
		t.Errorf("%d rows, in order %v", len(codes), slices.IsSorted(codes))
	}
}

// Six alike and one of another vehicle, weight and diagnosis. K = 3: what is alone is told less exactly until it is hidden
// or left out; the six stay as they are.
func TestSmallClassesAreToldLessExactly(t *testing.T) {
	f := newFixture(t)
	alike := cells{"sex": q("female"), "vehicle": q("ground"), "diagnosis": q("cardiac"), "weight": "3000", "age_at_call": "2", "gestation": "39"}
	for i := range 6 {
		f.trip(fmt.Sprint("A", i), alike)
	}
	for i, weight := range []string{"900", "1200", "2000"} {
		f.trip(fmt.Sprint("B", i), cells{"sex": q("male"), "vehicle": q("rotor"), "diagnosis": q("surgical"), "weight": weight, "age_at_call": "2", "gestation": "39"})
	}
	f.trip("C", cells{"sex": q("male"), "vehicle": q("fixed_wing"), "diagnosis": q("infection"), "weight": "3000", "age_at_call": "300", "gestation": "24"})
	r, d := f.reader(), disclosure()
	d.K = 3
	c, err := r.Release(t.Context(), d)
	if err != nil {
		t.Fatal(err)
	}
	if c.Asked != 10 || c.Released != 9 || c.LeftOut != 1 || c.SmallestBefore != 1 || c.InSmallBefore != 4 || c.Smallest != 3 || c.InSmall != 0 {
		t.Errorf("%+v", c)
	}
	for column, want := range map[string]string{
		"weight_band": "2500 to under 5000 g 2500 to under 5000 g 2500 to under 5000 g 2500 to under 5000 g 2500 to under 5000 g 2500 to under 5000 g withheld withheld withheld",
		"vehicle":     "ground ground ground ground ground ground rotor rotor rotor",
		"diagnosis":   "cardiac cardiac cardiac cardiac cardiac cardiac surgical surgical surgical",
		"year":        "2026 2026 2026 2026 2026 2026 2026 2026 2026",
	} {
		if got := strings.Join(f.released(r, d, column), " "); got != want {
			t.Errorf("%s: %s", column, got)
		}
	}
	classes, err := collect(t.Context(), r, "select min(n)::varchar from (select count(*) as n from disclosed group by "+strings.Join(quasi, ", ")+")", scanText)
	if err != nil || classes[0] != "3" {
		t.Errorf("smallest class %v, %v", classes, err)
	}
}

// A diagnosis of fewer transports than asked for counts as other; one of as many stays.
func TestRareDiagnoses(t *testing.T) {
	f := newFixture(t)
	for i := range 3 {
		f.trip(fmt.Sprint("A", i), cells{"diagnosis": q("metabolic")})
	}
	for i := range 2 {
		f.trip(fmt.Sprint("B", i), cells{"diagnosis": q("cardiac")})
	}
	f.trip("C", cells{"diagnosis": q("other")})
	r, d := f.reader(), disclosure()
	d.K = 3
	if _, err := r.Release(t.Context(), d); err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(f.released(r, d, "diagnosis"), " "); got != "metabolic metabolic metabolic other other other" {
		t.Errorf("got %s", got)
	}
}

// The population of a temperature measure tells whether a child is under 29 days: where the age is withheld, so is the measure.
func TestWithheldAgeIsNotToldByAMeasure(t *testing.T) {
	f := newFixture(t)
	for i, age := range []string{"1", "400", "5000"} {
		id := fmt.Sprint("A", i)
		f.trip(id, cells{"age_at_call": age})
		f.add("assessments", cells{"transport_id": q(id), "stage": q("receiving_arrival"), "temperature": "35"})
		f.trip("M"+id, cells{"age_at_call": age})
	}
	r, d := f.reader(), disclosure()
	if _, err := r.Release(t.Context(), d); err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(slices.Compact(f.released(r, d, "age_group")), " "); got != Withheld {
		t.Fatalf("ages told: %s", got)
	}
	if got := strings.Join(slices.Compact(f.released(r, d, "hypothermia_on_arrival")), " "); got != "-" {
		t.Errorf("hypothermia tells the age: %s", got)
	}
	if err := r.Batches(t.Context(), ReleasedTables(d)[5], 100, func(b Batch) error {
		for _, measure := range b.Columns[1].Texts {
			if measure == "hypothermia_on_arrival" {
				t.Error("what is missing tells the age")
			}
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
}

func TestCohortBoundsTheRelease(t *testing.T) {
	f := newFixture(t)
	for _, id := range []string{"A", "B", "C"} {
		f.trip(id, cells{"vehicle": q(map[string]string{"A": "ground", "B": "rotor", "C": "fixed_wing"}[id])})
	}
	r, d := f.reader(), disclosure()
	d.K, d.Members = 1, []bool{false, true, false}
	c, err := r.Release(t.Context(), d)
	if got := f.released(r, d, "vehicle"); err != nil || c.Asked != 1 || !slices.Equal(got, []string{"rotor"}) {
		t.Errorf("%+v, %v, %v", c, got, err)
	}
	d.Members = []bool{false, false, false}
	if _, err := r.Release(t.Context(), d); err == nil || !strings.Contains(err.Error(), "nothing can be released") {
		t.Errorf("an empty cohort: %v", err)
	}
}

// A cohort by rules bounds the extract to the transports that the study would take.
func TestCohortMembersAreReleased(t *testing.T) {
	f := newFixture(t)
	f.trip("Z", cells{"vehicle": q("ground"), "age_at_call": "3"})
	f.trip("A", cells{"vehicle": q("rotor"), "age_at_call": "3"})
	f.trip("M", cells{"vehicle": q("rotor"), "age_at_call": "900"})
	f.trip("B", cells{"disposition": q("declined"), "vehicle": q("fixed_wing")})
	r, d, study := f.reader(), disclosure(), DefaultStudy()
	var err error
	if study.Include, study.Exclude, err = ParseCohort(`{"include":[{"name":"c","column":"completed","is":true}],"exclude":[{"name":"n","column":"age_band","is":"neonatal"}]}`); err != nil {
		t.Fatal(err)
	}
	d.K = 1
	if d.Members, err = r.CohortMembers(t.Context(), study); err != nil {
		t.Fatal(err)
	}
	c, err := r.Release(t.Context(), d)
	if got := f.released(r, d, "age_group"); err != nil || c.Asked != 1 || !slices.Equal(got, []string{"365 to under 1826 d"}) {
		t.Errorf("%+v, %v, %v: want the helicopter transport of the older child", c, got, err)
	}
}

func TestDisclosureIsValidated(t *testing.T) {
	for key, change := range map[string]func(*Disclosure){
		"extract_k":             func(d *Disclosure) { d.K = 0 },
		"extract_age_limits":    func(d *Disclosure) { d.AgeLimits = []float64{29, 7} },
		"extract_weight_limits": func(d *Disclosure) { d.WeightLimits = []float64{0} },
		"key_file":              func(d *Disclosure) { d.Key = []byte("short") },
	} {
		d := disclosure()
		change(&d)
		if _, err := newFixture(t).reader().Release(t.Context(), d); err == nil || !strings.HasPrefix(err.Error(), key) {
			t.Errorf("%s: %v", key, err)
		}
	}
}

// A value on a limit belongs to the band above it; no limits give one band.
func TestReleasedBands(t *testing.T) {
	f := newFixture(t)
	for weight, want := range map[string]string{"999.9999999999": "1000 to under 2000 g", "999.9": "under 1000 g", "1000": "1000 to under 2000 g", "2000": "2000 g and more", "null": NotRecorded} {
		var got string
		if err := f.store.DB().QueryRow("select "+bandSQL("weight", "g", []float64{1000, 2000})+" from (select $1::double as weight)", sql.NullString{String: weight, Valid: weight != "null"}).Scan(&got); err != nil || got != want {
			t.Errorf("%s: %q, %v, want %q", weight, got, err, want)
		}
	}
	if got := bands("g", nil); !slices.Equal(got, []string{"any"}) {
		t.Errorf("no limits: %v", got)
	}
}

// Every text column of the record contract is looked for, but those that name units, sizes and measures.
func TestIdentifiersOfEveryTable(t *testing.T) {
	f := newFixture(t)
	f.trip("T-1", cells{"patient_key": q(" P-1 "), "superseded": "true"})
	f.add("events", cells{"transport_id": q("T-1"), "kind": q("other"), "narrative": q("fell")})
	f.add("cylinders", cells{"transport_id": q("T-1"), "gas": q("air"), "size": q("D"), "cylinder_id": q("C-1")})
	f.exec("insert into ledger.refused_cells values (1, 1, 'weight', 'unreadable', 'Smith')")
	f.exec("insert into ledger.refused_rows values (1, 1, 'kind', 'unknown_code', 'x', ['T-9', null])")
	found, err := f.reader().Identifiers(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var texts []string
	for _, one := range found {
		texts = append(texts, one.Place+" "+one.Text)
	}
	for _, want := range []string{"transports.patient_key P-1", "events.narrative fell", "cylinders.cylinder_id C-1", "refused cells Smith", "refused rows T-9", "transports.ventilator_id V"} {
		if !slices.Contains(texts, want) {
			t.Errorf("%q is not among %v", want, texts)
		}
	}
	if slices.Contains(texts, "cylinders.size D") {
		t.Error("a cylinder's size names nobody")
	}
}
