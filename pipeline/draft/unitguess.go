package draft

import (
	"fmt"
	"math"
	"strings"

	"tripwake/pipeline/records"
	"tripwake/pipeline/units"
)

// usual is where the middle of a column's values lies in most exports, in the column's unit, and the other units that exports
// use for it. Common practice; only the order of size matters.
var usual = map[string]struct {
	low, high float64
	others    []string
}{
	"temperature":            {33, 40, []string{"[degF]", "K"}},
	"birth_weight":           {450, 5500, []string{"kg", "[lb_av]"}},
	"weight":                 {450, 60000, []string{"kg", "[lb_av]"}},
	"start_pressure":         {3500, 25000, []string{"[psi]", "bar"}},
	"end_pressure":           {300, 22000, []string{"[psi]", "bar"}},
	"glucose":                {25, 400, []string{"mmol/L"}},
	"pco2":                   {22, 110, []string{"kPa"}},
	"po2":                    {22, 250, []string{"kPa"}},
	"etco2":                  {18, 90, []string{"kPa"}},
	"inspiratory_time":       {0.15, 2, []string{"ms"}},
	"age_at_call":            {0, 6600, []string{"h", "wk", "mo", "a"}},
	"planned_duration":       {15, 900, []string{"h"}},
	"expired_tidal_volume":   {2, 700, []string{"L"}},
	"minute_volume":          {0.08, 20, []string{"mL/min"}},
	"oxygen_supply_pressure": {200, 800, []string{"bar", "[psi]"}},
	"air_supply_pressure":    {200, 800, []string{"bar", "[psi]"}},
	"fio2":                   {20.9, 100, []string{"1"}},
	"spo2":                   {60, 100, []string{"1"}},
	"charge":                 {3, 100, []string{"1"}},
	"battery_charge":         {3, 100, []string{"1"}},
	"mean_airway_pressure":   {3, 40, nil},
	"pip":                    {6, 60, nil},
	"peep":                   {1, 20, nil},
	"planned_oxygen":         {20, 20000, []string{"m3"}},
	"planned_air":            {20, 20000, []string{"m3"}},
	"battery_endurance":      {20, 1500, []string{"h"}},
}

// unitChoices are the units that the numbers of a column without a said unit may be in, the column's own first.
func unitChoices(c records.Column) []string { return append([]string{c.Unit}, usual[c.Name].others...) }

// unitDecision is what the draft writes of a column's unit: a unit, or that it must be decided, with the doubt.
type unitDecision struct {
	unit   string // as the header or the cells write it, or a UCUM code; empty: the column's own
	decide bool
	doubt  string
}

// decideUnit takes the unit from the header or the cells; where neither says one, sizes may leave one unit, or several.
func decideUnit(f features, c records.Column) unitDecision {
	switch {
	case c.Kind != records.Number || c.Unit == "" || c.Unit == records.ByQuantity || c.Unit == records.ByCondition:
		return unitDecision{}
	case f.unit != "":
		return unitDecision{unit: f.unit}
	case f.spoken > 0.8 && !units.WeeksAndDays.Matches(f.texts[0]):
		return unitDecision{doubt: "weeks and days are read as 27+3, 27w3d or 27 3/7; alternatives: export them so; evidence: the cells"}
	case f.cellUnit != "" || f.spoken > 0.8 || f.pounds > 0.8 || len(f.numbers) == 0 || named(f, c):
		return unitDecision{}
	}
	able := plausible(f, c)
	own := units.Unit{}
	if len(able) > 0 {
		own, _ = units.Find(able[0])
	}
	isOwn := len(able) > 0 && able[0] == c.Unit
	switch {
	case c.Name == "fio2": // a load tells fraction from percent itself
		return unitDecision{}
	case len(able) == 0:
		return unitDecision{doubt: fmt.Sprintf("numbers around %s are unusual in %s; evidence: size", short(f.median()), c.Unit)}
	case len(able) == 1 && isOwn:
		return unitDecision{}
	case len(able) == 1:
		return unitDecision{unit: own.Code, doubt: fmt.Sprintf("no unit is said; numbers around %s fit %s alone; alternatives: %s; evidence: size", short(f.median()), own.Code, c.Unit)}
	}
	return unitDecision{decide: true, doubt: fmt.Sprintf("no unit is said; alternatives: %s; evidence: numbers around %s fit each", strings.Join(able, ", "), short(f.median()))}
}

// named says that the header is the contract's own name, as no team would write it by itself: it brings the contract's unit.
func named(f features, c records.Column) bool {
	return f.headers[0] == c.Name && strings.Contains(c.Name, "_")
}

// plausible lists the units in which the middle of the numbers is usual.
func plausible(f features, c records.Column) (able []string) {
	u, known := usual[c.Name]
	if !known || saysDay(f, c) {
		return []string{c.Unit}
	}
	for _, unit := range unitChoices(c) {
		conversion, err := units.Between(unit, c.Unit)
		if v := conversion.Apply(f.median()); err == nil && v >= u.low && v <= u.high && inRange(f, conversion, c.Range) > 0.9 {
			able = append(able, unit)
		}
	}
	return able
}

// saysDay: "day of life" and "DOL" are days without a unit in brackets.
func saysDay(f features, c records.Column) bool {
	if c.Name != "age_at_call" {
		return false
	}
	for _, concept := range f.concepts {
		if concept == "day" {
			return true
		}
	}
	return strings.Contains(strings.ToLower(f.headers[0]), "dol")
}

func short(v float64) string {
	if v == math.Trunc(v) {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.3g", v)
}
