package queries

import (
	"math"
	"testing"
)

func TestSetAgainstMeasured(t *testing.T) {
	f := newFixture(t)
	f.trip("A", nil)
	set := func(minute float64, pip string) {
		f.add("settings", cells{"trip": q("A"), "device_id": q("V"), "recorded_at": at(minute), "mode": q("simv"), "interface": q("tube"), "pip": pip})
	}
	set(60, "20")
	set(90, "24")
	// Before under way and on another device: not compared. From 89.5 the reading of 20 holds for 30 s against 20 and 30 s
	// against 24. 22 against 24 is 2 apart, which is not more; 27 against 24 is.
	f.reading("A", "V", 50, "pip", "40")
	f.reading("A", "M", 70, "pip", "40")
	f.reading("A", "V", 89.5, "pip", "20")
	f.reading("A", "V", 100, "pip", "22")
	f.reading("A", "V", 100.5, "pip", "27")
	m, err := f.reader().SetAgainstMeasured(t.Context(), "pip", "", "")
	if err != nil {
		t.Fatal(err)
	}
	// 30 + 30 s of the first, 30 s of 22, 60 s of 27: 150 s, of which 30 + 60 apart. Deviations 0, −4, −2, 3: median −1.
	if m.Transports != 1 || math.Abs(m.Hours-150.0/3600) > 1e-9 || math.Abs(m.ApartHours-90.0/3600) > 1e-9 || *m.Middle != -1 {
		t.Errorf("got %+v, median %v: want 150 s, 90 s apart, median -1", m, *m.Middle)
	}
	none, err := f.reader().SetAgainstMeasured(t.Context(), "peep", "", "")
	if err != nil || none.Transports != 0 || none.Middle != nil {
		t.Errorf("got %+v, %v: no reading of PEEP", none, err)
	}
	if _, err := f.reader().SetAgainstMeasured(t.Context(), "leak", "", ""); err == nil {
		t.Error("a quantity that nobody sets was taken")
	}
}
