package queries

import (
	"fmt"
	"math"
	"testing"
)

// clockTrips adds transports of device V a day apart, each with a row a minute from the start to the end of its time under way
// (60 to 180), by a clock that is so many minutes ahead.
func (f *fixture) clockTrips(n int, named bool, early, late float64, ahead func(trip int) float64) {
	f.t.Helper()
	for i := range n {
		day := float64(i * 24 * 60)
		id := fmt.Sprintf("T%d", i)
		f.trip(id, cells{"accepted_at": at(day), "at_patient_at": at(day + 60), "departed_referring_at": at(day + 120), "handed_over_at": at(day + 180), "available_at": at(day + 240)})
		for minute := 60 - early; minute <= 180+late; minute += 10 {
			row := cells{"device_id": q("V"), "recorded_at": at(day + minute + ahead(i)), "quantity": q("pip"), "value": "20"}
			if named {
				row["transport_id"] = q(id)
			}
			f.add("readings", row)
		}
	}
}

func (f *fixture) clocks() []DeviceClock {
	f.t.Helper()
	found, err := f.reader().DeviceClocks(f.t.Context())
	if err != nil {
		f.t.Fatal(err)
	}
	return found
}

// An invented offset is found, ahead and behind, small and of hours, in rows that name their transport and in rows that do not.
func TestConstantOffsetsAreFound(t *testing.T) {
	for _, minutes := range []float64{9, -9, 2.5, 44, -50, 300, -360, 720} {
		for _, named := range []bool{true, false} {
			f := newFixture(t)
			f.clockTrips(8, named, 0, 0, func(trip int) float64 { return minutes + float64(trip%3-1)*0.3 })
			found := f.clocks()
			if len(found) != 1 || found[0].Device != "V" || found[0].Table != "readings" {
				t.Fatalf("%v min, named %v: %+v", minutes, named, found)
			}
			if c := found[0]; !c.Wrong() || c.Agreeing != 8 || math.Abs(c.Ahead-minutes) > 0.31 || c.Spread > 0.7 {
				t.Errorf("%v min, named %v: %+v", minutes, named, c)
			}
		}
	}
}

// What is no constant offset is not reported: a clock that is right, a device that is switched on early and off late, a log
// that ends early, clocks that differ from trip to trip, too few transports.
func TestHabitsAreNoOffsets(t *testing.T) {
	for name, c := range map[string]struct {
		trips       int
		early, late float64
		ahead       func(int) float64
	}{
		"right":              {8, 0, 0, func(int) float64 { return 0 }},
		"nearly right":       {8, 0, 0, func(int) float64 { return 1.5 }},
		"on early, off late": {8, 20, 20, func(int) float64 { return 0 }},
		"on early":           {8, 30, 0, func(int) float64 { return 0 }},
		"off early":          {8, 0, -40, func(int) float64 { return 0 }},
		"wandering":          {8, 0, 0, func(trip int) float64 { return float64(trip*17%8-4) * 6 }},
		"too few":            {4, 0, 0, func(int) float64 { return 9 }},
		"half":               {9, 0, 0, func(trip int) float64 { return float64(trip%3) * 120 }},
	} {
		for _, named := range []bool{true, false} {
			f := newFixture(t)
			f.clockTrips(c.trips, named, c.early, c.late, c.ahead)
			for _, found := range f.clocks() {
				if found.Wrong() || found.Suggestion() != "" {
					t.Errorf("%s, named %v: %+v", name, named, found)
				}
			}
		}
	}
}

func TestClockSuggestions(t *testing.T) {
	for _, c := range []struct {
		clock DeviceClock
		want  string
	}{
		{DeviceClock{Transports: 8, Agreeing: 8, Ahead: 9, Spread: 1}, "clock_offset: -9m"},
		{DeviceClock{Transports: 8, Agreeing: 8, Ahead: -4.4, Spread: 1}, "clock_offset: 4m30s"},
		{DeviceClock{Transports: 8, Agreeing: 8, Ahead: 61, Spread: 1}, "time_zone: of the device, if its clock keeps another zone or no summer time; else clock_offset: -1h1m"},
		{DeviceClock{Transports: 8, Agreeing: 8, Ahead: 9, Spread: 3.1}, ""},
		{DeviceClock{Transports: 17, Agreeing: 8, Ahead: 9, Spread: 1}, ""},
		{DeviceClock{Transports: 4, Agreeing: 4, Ahead: 9, Spread: 1}, ""},
		{DeviceClock{Transports: 8, Agreeing: 8, Ahead: 1.9}, ""},
	} {
		if got := c.clock.Suggestion(); got != c.want {
			t.Errorf("%+v: %q, want %q", c.clock, got, c.want)
		}
	}
}

// What a load says of clocks comes from its own rows and those of the three months before: a clock that was put right last year is no
// news, and rows of other loads in between help to tell.
func TestClocksOfALoad(t *testing.T) {
	f := newFixture(t)
	f.clockTrips(8, false, 0, 0, func(int) float64 { return 30 })
	const load = "insert into ledger.files select %d, %d, 'a', 'x', 0, 'utf-8', ',', 'readings', 0, [], 0, 0, 0, 0, 0"
	f.exec(fmt.Sprintf(load, 1, 1)) // the fixture's rows are of file 1
	f.exec(fmt.Sprintf(load, 2, 2))
	f.exec(fmt.Sprintf(load, 3, 3))
	of := func(id int64) []DeviceClock {
		t.Helper()
		found, err := f.reader().ClocksOfLoad(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		return found
	}
	if found := of(1); len(found) != 1 || found[0].Agreeing != 8 || !found[0].Wrong() {
		t.Errorf("the load's own rows: %+v", found)
	}
	late := func(file int, days float64) {
		f.exec(fmt.Sprintf("insert into kept.single_readings (device_id, recorded_at, quantity, value, file_id, record_no) values ('V', %s, 'pip', 20, %d, 1)", at(days*24*60), file))
	}
	late(2, 95.2) // 92 days before it the fourth transport of eight is over
	if found := of(2); len(found) != 1 || found[0].Transports != 4 {
		t.Errorf("three months before the second load: %+v", found)
	}
	late(3, 400)
	if found := append(of(3), of(4)...); len(found) != 0 {
		t.Errorf("a year after, and a load without rows: %+v", found)
	}
}
