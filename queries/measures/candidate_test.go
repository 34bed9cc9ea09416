package measures

import (
	"strings"
	"testing"

	"tripwake/queries"
)

func TestCandidatesAreFilled(t *testing.T) {
	list, err := ReadCandidates([]byte(`[{"name": " Spare ", "kind": "monitor", "price": 1, "life": 1},
		{"name": "B", "kind": "battery", "endurance": 90, "price": 1, "life": 1}, {"name": "C", "kind": "cylinders", "sizes": ["2 L"], "price": 1, "life": 1},
		{"name": "T", "kind": "team", "units": 3, "add": 2, "price": 1, "life": 1}]`), queries.Defaults())
	if err != nil || len(list) != 4 {
		t.Fatalf("%+v, %v", list, err)
	}
	if c := list[0]; c.Name != "Spare" || c.Add != 1 || !c.IsDevice() || c.Bought() != "one more monitor" {
		t.Errorf("%+v", c)
	}
	if c := list[1]; c.EnduranceDimmed != 90 || c.Batteries != 1 || c.Derating != 1 || c.IsDevice() {
		t.Errorf("%+v", c)
	}
	if c := list[2]; c.Gas != "oxygen" || c.Pressure != 2000 {
		t.Errorf("%+v", c)
	}
	if c := list[3]; c.Bought() != "2 more teams" {
		t.Errorf("%+v: %s", c, c.Bought())
	}
}

func TestCandidatesAreRefused(t *testing.T) {
	for text, want := range map[string]string{
		`soon`: "expected a list such as",
		`[{"name": "A", "kind": "lamp", "price": 1, "life": 1}]`:                                                       "entry 1 (A): kind: expected one of",
		`[{"kind": "pump", "price": 1, "life": 1}]`:                                                                    "name: expected a name",
		`[{"name": "A", "kind": "pump", "life": 1}]`:                                                                   "price: expected a price",
		`[{"name": "A", "kind": "pump", "price": 1}]`:                                                                  "life: expected years",
		`[{"name": "A", "kind": "pump", "price": 1, "life": 1, "service": -1}]`:                                        "service: expected",
		`[{"name": "A", "kind": "pump", "price": 1, "life": 1, "colour": 1}]`:                                          `entry 1: unknown field "colour"`,
		`[{"name": "A", "kind": "pump", "price": 1, "life": 1, "endurance": 60}]`:                                      "endurance: expected none for kind pump",
		`[{"name": "A", "kind": "pump", "price": 1, "life": 1, "add": 0}]`:                                             "add: expected how many",
		`[{"name": "A", "kind": "team", "price": 1, "life": 1}]`:                                                       "units: expected how many teams",
		`[{"name": "A", "kind": "battery", "price": 1, "life": 1}]`:                                                    "endurance: expected min",
		`[{"name": "A", "kind": "battery", "price": 1, "life": 1, "endurance": 60, "derating": 2}]`:                    "derating: expected a part",
		`[{"name": "A", "kind": "battery", "price": 1, "life": 1, "endurance": 60, "units": 2}]`:                       "units: expected none for kind battery",
		`[{"name": "A", "kind": "cylinders", "price": 1, "life": 1}]`:                                                  "sizes: expected the cylinders",
		`[{"name": "A", "kind": "cylinders", "price": 1, "life": 1, "sizes": ["Q"]}]`:                                  `sizes: size "Q": expected a size of cylinder_factors`,
		`[{"name": "A", "kind": "cylinders", "price": 1, "life": 1, "sizes": ["E"], "gas": "helium"}]`:                 "gas: expected oxygen",
		`[{"name": "A", "kind": "cylinders", "price": 1, "life": 1, "sizes": ["E"], "pressure": 9999}]`:                "pressure: expected psi",
		`[{"name": "A", "kind": "pump", "price": "much", "life": 1}]`:                                                  "entry 1: ",
		`[{"name": "A", "kind": "pump", "price": 1, "life": 1}, {"name": "A", "kind": "pump", "price": 1, "life": 1}]`: `entry 2: name "A": expected each name once`,
	} {
		if _, err := ReadCandidates([]byte(text), queries.Defaults()); err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v, want %q", text, err, want)
		}
	}
}
