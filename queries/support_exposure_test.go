package queries

import "testing"

func TestExposures(t *testing.T) {
	f := newFixture(t)
	f.trip("A", nil)
	set := func(minute float64, fio2, nitric string) {
		f.add("settings", cells{"trip": q("A"), "device_id": q("V"), "recorded_at": at(minute), "mode": q("simv"), "interface": q("tube"), "fio2": fio2, "nitric_oxide": nitric})
	}
	set(30, "60", "20")   // 60–120
	set(120, "30", "10")  // 120–150
	set(150, "null", "0") // to 180: no oxygen recorded, nitric oxide off
	set(200, "100", "20") // after under way
	e, err := f.reader().Exposures(t.Context(), "", "")
	if err != nil {
		t.Fatal(err)
	}
	// Oxygen: (60 × 60 + 30 × 30) / 90 = 50 % over 1.5 h; nitric oxide: (20 × 60 + 10 × 30) / 90 over 1.5 h.
	if e.Transports != 1 || e.Hours != 1.5 || *e.MeanFiO2 != 50 || e.NitricTransports != 1 || e.NitricHours != 1.5 || *e.MeanNitric != 50.0/3 {
		t.Errorf("got %+v, oxygen %v, nitric oxide %v", e, *e.MeanFiO2, *e.MeanNitric)
	}
	if none, err := newFixture(t).reader().Exposures(t.Context(), "", ""); err != nil || none.MeanFiO2 != nil || none.MeanNitric != nil {
		t.Errorf("got %+v, %v from an empty store", none, err)
	}
}
