package stats

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
)

// odd draws a number that somebody may send: mostly small and whole, now and
// then absurd.
func odd(r *rand.Rand) float64 {
	strange := []float64{nan, inf, -inf, -1, 1e-320, 1e-69, 1e69, 1e300, math.MaxFloat64, 0.5, 1 << 53}
	switch r.IntN(12) {
	case 0:
		return strange[r.IntN(len(strange))]
	case 1:
		return r.NormFloat64()
	case 2, 3:
		return 0
	}
	return float64(r.IntN(30))
}

func odds(r *rand.Rand, n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = odd(r)
	}
	return v
}

// holdFinite walks a result and finds NaN and infinities at any depth.
func holdFinite(t *testing.T, where string, v reflect.Value) {
	t.Helper()
	switch v.Kind() {
	case reflect.Float64:
		if !isFinite(v.Float()) {
			t.Errorf("%s is %v", where, v.Float())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			holdFinite(t, where+"."+v.Type().Field(i).Name, v.Field(i))
		}
	case reflect.Slice:
		for i := range v.Len() {
			holdFinite(t, fmt.Sprintf("%s[%d]", where, i), v.Index(i))
		}
	}
}

// shown writes arguments for a message.
func shown(args []reflect.Value) string {
	text := ""
	for _, a := range args {
		text += fmt.Sprintf("%v ", a.Interface())
	}
	return text
}

// argument makes an argument of the type that a function asks for; n is the
// length of its slices.
func argument(r *rand.Rand, t reflect.Type, n int) reflect.Value {
	switch t {
	case reflect.TypeFor[float64]():
		return reflect.ValueOf(odd(r))
	case reflect.TypeFor[int]():
		return reflect.ValueOf(r.IntN(40) - 2)
	case reflect.TypeFor[bool]():
		return reflect.ValueOf(r.IntN(2) == 0)
	case reflect.TypeFor[[]bool]():
		v := make([]bool, n)
		for i := range v {
			v[i] = r.IntN(2) == 0
		}
		return reflect.ValueOf(v)
	case reflect.TypeFor[[]int]():
		v := make([]int, n)
		for i := range v {
			v[i] = r.IntN(3)
		}
		return reflect.ValueOf(v)
	case reflect.TypeFor[Options]():
		o := Options{}
		if r.IntN(2) == 0 && n > 2 {
			o = Options{Baseline: []int{0, n / 2}, Phases: []Phase{{0, n / 2}, {n / 2, n}}}
		}
		return reflect.ValueOf(o)
	case reflect.TypeFor[Model]():
		m := Model{Y: odds(r, n), Rows: make([][]float64, n)}
		for i := range m.Rows {
			m.Rows[i] = odds(r, 1)
			if r.IntN(20) > 0 && isFinite(m.Y[i]) { // else hardly a model would be fitted
				m.Y[i] = float64(r.IntN(2))
			}
		}
		return reflect.ValueOf(m)
	}
	if r.IntN(3) == 0 {
		return reflect.ValueOf(odds(r, n))
	}
	v := make([]float64, n)
	for i := range v {
		v[i] = float64(r.IntN(20))
	}
	if r.IntN(2) == 0 {
		v = sortedCopy(v)
	}
	return reflect.ValueOf(v)
}

// Whatever comes in, every function refuses by an error of one line or
// answers with finite numbers; none panics. 400 draws each, fixed seed.
func TestGarbage(t *testing.T) {
	functions := map[string]any{
		"Quantile": Quantile, "Median": Median, "Mean": Mean, "SD": SD, "LagOne": LagOne,
		"MedianInterval": MedianInterval, "Wilson": Wilson, "WilsonAt": WilsonAt, "ClopperPearson": ClopperPearson,
		"ClopperPearsonAt": ClopperPearsonAt, "PoissonExact": PoissonExact, "PoissonExactAt": PoissonExactAt,
		"GeometricMeanInterval": GeometricMeanInterval, "GeometricMeanRatio": GeometricMeanRatio,
		"ClusteredRate": ClusteredRate, "PoissonTail": PoissonTail,
		"PChart": PChart, "PPrime": PPrime, "PAuto": PAuto, "UChart": UChart, "UPrime": UPrime, "UAuto": UAuto,
		"CChart": CChart, "XmR": XmR, "XmRLog": XmRLog, "GChart": GChart, "GChartProbability": GChartProbability,
		"TChart": TChart, "RunChart": RunChart, "RunFalseAlarm": RunFalseAlarm,
		"FunnelProportions": FunnelProportions, "FunnelRates": FunnelRates,
		"NewcombeDifference": NewcombeDifference, "WaldDifference": WaldDifference, "RiskRatio": RiskRatio,
		"OddsRatio": OddsRatio, "RateRatio": RateRatio, "ChiSquare": ChiSquare,
		"OddsRatioConditional": OddsRatioConditional, "Fisher": Fisher,
		"MannWhitney": MannWhitney, "BlandAltman": BlandAltman, "BlandAltmanLog": BlandAltmanLog,
		"SpreadGrowth": SpreadGrowth, "Concordance": Concordance, "Calibration": Calibration,
		"MTBF": MTBF, "MTBFFailureTruncated": MTBFFailureTruncated, "ObservedExpected": ObservedExpected,
		"KaplanMeier": KaplanMeier, "LogRank": LogRank,
		"PoissonRegression": PoissonRegression, "LogisticRegression": LogisticRegression,
		"ErlangB": ErlangB, "ErlangC": ErlangC, "FleetUp": FleetUp, "Availability": Availability,
		"StandardizedDifference": StandardizedDifference, "StandardizedDifferenceOfProportions": StandardizedDifferenceOfProportions,
		"StandardizedDifferenceOfLevels": StandardizedDifferenceOfLevels,
	}
	for name, function := range functions {
		r, f := dice(99), reflect.ValueOf(function)
		answered := 0
		for range 400 {
			n := r.IntN(16)
			var args []reflect.Value
			for i := range f.Type().NumIn() {
				args = append(args, argument(r, f.Type().In(i), n))
			}
			results := f.Call(args)
			if err, _ := results[len(results)-1].Interface().(error); err != nil {
				refused(t, name, err)
				continue
			}
			answered++
			for _, v := range results[:len(results)-1] {
				holdFinite(t, fmt.Sprintf("%s(%s)", name, shown(args)), v)
			}
		}
		if answered == 0 {
			t.Errorf("%s never answered: the draw tests nothing", name)
		}
	}
}
