package queries

import (
	"fmt"
	"math"
	"slices"
	"testing"
)

func TestGasDoubts(t *testing.T) {
	f := newFixture(t)
	f.set.CorrectTemperature = true
	f.trip("A", nil)
	f.cylinder("A", "E", kPa(1000), kPa(1100), nil)
	f.cylinder("A", "XXL", kPa(1000), kPa(900), nil)
	f.cylinder("A", "E", kPa(1000), "null", cells{"gas": q("air")})
	f.cylinder("A", "E", kPa(1000), kPa(900), cells{"gas": q("air"), "opened_at": at(150), "closed_at": at(140)})
	f.cylinder("A", "E", kPa(1000), kPa(900), cells{"gas": q("nitric_oxide"), "start_temperature": "20"})
	f.cylinder("A", "E", kPa(1000), kPa(900), nil) // nothing to doubt
	f.cylinder("B", "E", kPa(1000), kPa(900), nil)
	got, err := f.reader().GasDoubts(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	want := []GasDoubt{
		{"air", "closed before it was opened: its times count for nothing", 1, 1},
		{"air", "cylinder without a pressure: its transport is left out of this gas", 1, 1},
		{"nitric_oxide", "concentration not recorded: nitric oxide asked for is unknown", 1, 1},
		{"nitric_oxide", "one temperature of two: not corrected for temperature", 1, 1},
		{"oxygen", "cylinder size unknown: its transport is left out of this gas", 1, 1},
		{"oxygen", "holds more at the end than at the start: counted as negative use", 1, 1},
		{"oxygen", "names a transport not yet known", 1, 1},
	}
	if !slices.Equal(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
}

// checks.md, Gas: 2200 psig filled at 21.1 Cel, now at −20 Cel: 1891 psig, nothing used (absolute pressures, kelvin; Gay-Lussac).
func TestTemperatureCorrection(t *testing.T) {
	cold := cells{"start_temperature": "21.1", "end_temperature": "-20"}
	exact := (2200+14.695948775)*253.15/294.25 - 14.695948775
	if math.Round(exact) != 1891 {
		t.Fatalf("the worked value is %v psig, want 1891", exact)
	}
	for name, c := range map[string]struct {
		correct bool
		more    cells
		want    float64
	}{
		"both": {true, cold, 0}, "off": {false, cold, 0.28 * (2200 - exact)}, "one of two": {true, cells{"end_temperature": "-20"}, 0.28 * (2200 - exact)},
	} {
		t.Run(name, func(t *testing.T) {
			f := newFixture(t)
			f.set.CorrectTemperature = c.correct
			f.trip("A", nil)
			f.cylinder("A", "E", kPa(2200), kPa(exact), c.more)
			got := f.rows("select used::varchar from gas_used")[0]
			var used float64
			if _, err := fmt.Sscan(got, &used); err != nil || !near(used, c.want, 1e-5) {
				t.Errorf("got %s L used, %v, want %v", got, err, c.want)
			}
		})
	}
}
