package queries

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline/store"
	"tripwake/pipeline/store/storetest"
)

// fixture is a store whose facts are worked out by hand in each test.
type fixture struct {
	t     *testing.T
	store *store.Store
	set   Settings
	row   int
}

func newFixture(t *testing.T) *fixture {
	t.Helper()
	s := storetest.Open(t, store.Options{})
	return &fixture{t: t, store: s, set: Defaults()}
}

// cells are the SQL literals of one row, by column.
type cells map[string]string

// add inserts one row; record numbers rise, so that a later row is the later record. identified tables are current unless
// the row says otherwise, log rows belong to the transport that they name unless it says otherwise.
func (f *fixture) add(table string, row cells) {
	f.t.Helper()
	f.row++
	row = maps.Clone(row)
	if _, ok := row["superseded"]; !ok && slices.Contains([]string{"transports", "devices", "events"}, table) {
		row["superseded"] = "false"
	}
	if _, ok := row["trip"]; !ok && slices.Contains([]string{"settings", "readings", "alarms", "power"}, table) && row["transport_id"] != "" {
		row["trip"] = row["transport_id"]
	}
	row["file_id"], row["record_no"] = "1", fmt.Sprint(f.row)
	names := slices.Sorted(maps.Keys(row))
	literals := make([]string, len(names))
	for i, n := range names {
		literals[i] = row[n]
		names[i] = store.Quote(n)
	}
	if table == "readings" {
		table = "single_readings" // readings is a view
	}
	f.exec(fmt.Sprintf("insert into kept.%s (%s) values (%s)", table, strings.Join(names, ", "), strings.Join(literals, ", ")))
	if store.HasQuarters(table) {
		f.exec(strings.Join(store.QuartersSQL("1"), ";"))
	}
}

func (f *fixture) exec(text string) {
	f.t.Helper()
	if _, err := f.store.DB().ExecContext(f.t.Context(), text); err != nil {
		f.t.Fatalf("%v in %s", err, text)
	}
}

// at is 10 March 2026, so many minutes after 12:00 UTC.
func at(minutes float64) string {
	moment := time.Date(2026, 3, 10, 12, 0, 0, 0, time.UTC).Add(time.Duration(minutes * float64(time.Minute)))
	return "timestamp '" + moment.Format("2006-01-02 15:04:05.999999") + "'"
}

func q(text string) string { return "'" + text + "'" }

// trip adds a completed transport of 10 March 2026: accepted at 12:00, at the patient 13:00, off at 14:00, handed over at
// 15:00, available at 16:00, so under way is minute 60 to 180 and its widened window minute -30 to 270.
func (f *fixture) trip(id string, more cells) {
	f.t.Helper()
	row := cells{
		"transport_id": q(id), "accepted_at": at(0), "at_patient_at": at(60), "departed_referring_at": at(120),
		"handed_over_at": at(180), "available_at": at(240), "ventilator_id": q("V"),
	}
	maps.Copy(row, more)
	f.add("transports", row)
}

// reader opens a reader over what was added so far.
func (f *fixture) reader() *Reader {
	f.t.Helper()
	r, err := Open(f.t.Context(), f.store, f.set)
	if err != nil {
		f.t.Fatal(err)
	}
	return r
}

// fact is one judged or left-out fact, written "x/t" or "out: reason".
func (f *fixture) facts(measure string) map[string]string {
	f.t.Helper()
	r := f.reader()
	question, ok := questionOf(measure)
	if !ok {
		f.t.Fatalf("no question for %s", measure)
	}
	months, err := r.Months(f.t.Context(), "", "")
	if err != nil {
		f.t.Fatal(err)
	}
	if err := r.establish(f.t.Context(), question, months); err != nil {
		f.t.Fatal(err)
	}
	return f.written(measure)
}

func (f *fixture) written(measure string) map[string]string {
	f.t.Helper()
	rows, err := f.store.DB().QueryContext(f.t.Context(), `select
		concat_ws(' ', transport_id, device, strftime(month, '%Y-%m')),
		coalesce('out: ' || left_out, concat_ws('/', round(x, 6), round(t, 6)))
		from facts where measure = $1 order by all`, measure)
	if err != nil {
		f.t.Fatal(err)
	}
	defer rows.Close()
	found := map[string]string{}
	for rows.Next() {
		var key, value string
		if err := rows.Scan(&key, &value); err != nil {
			f.t.Fatal(err)
		}
		if before, twice := found[key]; twice {
			value = before + " and " + value
		}
		found[key] = value
	}
	if err := rows.Err(); err != nil {
		f.t.Fatal(err)
	}
	return found
}

// want compares the facts of one measure with those worked out by hand.
func (f *fixture) want(measure string, want map[string]string) {
	f.t.Helper()
	if got := f.facts(measure); !maps.Equal(got, want) {
		f.t.Errorf("%s:\n got %v\nwant %v", measure, got, want)
	}
}

// rows reads any text as lines of cells, for blocks.
func (f *fixture) rows(text string) []string {
	f.t.Helper()
	r := f.reader()
	lines, err := collect(f.t.Context(), r, text, scanText)
	if err != nil {
		f.t.Fatal(err)
	}
	return lines
}

func zone(t *testing.T, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}
