package queries

import (
	"database/sql"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
	"tripwake/queries/views"
)

// A documented view hides no block and no keyword; a personal column is one of the contract and in no view.
func TestDocumentedNames(t *testing.T) {
	names := DocumentedNames()
	if len(slices.Compact(slices.Sorted(slices.Values(names)))) != len(names) {
		t.Error("a view is listed twice")
	}
	for _, name := range names {
		if _, ok := views.Text(name); ok || slices.Contains([]string{"facts", "fact_shapes", "windows", "answer", "zone_changes"}, name) {
			t.Errorf("%s: a block has the name too", name)
		}
	}
	for _, name := range personal {
		table, column, _ := strings.Cut(name, ".")
		found, ok := records.Find(table)
		if _, is := found.Column(column); !ok || !is {
			t.Errorf("%s: is no column of the contract", name)
		}
		for _, v := range documentedViews() {
			for _, c := range v.columns {
				if strings.Contains(c.as, column) || c.name == column {
					t.Errorf("%s.%s shows %s", v.name, c.name, name)
				}
			}
		}
	}
}

// Every derived view can be made and every column of it says what it means.
func TestViewsOfAnEmptyStore(t *testing.T) {
	r := newFixture(t).reader()
	all, err := r.Views(t.Context())
	if err != nil || len(all) != len(DocumentedNames()) {
		t.Fatalf("%d views, %v", len(all), err)
	}
	for i, v := range all {
		if v.Meaning == "" || len(v.Columns) == 0 {
			t.Errorf("%s: %d columns, %q", v.Name, len(v.Columns), v.Meaning)
		}
		for _, c := range v.Columns {
			if c.Type == "" || i >= len(records.Tables()) && c.Meaning == "" {
				t.Errorf("%s.%s: type %q, meaning %q", v.Name, c.Name, c.Type, c.Meaning)
			}
		}
	}
	if _, err := r.Views(t.Context(), "trips"); err == nil {
		t.Error("a block was shown as a view")
	}
}

// local_time agrees with Go's clocks at random moments and at both sides of every change of zones with odd rules.
func TestLocalTime(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, name := range []string{"America/Chicago", "Australia/Lord_Howe", "Asia/Kathmandu", "UTC"} {
		f := newFixture(t)
		zone, err := time.LoadLocation(name)
		if err != nil {
			t.Fatal(err)
		}
		f.exec(localTimeMacro(zone))
		var moments []time.Time
		for _, s := range zoneStretches(zone) {
			moments = append(moments, s.from, s.from.Add(-time.Second), s.from.Add(time.Second))
		}
		for range 50 {
			moments = append(moments, time.Unix(random.Int64N(4e9), 0))
		}
		var literals []string
		for _, at := range moments[2:] {
			literals = append(literals, "timestamp '"+at.UTC().Format(utcLayout)+"'")
		}
		r := f.reader()
		got, err := collect(t.Context(), r, "select local_time(unnest(["+strings.Join(literals, ", ")+"]))", func(rows *sql.Rows) (at time.Time, err error) {
			err = rows.Scan(&at)
			return at, err
		})
		if err != nil || len(got) != len(literals) {
			t.Fatal(len(got), err)
		}
		for i, at := range moments[2:] {
			if want := at.In(zone).Format(utcLayout); got[i].Format(utcLayout) != want {
				t.Errorf("%s: %v, want %s", name, got[i], want)
			}
		}
	}
}

// An answer is what the engine gave: order, types, empties; a question refused or failed says so in one line.
func TestAsk(t *testing.T) {
	f := newFixture(t)
	f.trip("A", cells{"departed_base_at": at(20)})
	if err := f.store.Close(); err != nil {
		t.Fatal(err)
	}
	s, err := store.OpenReadOnly(t.Context(), f.store.Path(), store.Options{Sealed: true})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	r, err := Open(t.Context(), s, Defaults())
	if err != nil {
		t.Fatal(err)
	}
	a, err := r.Ask(t.Context(), "select transport_id, 1.5 as n, null as e from transports")
	if err != nil || a.Rows != 1 || len(a.Columns) != 3 || a.Columns[0].Number || !a.Columns[1].Number {
		t.Fatalf("%+v, %v", a, err)
	}
	for _, text := range []string{"select * from trips", "select x from transports", "select 1 + 'a'", strings.Repeat(" ", longestStatement) + "select 1",
		"select " + strings.Repeat("(", 20000) + "1" + strings.Repeat(")", 20000), "select " + strings.Repeat("not ", 20000) + "1"} {
		if _, err := r.Ask(t.Context(), text); err == nil || strings.Contains(err.Error(), "\n") || strings.Contains(err.Error(), s.Path()) {
			t.Errorf("%.50s: %v", text, err)
		}
	}
}
