package queries

import "testing"

func TestIntervals(t *testing.T) {
	f := newFixture(t)
	// 12:00 accepted, 12:30 off: 30 min. Empty urgency counts as not planned.
	f.trip("A", cells{"departed_base_at": at(30), "called_at": at(-5), "arrived_referring_at": at(55)})
	// Planned: out of mobilization and response, in the others.
	f.trip("B", cells{"urgency": q("planned"), "departed_base_at": at(10), "arrived_referring_at": at(50)})
	// Off before accepted: left out, with the reason; the other intervals stay.
	f.trip("C", cells{"urgency": q("urgent"), "departed_base_at": at(-1), "arrived_referring_at": at(120)})
	// No patient stamps: under way falls back to the hospital ones, 13:10 to 14:50 = 100 min.
	f.trip("D", cells{"at_patient_at": "null", "handed_over_at": "null", "arrived_referring_at": at(70), "arrived_receiving_at": at(170)})
	// Under way that ends before it starts is missing.
	f.trip("E", cells{"handed_over_at": at(59)})
	// Neither completed nor current.
	f.trip("F", cells{"disposition": q("cancelled")})
	f.trip("G", cells{"superseded": "true", "departed_base_at": at(99)})

	f.want("mobilization_time", map[string]string{
		"A": "30.0", "C": "out: end before start",
		"D": "out: departed_base_at missing", "E": "out: departed_base_at missing",
	})
	f.want("response_time", map[string]string{
		"A": "60.0", "C": "out: called_at missing", "D": "out: called_at missing", "E": "out: called_at missing",
	})
	// An interval of no length is one: C arrived and left at 14:00.
	f.want("stabilization_time", map[string]string{
		"A": "65.0", "B": "70.0", "C": "0.0", "D": "50.0", "E": "out: arrived_referring_at missing",
	})
	f.want("patient_leg_time", map[string]string{
		"A": "out: arrived_receiving_at missing", "B": "out: arrived_receiving_at missing",
		"C": "out: arrived_receiving_at missing", "D": "50.0", "E": "out: arrived_receiving_at missing",
	})
	f.want("trip_time", map[string]string{"A": "240.0", "B": "240.0", "C": "240.0", "D": "240.0", "E": "240.0"})
	f.want("care_time", map[string]string{"A": "120.0", "B": "120.0", "C": "120.0", "D": "100.0", "E": "out: end before start"})
}

func TestCareTimeNamesBothStamps(t *testing.T) {
	f := newFixture(t)
	f.trip("A", cells{"at_patient_at": "null"})
	f.trip("B", cells{"handed_over_at": "null"})
	f.want("care_time", map[string]string{
		"A": "out: at_patient_at and arrived_referring_at missing", "B": "out: handed_over_at and arrived_receiving_at missing",
	})
}
