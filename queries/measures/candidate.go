package measures

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"tripwake/queries"
)

// The kinds of candidates that are no kind of device.
const (
	KindBattery   = "battery"
	KindCylinders = "cylinders"
)

// deviceKinds are the kinds of candidates of which one more can be replayed: those of the register, and the whole team.
var deviceKinds = []string{"ventilator", "monitor", "incubator", "pump", "nitric_oxide_delivery", queries.WholeTeam}

// usualPressure is the gauge pressure of a full cylinder, psi (common practice).
const usualPressure = 2000

// Candidate is something that could be bought. Zero values are filled by ReadCandidates.
type Candidate struct {
	Name string `json:"name"`
	Kind string `json:"kind"` // ventilator, monitor, incubator, pump, nitric_oxide_delivery, team, battery or cylinders
	Team string `json:"team"` // whose requests and devices; empty: all
	Add  int    `json:"add"`  // how many are bought; default 1

	Units int `json:"units"` // devices: how many there are now; 0: as many as the register has in service

	Devices         []string `json:"devices"`          // battery: the ventilators that it is for; empty: all
	Endurance       float64  `json:"endurance"`        // battery: min at full charge
	EnduranceDimmed float64  `json:"endurance_dimmed"` // battery: min with the screen dimmed; 0: as lit
	Batteries       int      `json:"batteries"`        // battery: how many a ventilator would carry; default 1
	Derating        float64  `json:"derating"`         // battery: the part of the endurance that is counted on, 0 to 1; default 1

	Gas      string   `json:"gas"`      // cylinders: oxygen, air or nitric_oxide; default oxygen
	Sizes    []string `json:"sizes"`    // cylinders: the set that a transport would carry, such as ["E", "E"] or ["2 L"]
	Pressure float64  `json:"pressure"` // cylinders: psi when full; default 2000

	Price   float64 `json:"price"`   // of one, in the configured currency
	Life    float64 `json:"life"`    // years
	Service float64 `json:"service"` // of one, per year
}

// IsDevice says that the candidate is one more of a kind of device.
func (c Candidate) IsDevice() bool { return slices.Contains(deviceKinds, c.Kind) }

// ReadCandidates reads a list of candidates from JSON, fills what has a default, and checks them against the settings. The
// error names the entry and the key.
func ReadCandidates(text []byte, set queries.Settings) ([]Candidate, error) {
	var entries []json.RawMessage
	if err := json.Unmarshal(text, &entries); err != nil {
		return nil, fmt.Errorf(`expected a list such as [{"name": "Spare ventilator", "kind": "ventilator", "price": 40000, "life": 8, "service": 900}], got %.200q`, text)
	}
	var all []Candidate
	for i, entry := range entries {
		d := json.NewDecoder(bytes.NewReader(entry))
		d.DisallowUnknownFields()
		c := Candidate{Add: 1, Batteries: 1, Derating: 1}
		if err := d.Decode(&c); err != nil {
			return nil, fmt.Errorf("entry %d: %s", i+1, strings.TrimPrefix(err.Error(), "json: "))
		}
		c = c.filled()
		if err := c.check(set); err != nil {
			return nil, fmt.Errorf("entry %d (%s): %w", i+1, c.Name, err)
		}
		if slices.ContainsFunc(all, func(o Candidate) bool { return o.Name == c.Name }) {
			return nil, fmt.Errorf("entry %d: name %q: expected each name once", i+1, c.Name)
		}
		all = append(all, c)
	}
	return all, nil
}

func (c Candidate) filled() Candidate {
	c.Name = strings.TrimSpace(c.Name)
	if c.Kind == KindBattery && c.EnduranceDimmed == 0 {
		c.EnduranceDimmed = c.Endurance
	}
	if c.Kind == KindCylinders && c.Gas == "" {
		c.Gas = "oxygen"
	}
	if c.Kind == KindCylinders && c.Pressure == 0 {
		c.Pressure = usualPressure
	}
	return c
}

// check refuses a candidate that nothing could be worked out for; the error names the key.
func (c Candidate) check(set queries.Settings) error {
	switch {
	case c.Name == "":
		return fmt.Errorf("name: expected a name, got none")
	case !c.IsDevice() && c.Kind != KindBattery && c.Kind != KindCylinders:
		return fmt.Errorf("kind: expected one of %s, %s or %s, got %q", strings.Join(deviceKinds, ", "), KindBattery, KindCylinders, c.Kind)
	case c.Add < 1 || c.Add > 1000:
		return fmt.Errorf("add: expected how many are bought, 1 to 1000, got %d", c.Add)
	case c.Units < 0 || c.Units > 1000:
		return fmt.Errorf("units: expected how many there are now, 0 (as in the register) to 1000, got %d", c.Units)
	case c.Kind == queries.WholeTeam && c.Units == 0:
		return fmt.Errorf("units: expected how many teams there are now, for the register does not tell, got none")
	}
	for _, n := range c.numbers() {
		if math.IsNaN(n.value) || n.value < n.least || n.value > n.most {
			return fmt.Errorf("%s: expected %s from %g to %g, got %g", n.key, n.what, n.least, n.most, n.value)
		}
	}
	return firstOf(c.checkForeign(), c.checkCylinders(set))
}

// bound is what a number of a candidate may be.
type bound struct {
	key, what          string
	value, least, most float64
}

func (c Candidate) numbers() []bound {
	all := []bound{{"price", "a price of one", c.Price, 0.01, 1e9}, {"life", "years", c.Life, 0.1, 100}, {"service", "a yearly cost of one", c.Service, 0, 1e9}}
	switch c.Kind {
	case KindBattery:
		all = append(all, bound{"endurance", "min", c.Endurance, 1, 6000}, bound{"endurance_dimmed", "min", c.EnduranceDimmed, 1, 6000},
			bound{"batteries", "a number", float64(c.Batteries), 1, 20}, bound{"derating", "a part", c.Derating, 0.01, 1})
	case KindCylinders:
		all = append(all, bound{"pressure", "psi", c.Pressure, 1, 6000})
	}
	return all
}

// checkForeign refuses keys that belong to candidates of another kind: they would say something that is not heeded.
func (c Candidate) checkForeign() error {
	for _, k := range []struct {
		key  string
		set  bool
		kind bool
	}{
		{"units", c.Units > 0, c.IsDevice()},
		{"devices", len(c.Devices) > 0, c.Kind == KindBattery}, {"endurance", c.Endurance != 0, c.Kind == KindBattery},
		{"endurance_dimmed", c.EnduranceDimmed != 0, c.Kind == KindBattery}, {"batteries", c.Batteries != 1, c.Kind == KindBattery},
		{"derating", c.Derating != 1, c.Kind == KindBattery},
		{"gas", c.Gas != "", c.Kind == KindCylinders}, {"sizes", len(c.Sizes) > 0, c.Kind == KindCylinders}, {"pressure", c.Pressure != 0, c.Kind == KindCylinders},
	} {
		if k.set && !k.kind {
			return fmt.Errorf("%s: expected none for kind %s", k.key, c.Kind)
		}
	}
	return nil
}

func (c Candidate) checkCylinders(set queries.Settings) error {
	if c.Kind != KindCylinders {
		return nil
	}
	if !slices.Contains([]string{"oxygen", "air", "nitric_oxide"}, c.Gas) {
		return fmt.Errorf("gas: expected oxygen, air or nitric_oxide, got %q", c.Gas)
	}
	if len(c.Sizes) == 0 || len(c.Sizes) > 50 {
		return fmt.Errorf(`sizes: expected the cylinders that a transport would carry, such as ["E", "E"], got %d`, len(c.Sizes))
	}
	for _, size := range c.Sizes {
		if _, err := set.Usable(size, c.Pressure); err != nil {
			return fmt.Errorf("sizes: %w", err)
		}
	}
	return nil
}

func firstOf(all ...error) error {
	for _, err := range all {
		if err != nil {
			return err
		}
	}
	return nil
}
