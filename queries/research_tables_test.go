package queries

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// lines reads a released table as text, code columns left out.
func (f *fixture) lines(r *Reader, d Disclosure, name string) []string {
	f.t.Helper()
	tables := ReleasedTables(d)
	t := tables[slices.IndexFunc(tables, func(t ReleasedTable) bool { return t.Name == name })]
	var lines []string
	if err := r.Batches(f.t.Context(), t, 3, func(b Batch) error {
		for row := range b.Rows {
			var cells []string
			for _, v := range b.Columns[1:] {
				cells = append(cells, v.text(row))
			}
			lines = append(lines, strings.Join(cells, " "))
		}
		return nil
	}); err != nil {
		f.t.Fatal(err)
	}
	return lines
}

func (v Values) text(row int) string {
	switch {
	case !v.Valid[row]:
		return "-"
	case v.Numbers != nil:
		return fmt.Sprintf("%.4g", v.Numbers[row])
	case v.Counts != nil:
		return fmt.Sprint(v.Counts[row])
	case v.Flags != nil:
		return fmt.Sprint(v.Flags[row])
	}
	return v.Texts[row]
}

func TestReleasedTablesByHand(t *testing.T) {
	f := newFixture(t)
	f.trip("A", cells{"planned_oxygen": "100", "planned_duration": "60"})
	f.add("settings", cells{"transport_id": q("A"), "recorded_at": at(70), "mode": q("cpap"), "interface": q("nasal"), "flow": "8", "fio2": "100"})
	f.add("settings", cells{"transport_id": q("A"), "recorded_at": at(90), "mode": q("simv"), "interface": q("tube"), "flow": "8", "fio2": "100"})
	f.add("alarms", cells{"transport_id": q("A"), "started_at": at(100), "ended_at": at(101), "condition": q("apnea"), "priority": q("high")})
	f.add("alarms", cells{"transport_id": q("A"), "started_at": at(101.5), "ended_at": at(102), "condition": q("apnea"), "priority": q("high")})
	f.add("cylinders", cells{"transport_id": q("A"), "gas": q("air"), "size": q("D"), "start_pressure": "10000"})
	f.add("power", cells{"transport_id": q("A"), "device_id": q("V"), "recorded_at": at(60), "source": q("battery")})
	f.add("power", cells{"transport_id": q("A"), "device_id": q("V"), "recorded_at": at(80), "source": q("external")})
	r, d := f.reader(), disclosure()
	d.K = 1
	if _, err := r.Release(t.Context(), d); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{
		"episodes": "1 cpap 10 20 false|2 invasive 30 90 true",
		"alarms":   "apnea high 2 1 1.5",
		"gas":      "air - - - - - - - - - - - cylinder without a pressure",
		"power":    "20 0 - -",
	} {
		if got := strings.Join(f.lines(r, d, name), "|"); got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
	if got := f.lines(r, d, "missing"); !slices.Contains(got, "oxygen_ratio no oxygen cylinder recorded") || !slices.Contains(got, "patient_leg_time arrived_receiving_at missing") {
		t.Errorf("missing: %v", got)
	}
}

// What leaves the store is decided by class: no identifier, no exact quasi-identifier, no free text.
func TestReleasedColumns(t *testing.T) {
	for _, table := range ReleasedTables(disclosure()) {
		for _, c := range table.Columns {
			if c.Privacy == Identifier || slices.Contains(exact, c.Name) || c.Meaning == "" || c.Source == "" {
				t.Errorf("%s.%s: %+v", table.Name, c.Name, c)
			}
			if c.Kind == TextColumn && c.Privacy != Pseudonym {
				t.Errorf("%s.%s is free text", table.Name, c.Name)
			}
			if c.Kind == NumberColumn && c.Unit == "" {
				t.Errorf("%s.%s has no unit", table.Name, c.Name)
			}
			if c.Privacy == QuasiIdentifier && !slices.Contains(quasi, c.Name) {
				t.Errorf("%s.%s is a quasi-identifier that no class counts", table.Name, c.Name)
			}
		}
	}
}

// A column whose cells are of another type than it is described as is refused: its cells must not pass for empty ones.
func TestBatchesRefuseAnotherType(t *testing.T) {
	r := newFixture(t).reader()
	table := ReleasedTable{Name: "counts", Columns: []ResearchColumn{{Name: "n", Kind: CountColumn}, {Name: "m", Kind: CountColumn}}}
	for text, want := range map[string]string{
		"select 1::bigint as n, null::bigint as m":   "",
		"select 1::bigint as n, 2::hugeint as m":     "queries: extract: counts: column 2 is of another type than it is described as",
		"select 1.5::double as n, null::bigint as m": "queries: extract: counts: column 1 is of another type than it is described as",
	} {
		table.text = text
		found := ""
		if err := r.Batches(t.Context(), table, 10, func(Batch) error { return nil }); err != nil {
			found = err.Error()
		}
		if found != want {
			t.Errorf("%s: %q, want %q", text, found, want)
		}
	}
}
