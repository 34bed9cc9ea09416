package queries

import (
	"fmt"
	"slices"
	"testing"
)

func TestCaseTimelines(t *testing.T) {
	f := newFixture(t)
	f.trip("A", cells{"arrived_receiving_at": at(150), "flags": q("clock_repeated")})
	f.leggedTrip("other")
	f.add("settings", cells{"trip": q("A"), "device_id": q("V"), "recorded_at": at(60), "mode": q("simv"), "interface": q("tube"), "fio2": "40", "pip": "20", "peep": "5", "rate": "35"})
	f.alarm("A", 70, 71, cells{"condition": q("pip_high"), "priority": q("high"), "alarm_limit": "25", "observed": "31"})
	f.alarm("other", 70, 71, nil)
	f.reading("A", "V", 70, "pip", "20")
	f.reading("A", "V", 70.5, "pip", "31")
	f.reading("A", "V", 100, "pip", "19")
	f.add("power", cells{"trip": q("A"), "device_id": q("V"), "recorded_at": at(60), "source": q("battery")})
	f.add("power", cells{"trip": q("A"), "device_id": q("V"), "recorded_at": at(90), "source": q("external")})
	f.add("cylinders", cells{"transport_id": q("A"), "gas": q("oxygen"), "start_pressure": "15000", "end_pressure": "9000"})
	f.add("events", cells{"event_id": q("E"), "transport_id": q("A"), "recorded_at": at(100), "kind": q("desaturation"), "harm": q("mild"), "narrative": q("secret")})
	lines, err := f.reader().CaseTimelines(t.Context(), []string{"A", "nobody"})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, c := range lines {
		line := fmt.Sprintf("%d %s %g–%g", c.Lane, c.Name, c.From, c.To)
		if c.Low != nil && c.High != nil {
			line += fmt.Sprintf(" %g %g", *c.Low, *c.High)
		}
		got = append(got, line)
		if c.TransportID != "A" {
			t.Errorf("%s belongs to %s", line, c.TransportID)
		}
	}
	want := []string{
		"1 before the patient -30–60", "1 at the referring hospital 60–120", "1 patient leg 120–150", "1 at the receiving hospital 150–180", "1 after hand-over 180–270.000000017",
		"2 invasive 60–180", "3 simv, FiO2 40 %, PIP 20, PEEP 5.0, rate 35 60–180", "4 pip_high|high 70–71 25 31",
		"5 battery 60–90", "5 external 90–90", "6 oxygen 60–180 90 150", "7 desaturation|mild 100–100", "8 pip 70–70.5 20 31", "8 pip 100–100 19 19",
	}
	if !slices.Equal(got, want) {
		t.Errorf("\n got %q\nwant %q", got, want)
	}
}
