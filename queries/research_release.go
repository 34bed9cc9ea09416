package queries

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"database/sql"
	_ "embed"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

var (
	//go:embed research_codes.sql
	researchCodesSQL string
	//go:embed research_disclosed.sql
	researchDisclosedSQL string
	//go:embed research_chosen.sql
	researchChosenSQL string
	//go:embed research_classes.sql
	researchClassesSQL string
)

// Pseudonym is the privacy class of codes that stand for a transport or a patient.
const Pseudonym Privacy = "keyed pseudonym"

// Values of quasi-identifiers that were made less exact.
const (
	Withheld    = "withheld" // the cell was emptied since too few transports shared it
	anyAircraft = "air"      // rotor or fixed_wing
	preterm     = "under 37" // any band of fewer completed weeks
)

// Disclosure says how much of the quasi-identifiers an extract tells.
//
// K is the fewest transports that may share all quasi-identifiers; 1 asks for nothing. Year says whether calendar years are
// told. AgeLimits (days) and WeightLimits (grams) are the limits between bands, rising. Key is the secret of the
// pseudonyms. Members says for each current transport, in order of its key, whether it is in the cohort; nil: all are.
type Disclosure struct {
	K                       int
	Year                    bool
	AgeLimits, WeightLimits []float64
	Key                     []byte
	Members                 []bool
}

// DefaultDisclosure is the disclosure that settings begin with: five transports at least (common practice), years told, as
// 45 CFR 164.514(b)(2)(i)(C) lets them be, ages cut at a week, the neonatal limit, 1, 5, 12 years, weights at the limits of
// extremely low, very low and low birth weight (ICD-10 P07) and beyond.
func DefaultDisclosure() Disclosure {
	return Disclosure{K: 5, Year: true, AgeLimits: []float64{7, 29, 365, 1826, 4383}, WeightLimits: []float64{1000, 1500, 2500, 5000, 10000, 20000}}
}

// Validate refuses what no extract can be made with, the key apart; the error names the setting.
func (d Disclosure) Validate() error {
	if d.K < 1 || d.K > 1000 {
		return fmt.Errorf("extract_k: expected a number from 1 to 1000, got %d", d.K)
	}
	return firstError(rising("extract_age_limits", d.AgeLimits), rising("extract_weight_limits", d.WeightLimits))
}

func rising(key string, limits []float64) error {
	for i, limit := range limits {
		if math.IsNaN(limit) || math.IsInf(limit, 0) || limit <= 0 || (i > 0 && limit <= limits[i-1]) {
			return fmt.Errorf("%s: expected rising numbers above 0, got %v", key, limits)
		}
	}
	return nil
}

// Quasi lists the quasi-identifiers of an extract in the order of its columns.
var quasi = []string{"year", "sex", "vehicle", "gestation_band", "diagnosis", "birth_weight_band", "weight_band", "age_group"}

// Generalisation is one step by which transports in too small a class were told less exactly: what became of which column,
// and in how many transports.
type Generalisation struct {
	Column, Change string
	Cells          int
}

// Classes reports how well quasi-identifiers hide a transport among others. A class is all transports that share them.
//
// Asked counts the transports of the cohort; LeftOut those that could not be hidden at all. SmallestBefore and InSmallBefore
// are the size of the smallest class and the transports in classes under K before anything was changed, Smallest and
// InSmall after it (InSmall is 0 unless K was not kept).
type Classes struct {
	K, Asked, Released, LeftOut   int
	SmallestBefore, InSmallBefore int
	Smallest, InSmall             int
	QuasiIdentifiers              []string
	Steps                         []Generalisation
}

// Release prepares the extract of the research data set: pseudonyms, bands, and less exact quasi-identifiers wherever fewer
// than K transports share them. Tables then read it in batches. It refuses a cohort in which nothing can be released.
func (r *Reader) Release(ctx context.Context, d Disclosure) (Classes, error) {
	if err := d.Validate(); err != nil {
		return Classes{}, err
	}
	if len(d.Key) < sha256.Size {
		return Classes{}, fmt.Errorf("key_file: expected a key of at least %d bytes, got %d", sha256.Size, len(d.Key))
	}
	if _, err := r.Research(ctx); err != nil {
		return Classes{}, err
	}
	if err := r.encode(ctx, d.Key); err != nil {
		return Classes{}, err
	}
	if err := r.choose(ctx, d.Members); err != nil {
		return Classes{}, err
	}
	if err := r.run(ctx, d.disclosedSQL()); err != nil {
		return Classes{}, err
	}
	return r.protect(ctx, d)
}

func (r *Reader) run(ctx context.Context, text string, args ...any) error {
	if _, err := r.db.ExecContext(ctx, text, args...); err != nil {
		return fmt.Errorf("queries: extract: %w", err)
	}
	return nil
}

// encode makes the pseudonyms in the engine, all in one statement. They differ from those of reports made with the same
// key, so that a report, which tells months, does not give an extract's rows away.
func (r *Reader) encode(ctx context.Context, key []byte) error {
	if err := r.run(ctx, "create or replace temp table research_codes (transport_id varchar, code varchar, patient_code varchar)"); err != nil {
		return err
	}
	inner, outer := pads(extractKey(key))
	return r.run(ctx, researchCodesSQL, sql.Named("inner", inner), sql.Named("outer", outer))
}

// choose puts the cohort's transports into the temporary table `chosen`.
func (r *Reader) choose(ctx context.Context, members []bool) error {
	if members == nil {
		return nil
	}
	var places []string
	for i, in := range members {
		if in {
			places = append(places, strconv.Itoa(i+1))
		}
	}
	if err := r.run(ctx, "create or replace temp table chosen (transport_id varchar)"); err != nil {
		return err
	}
	return r.run(ctx, researchChosenSQL, sql.Named("places", strings.Join(places, ",")))
}

func extractKey(key []byte) []byte {
	mac := hmac.New(sha256.New, key)
	mac.Write([]byte("extract"))
	return mac.Sum(nil)
}

// pads are the two blocks of RFC 2104, with a key of at most a block.
func pads(key []byte) (inner, outer []byte) {
	inner, outer = make([]byte, sha256.BlockSize), make([]byte, sha256.BlockSize)
	copy(inner, key)
	copy(outer, key)
	for i := range inner {
		inner[i] ^= 0x36
		outer[i] ^= 0x5c
	}
	return inner, outer
}

func (d Disclosure) disclosedSQL() string {
	year, members := "year", "true"
	if !d.Year {
		year = "null::bigint"
	}
	if d.Members != nil {
		members = "r.transport_id in (select transport_id from chosen)"
	}
	return fmt.Sprintf(researchDisclosedSQL, year, bandSQL("birth_weight", "g", d.WeightLimits), bandSQL("weight", "g", d.WeightLimits),
		bandSQL("age_at_call", "d", d.AgeLimits), d.K, members)
}

// bands names the bands between limits, from the lowest.
func bands(unit string, limits []float64) []string {
	if len(limits) == 0 {
		return []string{"any"}
	}
	names := []string{fmt.Sprintf("under %g %s", limits[0], unit)}
	for i := 1; i < len(limits); i++ {
		names = append(names, fmt.Sprintf("%g to under %g %s", limits[i-1], limits[i], unit))
	}
	return append(names, fmt.Sprintf("%g %s and more", limits[len(limits)-1], unit))
}

func bandSQL(column, unit string, limits []float64) string {
	names := bands(unit, limits)
	var b strings.Builder
	fmt.Fprintf(&b, "case when %s is null then %s ", column, literal(NotRecorded))
	for i, limit := range limits {
		fmt.Fprintf(&b, "when round(%s, 9) < %v then %s ", column, limit, literal(names[i]))
	}
	return b.String() + "else " + literal(names[len(names)-1]) + " end"
}

// generalisation is one step in SQL: what a column becomes in the transports of classes that are too small.
type generalisation struct{ column, to, change string }

// generalisations are the steps, in rising order of what research loses by them. After the last, nothing is told.
func generalisations() []generalisation {
	withhold := func(column string) generalisation {
		return generalisation{column, literal(Withheld), Withheld}
	}
	return []generalisation{
		withhold("birth_weight_band"), withhold("weight_band"),
		{"age_group", "age_band", "widened to age_band"},
		{"vehicle", "if(vehicle in ('rotor', 'fixed_wing'), " + literal(anyAircraft) + ", vehicle)", "aircraft not told apart"},
		{"gestation_band", "if(gestation_band in ('under 28', '28–31', '32–36'), " + literal(preterm) + ", gestation_band)", "widened to under 37"},
		withhold("age_group"), withhold("diagnosis"), withhold("vehicle"), withhold("gestation_band"), withhold("sex"),
		{"year", "null", Withheld},
	}
}

// protect takes the steps in turn, each in the classes that are still too small; what cannot be hidden is left out.
func (r *Reader) protect(ctx context.Context, d Disclosure) (Classes, error) {
	c := Classes{K: d.K, QuasiIdentifiers: slices.Clone(quasi)}
	var err error
	if c.Asked, c.SmallestBefore, c.InSmallBefore, err = r.classes(ctx, d.K); err != nil {
		return c, err
	}
	for _, g := range generalisations() {
		cells, err := r.generalise(ctx, g)
		if err != nil {
			return c, err
		}
		c.Steps = append(c.Steps, Generalisation{g.column, g.change, cells})
		if err := r.smallClasses(ctx, d.K); err != nil {
			return c, err
		}
	}
	if err := r.run(ctx, "delete from disclosed where code in (select code from small_classes)"); err != nil {
		return c, err
	}
	c.Released, c.Smallest, c.InSmall, err = r.classes(ctx, d.K)
	c.LeftOut = c.Asked - c.Released
	if err == nil && c.Released == 0 {
		err = fmt.Errorf("nothing can be released: the cohort has %d transports and extract_k asks for %d that share what is told; widen the cohort", c.Asked, d.K)
	}
	return c, err
}

func (r *Reader) generalise(ctx context.Context, g generalisation) (int, error) {
	result, err := r.db.ExecContext(ctx, fmt.Sprintf("update disclosed set %[1]s = %[2]s where code in (select code from small_classes) and %[1]s is distinct from %[2]s", g.column, g.to))
	if err != nil {
		return 0, fmt.Errorf("queries: extract: %s: %w", g.column, err)
	}
	cells, err := result.RowsAffected()
	return int(cells), err
}

// smallClasses finds the transports in classes under k anew.
func (r *Reader) smallClasses(ctx context.Context, k int) error {
	return r.run(ctx, fmt.Sprintf(researchClassesSQL, strings.Join(quasi, ", "), k))
}

// classes does so and counts all transports, those of the smallest class and those in classes under k.
func (r *Reader) classes(ctx context.Context, k int) (all, smallest, inSmall int, err error) {
	if err := r.smallClasses(ctx, k); err != nil {
		return 0, 0, 0, err
	}
	err = r.db.QueryRowContext(ctx, fmt.Sprintf(`select count(*), coalesce((select min(n) from (select count(*) as n from disclosed group by %s)), 0),
		(select count(*) from small_classes) from disclosed`, strings.Join(quasi, ", "))).Scan(&all, &smallest, &inSmall)
	if err != nil {
		return 0, 0, 0, fmt.Errorf("queries: extract: %w", err)
	}
	return all, smallest, inSmall, nil
}
