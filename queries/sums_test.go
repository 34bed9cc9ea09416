package queries

import (
	"maps"
	"slices"
	"strings"
	"testing"
)

// Chicago: 1 March 2026 begins at 06:00 UTC, 1 April (daylight time) at 05:00 UTC.
func TestMonthIsLocal(t *testing.T) {
	f := newFixture(t)
	f.set.TimeZone = zone(t, "America/Chicago")
	f.trip("feb", cells{"accepted_at": utc("2026-03-01 05:59:59")})
	f.trip("march", cells{"accepted_at": utc("2026-03-01 06:00:00")})
	f.trip("march too", cells{"accepted_at": utc("2026-04-01 04:59:59.999999")})
	f.trip("april", cells{"accepted_at": utc("2026-04-01 05:00:00")})
	// accepted, else called, else departed base; a later stamp gives no month.
	f.trip("called", cells{"accepted_at": "null", "called_at": utc("2026-05-02 00:00:00"), "departed_base_at": utc("2026-06-02 00:00:00")})
	f.trip("left", cells{"accepted_at": "null", "departed_base_at": utc("2026-06-02 00:00:00")})
	f.trip("none", cells{"accepted_at": "null"})
	got := f.rows("select transport_id || ' ' || coalesce(strftime(month, '%Y-%m'), '-') from trips order by transport_id")
	want := []string{"april 2026-04", "called 2026-05", "feb 2026-02", "left 2026-06", "march 2026-03", "march too 2026-03", "none -"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	first, last, err := f.reader().Period(t.Context())
	if err != nil || first != "2026-02" || last != "2026-06" {
		t.Errorf("period: got %s to %s, %v", first, last, err)
	}
	// A month without any of the three stamps counts in "all" alone.
	r := f.reader()
	if s := f.one(r, Request{Measures: []string{"declined"}}); s.T != 7 || s.Month != AllMonths {
		t.Errorf("all: got %+v, want 7", s)
	}
	if s := f.one(r, Request{Measures: []string{"declined"}, From: "2026-01", To: "2026-12"}); s.T != 6 {
		t.Errorf("asked period: got %+v, want 6", s)
	}
	sums, err := r.Sums(t.Context(), Request{Measures: []string{"declined"}, ByMonth: true, To: "2026-04"})
	if err != nil || len(sums) != 3 || sums[1].Month != "2026-03" || sums[1].T != 2 {
		t.Errorf("by month: got %+v, %v, want February to April, 2 in March", sums, err)
	}
}

// Where midnight does not exist the day begins at the change: Asuncion, 1 October 2023, clocks forward from 0:00 to 1:00 at
// 04:00 UTC (tz database).
func TestMonthThatBeginsInAGap(t *testing.T) {
	f := newFixture(t)
	f.set.TimeZone = zone(t, "America/Asuncion")
	got := f.rows("select strftime(from_utc, '%Y-%m-%d %H:%M') from calendar where month in ('2023-10-01', '2023-11-01') order by month")
	if want := []string{"2023-10-01 04:00", "2023-11-01 03:00"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestSumsByGroupAndMonth(t *testing.T) {
	f := newFixture(t)
	f.trip("A", cells{"vehicle": q("ground"), "departed_base_at": at(20)})
	f.trip("B", cells{"vehicle": q("ground"), "departed_base_at": at(10)})
	f.trip("C", cells{"departed_base_at": at(-5)})
	f.trip("D", cells{"vehicle": q("rotor"), "disposition": q("declined")})
	f.trip("E", cells{"vehicle": q("ground"), "accepted_at": utc("2026-05-01 00:00:00"), "departed_base_at": utc("2026-05-01 00:30:00")})
	r := f.reader()
	sums, err := r.Sums(t.Context(), Request{Measures: []string{"mobilization_time", "declined"}, By: "vehicle", ByMonth: true})
	if err != nil {
		t.Fatal(err)
	}
	// March to May with April empty, three groups, two measures.
	if len(sums) != 18 {
		t.Fatalf("got %d sums, want 18: %+v", len(sums), sums)
	}
	first := sums[0]
	if first.Measure != "mobilization_time" || first.Month != "2026-03" || first.Group != "ground" || first.Facts != 2 ||
		first.Transports != 2 || first.X != 30 || !slices.Equal(first.Xs, []float64{10, 20}) {
		t.Errorf("ground in March: got %+v, want 10 and 20 min", first)
	}
	if s := sums[1]; s.Group != NotRecorded || s.Facts != 0 || !maps.Equal(s.LeftOut, map[string]int{"end before start": 1}) {
		t.Errorf("not recorded in March: got %+v, want 1 left out", s)
	}
	if s := sums[2]; s.Group != "rotor" || s.Facts != 0 || s.LeftOut != nil {
		t.Errorf("rotor in March: got %+v, want nothing", s)
	}
	if s := sums[3]; s.Month != "2026-04" || s.Facts != 0 {
		t.Errorf("April: got %+v, want an empty sum", s)
	}
	if s := sums[11]; s.Measure != "declined" || s.Group != "rotor" || s.X != 1 || s.T != 1 {
		t.Errorf("declined rotor in March: got %+v", s)
	}
}

func TestSumsOfRatiosAndClusters(t *testing.T) {
	f := newFixture(t)
	for id, planned := range map[string]string{"B": "200", "A": "400"} {
		f.trip(id, cells{"planned_oxygen": planned})
		f.cylinder(id, "E", kPa(2000), kPa(1000), nil)
		f.reading(id, "V", 60, "spo2", "90")
		f.reading(id, "V", 120, "spo2", "90")
	}
	f.reading("A", "M", 60, "spo2", "90")
	f.reading("A", "M", 90, "spo2", "90")
	f.alarm("A", 70, unended, cells{"device_id": q("M")})
	f.alarm("A", 71, unended, nil)
	r := f.reader()
	ratio := f.one(r, Request{Measures: []string{"oxygen_ratio"}})
	if !slices.Equal(ratio.Xs, []float64{280, 280}) || !slices.Equal(ratio.Ts, []float64{400, 200}) || ratio.T != 600 {
		t.Errorf("ratio: got %+v, want used and planned by transport", ratio)
	}
	// A has two devices, 1.5 h and two alarms; B one hour and none.
	rate := f.one(r, Request{Measures: []string{"alarms_per_hour"}})
	if rate.Facts != 2 || rate.Transports != 2 || !slices.Equal(rate.Xs, []float64{2, 0}) || !slices.Equal(rate.Ts, []float64{1.5, 1}) {
		t.Errorf("alarms: got %+v, want each transport's own sums", rate)
	}
	byDevice, err := r.Sums(t.Context(), Request{Measures: []string{"alarms_per_hour"}, By: "device"})
	if err != nil || len(byDevice) != 1 || byDevice[0].Group != "V" || byDevice[0].X != 2 || byDevice[0].T != 2.5 {
		t.Errorf("by device: got %+v, %v, want the transport's ventilator", byDevice, err)
	}
}

func TestBands(t *testing.T) {
	f := newFixture(t)
	for id, row := range map[string]cells{
		"a": {"gestation": "27 + 6.0 / 7", "age_at_call": "28.99"},
		"b": {"gestation": "28", "age_at_call": "29"},
		"c": {"gestation": "31 + 6.0 / 7", "age_at_call": "6574"},
		"d": {"gestation": "32", "age_at_call": "6575"},
		"e": {"gestation": "36.999"},
		"f": {"gestation": "37"},
		"g": {},
	} {
		f.trip(id, row)
	}
	got := f.rows("select transport_id || ': ' || gestation_band || ', ' || age_band from trips order by transport_id")
	want := []string{
		"a: under 28, neonatal", "b: 28–31, paediatric", "c: 28–31, paediatric", "d: 32–36, 18 years and over",
		"e: 32–36, not recorded", "f: 37 and more, not recorded", "g: not recorded, not recorded",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestSumsRefuse(t *testing.T) {
	r := newFixture(t).reader()
	for want, ask := range map[string]Request{
		`measure "nonsense": expected`: {Measures: []string{"nonsense"}},
		`by "colour": expected one of`: {By: "colour"},
		`month "2026-13": expected`:    {From: "2026-13"},
		`month "March": expected`:      {To: "March"},
		`from 2026-05 to 2026-04`:      {From: "2026-05", To: "2026-04"},
	} {
		if _, err := r.Sums(t.Context(), ask); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: got %v, want an error with %q", ask, err, want)
		}
	}
}

// Fractions added in another order differ in the last digits, and the engine's threads meet the rows in any order: sums are those
// of a plain loop over the transports in order, of times over the times from the shortest on, run after run. The facts lie in reverse, in more than one part of the table that a
// thread takes at once (122,880 rows, DuckDB's row group).
func TestSumsDoNotDependOnThreads(t *testing.T) {
	const transports = 200_000
	var x, hours float64
	times := make([]float64, transports)
	for i := range transports {
		times[i] = float64(i%977) / 7
		x += times[i]
		hours += float64(i%31+1) / 3
	}
	slices.Sort(times)
	f := newFixture(t)
	f.exec("set threads = 4")
	ask := Request{Measures: []string{"care_time", "unplanned_extubation_hours", "oxygen_ratio", "device_failures"}}
	for range 3 {
		r := f.reader()
		if _, err := r.Sums(t.Context(), ask); err != nil {
			t.Fatal(err)
		}
		f.exec(`insert into facts
			select measure, if(measure = 'device_failures', null, i), 'D' || i, null, (n % 977)::double / 7, (n % 31 + 1)::double / 3, null
			from (select n, lpad(n::varchar, 6, '0') as i from range(199999, -1, -1) as numbers(n)), (select unnest(string_split('` + strings.Join(ask.Measures, ",") + `', ',')) as measure)`)
		sums, err := r.added(t.Context(), ask)
		if err != nil {
			t.Fatal(err)
		}
		for _, measure := range ask.Measures {
			s := sums[measure][cell{AllMonths, ""}]
			if s == nil {
				t.Fatalf("%s: no sum", measure)
			}
			wantX, wantT := x, hours
			if measure == "care_time" {
				wantX, wantT = total(times), 0
			}
			if s.Facts != transports || s.Transports != transports || s.X != wantX || s.T != wantT {
				t.Errorf("%s: got x %v, t %v of %d, want x %v, t %v of %d", measure, s.X, s.T, s.Transports, wantX, wantT, transports)
			}
		}
	}
}
