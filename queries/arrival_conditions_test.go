package queries

import "testing"

// assess adds a receiving_arrival assessment; more overrides.
func (f *fixture) assess(id string, row cells) {
	f.t.Helper()
	row["transport_id"] = q(id)
	if row["stage"] == "" {
		row["stage"] = q("receiving_arrival")
	}
	f.add("assessments", row)
}

func TestTemperatureOnArrival(t *testing.T) {
	f := newFixture(t)
	for id, temperature := range map[string]string{
		"A": "36.45",              // rounds to 36.5: not below
		"B": "36.44",              // rounds to 36.4: below
		"C": "37.55",              // rounds to 37.6 although its binary value lies below 37.55: above
		"D": "37.54",              // rounds to 37.5: not above
		"E": "36.449999999999996", // 97.61 degF after conversion: 36.45, so 36.5
	} {
		f.trip(id, cells{"age_at_call": "28.9"})
		f.assess(id, cells{"temperature": temperature})
	}
	f.trip("cooled", cells{"cooling": "true"})
	f.assess("cooled", cells{"temperature": "33.5"})
	f.trip("old", cells{"age_at_call": "29"})
	f.assess("old", cells{"temperature": "35"})
	f.trip("no age", cells{"cooling": "false"})
	f.assess("no age", cells{"temperature": "36"})
	f.trip("none", nil)
	f.want("hypothermia_on_arrival", map[string]string{
		"A": "0.0/1.0", "B": "1.0/1.0", "C": "0.0/1.0", "D": "0.0/1.0", "E": "0.0/1.0", "no age": "1.0/1.0",
		"none": "out: temperature not recorded",
	})
	f.want("hyperthermia_on_arrival", map[string]string{
		"A": "0.0/1.0", "B": "0.0/1.0", "C": "1.0/1.0", "D": "0.0/1.0", "E": "0.0/1.0", "no age": "0.0/1.0",
		"none": "out: temperature not recorded",
	})
}

func TestLastAssessmentCounts(t *testing.T) {
	f := newFixture(t)
	// Two at the same time: the later record counts. One without a time comes before all others.
	f.trip("A", nil)
	f.assess("A", cells{"recorded_at": at(190), "glucose": "40"})
	f.assess("A", cells{"recorded_at": at(190), "glucose": "50"})
	f.assess("A", cells{"glucose": "30"})
	// The last one's cell is empty: the value is not recorded, though an earlier one has it.
	f.trip("B", nil)
	f.assess("B", cells{"recorded_at": at(190), "glucose": "40"})
	f.assess("B", cells{"recorded_at": at(191)})
	// Another stage does not count; 45.0 is not below 45.0, and 45 less a rounding error is 45.
	f.trip("C", nil)
	f.assess("C", cells{"recorded_at": at(190), "glucose": "44.99999999999"})
	f.assess("C", cells{"recorded_at": at(195), "glucose": "20", "stage": q("referring_departure")})
	f.trip("D", nil)
	f.assess("D", cells{"glucose": "44.9"})
	f.want("glucose_low_on_arrival", map[string]string{
		"A": "0.0/1.0", "B": "out: glucose not recorded", "C": "0.0/1.0", "D": "1.0/1.0",
	})
}
