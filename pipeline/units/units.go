// Package units is every unit of measure that exports may use, as one table: UCUM codes, the aliases that devices and
// spreadsheets write, and the conversion between units of one dimension.
//
// In: the text of a unit. Out: its UCUM code and a linear conversion (value × factor + offset), also as spellings from
// which the engine's conversion tables are made, so that a factor stands nowhere else. It refuses a unit it does not
// know and a conversion between dimensions. A leaf: it imports nothing of ours.
//
// Sources: UCUM essence 2.2 (codes, mm[Hg] = 133.322 Pa, cm[H2O] = 98.0665 Pa), NIST SP 811 appendix B (psi, lb, oz,
// ft, mi, degF). Glucose: 1 mmol/L = 18.016 mg/dL.
package units

import (
	"fmt"
	"slices"
	"strings"
)

// Unit is one unit: its UCUM code, dimension and relation to the dimension's base: base = value × Factor + Offset.
type Unit struct {
	Code      string
	Dimension string
	Factor    float64
	Offset    float64
	Aliases   []string
}

// Conversion turns a value of one unit into another: value × Factor + Offset.
type Conversion struct{ Factor, Offset float64 }

// Spelling is one way to write a unit, folded as Fold does, and its conversion into the unit asked for.
type Spelling struct {
	Text string
	Conversion
}

// Apply converts one value.
func (c Conversion) Apply(value float64) float64 { return value*c.Factor + c.Offset }

// Identity says that the conversion changes nothing.
func (c Conversion) Identity() bool { return c.Factor == 1 && c.Offset == 0 }

// All returns the table, in order.
func All() []Unit { return slices.Clone(table) }

// Find looks a UCUM code or alias up; case, blanks and degree signs do not matter.
func Find(text string) (Unit, bool) {
	u, ok := byFold[Fold(text)]
	return u, ok
}

// Between gives the conversion from one unit to another of the same dimension.
func Between(from, to string) (Conversion, error) {
	f, ok := Find(from)
	if !ok {
		return Conversion{}, fmt.Errorf("unit %q is not known; expected a UCUM code or alias that converts to %s", from, to)
	}
	t, ok := Find(to)
	if !ok {
		return Conversion{}, fmt.Errorf("unit %q is not known", to)
	}
	if f.Dimension != t.Dimension {
		return Conversion{}, fmt.Errorf("unit %q measures %s, expected one that converts to %s (%s)", from, f.Dimension, to, t.Dimension)
	}
	return between(f, t), nil
}

// Spellings lists every way to write a unit that converts to the one named, in table order. An unknown target has none.
func Spellings(to string) []Spelling {
	t, ok := Find(to)
	if !ok {
		return nil
	}
	var all []Spelling
	for _, u := range table {
		if u.Dimension != t.Dimension {
			continue
		}
		for _, text := range append([]string{u.Code}, u.Aliases...) {
			all = append(all, Spelling{Fold(text), between(u, t)})
		}
	}
	return all
}

// Fold brings spellings of one unit together: lower case, no blanks, no degree sign, plain digits and u for µ.
func Fold(text string) string { return folding.Replace(strings.ToLower(text)) }

// FoldSQL is Fold for an SQL expression of type varchar.
func FoldSQL(expr string) string {
	return fmt.Sprintf("translate(lower(%s), '₂³µμ \u00a0°º', '23uu')", expr)
}

var folding = strings.NewReplacer(" ", "", "\u00a0", "", "°", "", "º", "", "₂", "2", "³", "3", "µ", "u", "μ", "u")

func between(f, t Unit) Conversion {
	if f.Code == t.Code {
		return Conversion{1, 0}
	}
	return Conversion{f.Factor / t.Factor, (f.Offset - t.Offset) / t.Factor}
}

var byFold = index()

func index() map[string]Unit {
	m := map[string]Unit{}
	for _, u := range table {
		for _, text := range append([]string{u.Code}, u.Aliases...) {
			m[Fold(text)] = u
		}
	}
	return m
}
