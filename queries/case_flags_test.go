package queries

import (
	"slices"
	"testing"
)

// Every kind of row that belongs to a transport counts with its flags, two of one row each; those of other transports and of
// rows without a transport do not.
func TestCaseFlags(t *testing.T) {
	f := newFixture(t)
	flags := cells{"flags": q("clock_repeated")}
	f.trip("A", flags)
	f.trip("B", nil)
	for _, table := range []string{"settings", "readings", "alarms", "power"} {
		row := cells{"trip": q("A"), "flags": q("clock_repeated outside_window"), "recorded_at": at(60), "device_id": q("V")}
		switch table {
		case "readings":
			row["quantity"], row["value"] = q("pip"), "20"
		case "power":
			row["source"] = q("battery")
		case "alarms":
			delete(row, "recorded_at")
			row["started_at"], row["condition"] = at(60), q("apnea")
		}
		f.add(table, row)
		row["trip"] = "null"
		f.add(table, row)
	}
	f.add("cylinders", cells{"transport_id": q("A"), "gas": q("oxygen"), "flags": q("late")})
	f.add("events", cells{"transport_id": q("A"), "kind": q("other"), "flags": q("late")})
	f.add("events", cells{"transport_id": q("B"), "kind": q("other"), "flags": q("late")})
	got, err := f.reader().CaseFlags(t.Context(), []string{"A"})
	want := []CaseFlag{{"A", "transports", "clock_repeated", 1}}
	for _, table := range []string{"alarms", "cylinders", "events", "power", "readings", "settings"} {
		if table == "cylinders" || table == "events" {
			want = append(want, CaseFlag{"A", table, "late", 1})
			continue
		}
		want = append(want, CaseFlag{"A", table, "clock_repeated", 1}, CaseFlag{"A", table, "outside_window", 1})
	}
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("got %v, %v, want %v", got, err, want)
	}
}
