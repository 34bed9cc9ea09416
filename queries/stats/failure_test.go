package stats

import (
	"math"
	"strconv"
	"strings"
	"testing"
)

// NIST/SEMATECH e-Handbook 8.4.5.1 and values of checks.md.
func TestMTBFPublished(t *testing.T) {
	for name, c := range map[string][3]float64{"mtbf_1600h_2_95": {1600, 2, 0.95}, "mtbf_nist_800h_2_90": {800, 2, 0.90}} {
		e := must(MTBF(c[0], c[1], c[2]))(t)
		near(t, name, e.Value, wanted(t, name+".mtbf"), 1e-12)
		near(t, name+" lower", e.Low, wanted(t, name+".lower"), 1e-9)
		near(t, name+" upper", e.High, wanted(t, name+".upper"), 1e-9)
		f := must(MTBFFailureTruncated(c[0], c[1], c[2]))(t)
		near(t, name+" failure truncated", f.Low, wanted(t, name+".lower_failtrunc"), 1e-9)
	}
	none := must(MTBF(1000, 0, 0.95))(t)
	near(t, "no failure", none.Low, 1000/2.9957, 2e-5)
	if !none.Infinite || !none.Open || none.Warning == "" {
		t.Errorf("no failure: %+v", none)
	}
	for _, b := range [][3]float64{{0, 1, 0.9}, {10, -1, 0.9}, {10, 1.5, 0.9}, {nan, 1, 0.9}, {10, 1, 0}, {10, nan, 0.9}} {
		_, err := MTBF(b[0], b[1], b[2])
		refused(t, "mtbf", err)
	}
	_, err := MTBFFailureTruncated(10, 0, 0.9)
	refused(t, "no failure", err)
}

// Erlang B and C, checks.md: names hold load and servers.
func TestErlangPublished(t *testing.T) {
	seen := 0
	for _, row := range lines(t, "wanted.csv") {
		name, ok := strings.CutPrefix(row[0], "erl")
		if !ok {
			continue
		}
		seen++
		parts := strings.Split(name, "_")
		load, _ := strconv.ParseFloat(parts[1][1:], 64)
		servers, _ := strconv.Atoi(parts[2][1:])
		f := ErlangB
		if parts[0] == "c" {
			f = ErlangC
		}
		near(t, row[0], must(f(load, servers))(t), numbers(t, row[1])[0], 1e-11)
	}
	if seen != 11 {
		t.Errorf("%d values, want 11", seen)
	}
	near(t, "no server", must(ErlangB(3, 0))(t), 1, 0)
	near(t, "no load", must(ErlangB(0, 2))(t), 0, 0)
	near(t, "many", must(ErlangB(1000, 5000))(t), 0, 1e-9)
	_, err := ErlangB(nan, 2)
	refused(t, "NaN", err)
	_, err = ErlangB(1, -1)
	refused(t, "servers", err)
	_, err = ErlangC(5, 5)
	refused(t, "queue without end", err)
	_, err = ErlangC(0, 0)
	refused(t, "no server", err)
}

// checks.md: four units each 95 % available, at least three up: 0.98598.
func TestFleet(t *testing.T) {
	near(t, "4 units", must(FleetUp(4, 3, 0.95))(t), math.Pow(0.95, 4)+4*math.Pow(0.95, 3)*0.05, 1e-12)
	near(t, "4 units, printed", must(FleetUp(4, 3, 0.95))(t), 0.98598, 1e-5)
	near(t, "availability", must(Availability(400, 24))(t), 0.9434, 1e-4)
	if n := must(SmallestFleet(3, 0.95, 0.98))(t); n != 4 {
		t.Errorf("smallest fleet %d, want 4", n)
	}
	if n := must(SmallestFleet(3, 0.95, 0.99))(t); n != 5 {
		t.Errorf("smallest fleet %d, want 5", n)
	}
	for _, v := range [][2]float64{{1, 1}, {0, 0}} {
		near(t, "certain", must(FleetUp(3, 2, v[0]))(t), v[1], 0)
	}
	near(t, "none needed", must(FleetUp(0, 0, 0.5))(t), 1, 0)
	near(t, "too many", must(FleetUp(2, 3, 0.5))(t), 0, 0)
	_, err := FleetUp(2, 1, nan)
	refused(t, "NaN", err)
	_, err = SmallestFleet(1, 0, 0.9)
	refused(t, "never up", err)
	_, err = SmallestFleet(1, 0.5, 1)
	refused(t, "certainty", err)
	_, err = Availability(0, 1)
	refused(t, "mtbf 0", err)
	_, err = Availability(1, nan)
	refused(t, "mttr NaN", err)
}

// The two intervals of a rate and of its mean time are the same numbers.
func TestMTBFMirrorsPoisson(t *testing.T) {
	for k := 1.0; k < 60; k += 7 {
		rate, mtbf := must(PoissonExact(k, 500))(t), must(MTBF(500, k, 0.95))(t)
		near(t, "lower", mtbf.Low, 1/rate.High, 1e-12)
		near(t, "upper", mtbf.High, 1/rate.Low, 1e-12)
	}
	near(t, "observed over expected", must(ObservedExpected(5, 2))(t).Value, 2.5, 0)
}
