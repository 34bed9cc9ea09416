package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"tripwake/pipeline/units"
)

//go:embed gas_loads.sql
var gasLoadsSQL string

// GasLoad is what one transport asked of its carried cylinders of a gas: litres Used, and the last demand in L/min (0: nothing
// was asked for). Short says that what was left on arrival was below the reserve; LeftOut why it cannot be judged.
type GasLoad struct {
	TransportID    string
	At             time.Time // accepted, called or departed, the first filled; zero without any
	Device, Team   string
	Used, LastFlow float64
	Short          bool
	LeftOut        string
}

// GasLoads lists what each transport took of a gas ("oxygen", "air", "nitric_oxide") from its carried cylinders, in order of time.
func (r *Reader) GasLoads(ctx context.Context, gas, from, to string) ([]GasLoad, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, gasLoadsSQL, func(rows *sql.Rows) (GasLoad, error) {
		var g GasLoad
		var at sql.NullTime
		err := rows.Scan(&g.TransportID, &at, &g.Device, &g.Team, &g.Used, &g.LastFlow, &g.Short, &g.LeftOut)
		g.At = at.Time
		return g, err
	}, append(args, sql.Named("gas", gas))...)
}

// waterVolume is a metric cylinder, as the contents of recorded cylinders read it: "10", "10 L", "2.5L".
var waterVolume = regexp.MustCompile(`^([0-9]+(?:[.,][0-9]+)?) *L?$`)

// Usable is the free gas, in L, that a cylinder of that size gives from a gauge pressure down to the residual one, both in psi:
// by factor for a size of CylinderFactors, else by water volume. It refuses a size that is neither.
func (s Settings) Usable(size string, pressure float64) (float64, error) {
	name := strings.ToUpper(strings.TrimSpace(size))
	above := max(0, pressure-s.ResidualPressure)
	if factor, ok := s.CylinderFactors[name]; ok {
		return above * factor, nil
	}
	found := waterVolume.FindStringSubmatch(name)
	if found == nil {
		return 0, fmt.Errorf("size %q: expected a size of cylinder_factors, or a water volume such as 2 L", size)
	}
	volume, err := strconv.ParseFloat(strings.Replace(found[1], ",", ".", 1), 64)
	if err != nil {
		return 0, err
	}
	bars, err := units.Between("[psi]", "bar")
	if err != nil {
		return 0, err
	}
	return above * bars.Factor * volume, nil
}
