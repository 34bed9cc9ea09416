package stats

import "fmt"

// Availability is up/(up+down), mean time between failures over that plus mean
// time to repair, same unit; 0 to 1. Repair time 0 gives 1. Refused: up at or
// below 0, down negative, NaN. Source: NIST/SEMATECH e-Handbook 8.1.7.
func Availability(mtbf, mttr float64) (float64, error) {
	if err := positive("mtbf", mtbf); err != nil {
		return 0, err
	}
	if !(mttr >= 0) || !isFinite(mttr) {
		return 0, fmt.Errorf("stats: mttr is %v: expected a finite time from 0", mttr)
	}
	return 1 / (1 + mttr/mtbf), nil
}

// FleetUp is the probability that at least need of units are up, each with
// the same availability (0 to 1) and independent of the others (binomial). Need
// 0 gives 1; need above units gives 0. Refused: availability outside 0 to 1,
// negative numbers. Source: binomial law.
func FleetUp(units, need int, availability float64) (float64, error) {
	if units < 0 || need < 0 || !(availability >= 0 && availability <= 1) {
		return 0, fmt.Errorf("stats: fleet of %d with %d needed and availability %v: expected numbers from 0 and an availability from 0 to 1", units, need, availability)
	}
	switch {
	case need == 0:
		return 1, nil
	case need > units:
		return 0, nil
	}
	// At least need up is at most units-need down.
	return binomialCDF(float64(units-need), float64(units), 1-availability), nil
}

// SmallestFleet is the least number of units for which FleetUp reaches target
// (0 to 1). Refused: what FleetUp refuses, target outside (0, 1), availability 0,
// more than 1e5 units. Source: binomial law.
func SmallestFleet(need int, availability, target float64) (int, error) {
	if err := levelInside(target); err != nil {
		return 0, err
	}
	for units := need; units <= 1e5; units++ {
		up, err := FleetUp(units, need, availability)
		if err != nil {
			return 0, err
		}
		if up >= target {
			return units, nil
		}
		if availability == 0 {
			break
		}
	}
	return 0, fmt.Errorf("stats: no fleet up to 100000 units keeps %d up with availability %v at %v: expected a higher availability or a lower target", need, availability, target)
}
