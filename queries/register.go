package queries

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"tripwake/pipeline/units"
)

// The years whose months the questions know; a moment outside them counts in no month.
const firstYear, lastYear = 1970, 2100

const utcLayout = "2006-01-02 15:04:05"

// register makes the settings known to SQL, so that no question carries a number of its own: a macro setting_KEY() for
// each number, unit factors, cylinder sizes and the offset changes of the team's zone as small tables.
func (r *Reader) register(ctx context.Context) error {
	statements := []string{cylinderTable(r.settings.CylinderFactors), zoneTable(r.settings.TimeZone), measureType(), factsTable, shapeTable(),
		deviceTable(r.settings.DeviceGas)}
	for _, n := range r.settings.numbers() {
		statements = append(statements, fmt.Sprintf("create or replace temp macro setting_%s() as %v::double", n.key, n.value))
	}
	for _, u := range [][3]string{{"psi", "kPa", "[psi]"}, {"bar", "kPa", "bar"}, {"pounds", "kg", "[lb_av]"}, {"kilopascals", "[psi]", "kPa"}} {
		c, err := units.Between(u[1], u[2])
		if err != nil {
			return err
		}
		statements = append(statements, fmt.Sprintf("create or replace temp macro in_%s(value) as value * %v::double", u[0], c.Factor))
	}
	for _, text := range statements {
		if _, err := r.db.ExecContext(ctx, text); err != nil {
			return fmt.Errorf("%w in: %.80s", err, text)
		}
	}
	return nil
}

const factsTable = `create or replace temp table facts (measure fact_measure, transport_id varchar, device varchar, month date,
	x double, t double, left_out varchar)`

func cylinderTable(factors map[string]float64) string {
	sizes := make([]string, 0, len(factors))
	for size, factor := range factors {
		sizes = append(sizes, fmt.Sprintf("(%s, %v::double)", literal(strings.ToUpper(size)), factor))
	}
	slices.Sort(sizes)
	return valuesTable("cylinder_factors", "size varchar, litres_per_psi double", sizes)
}

// zoneTable holds the stretches of one offset from UTC, from Go's time zone data, a few hundred rows at most: joined by
// range it costs far less than the engine's time zone functions row by row.
func zoneTable(zone *time.Location) string {
	var rows []string
	for _, s := range zoneStretches(zone) {
		rows = append(rows, fmt.Sprintf("(timestamp '%s', timestamp '%s', %d)", s.from.Format(utcLayout), s.until.Format(utcLayout), s.offset))
	}
	return valuesTable("zone_changes", "from_utc timestamp, until_utc timestamp, offset_seconds integer", rows)
}

// stretch is a time in which a zone keeps one offset from UTC, in seconds; until is not included.
type stretch struct {
	from, until time.Time
	offset      int
}

func zoneStretches(zone *time.Location) []stretch {
	var all []stretch
	end := time.Date(lastYear, 12, 31, 0, 0, 0, 0, time.UTC)
	for at := time.Date(firstYear-1, 12, 1, 0, 0, 0, 0, time.UTC); at.Before(end); {
		until := offsetUntil(zone, at, end)
		all = append(all, stretch{at, until, offsetAt(zone, at)})
		at = until
	}
	return all
}

// offsetUntil finds the second at which the offset in force at a moment changes, or end. time.ZoneBounds would say so too,
// but returns its own argument at the end of some years (Go 1.26, years beyond the zone's table), so days are tried in turn
// and the day of a change is halved down to a second.
func offsetUntil(zone *time.Location, at, end time.Time) time.Time {
	offset, same := offsetAt(zone, at), at
	for ; offsetAt(zone, same) == offset; same = same.AddDate(0, 0, 1) {
		if !same.Before(end) {
			return end
		}
	}
	before, after := same.AddDate(0, 0, -1).Unix(), same.Unix()
	for after-before > 1 {
		if middle := (before + after) / 2; offsetAt(zone, time.Unix(middle, 0)) == offset {
			before = middle
		} else {
			after = middle
		}
	}
	return time.Unix(after, 0).UTC()
}

func offsetAt(zone *time.Location, at time.Time) int {
	_, offset := at.In(zone).Zone()
	return offset
}

func valuesTable(name, columns string, rows []string) string {
	create := fmt.Sprintf("create or replace temp table %s (%s);", name, columns)
	if len(rows) == 0 {
		return create
	}
	return create + fmt.Sprintf("insert into %s values %s", name, strings.Join(rows, ", "))
}

func literal(text string) string { return "'" + strings.ReplaceAll(text, "'", "''") + "'" }
