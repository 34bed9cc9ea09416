package stats

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"
)

// table reads a file of testdata, its first line being the header.
func table(t *testing.T, file string) [][]string {
	t.Helper()
	return lines(t, file)[1:]
}

func lines(t *testing.T, file string) [][]string {
	t.Helper()
	f, err := os.Open("testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// numbers parses cells, or one cell of numbers set apart by spaces.
func numbers(t *testing.T, cells ...string) []float64 {
	t.Helper()
	var out []float64
	for _, c := range strings.Fields(strings.Join(cells, " ")) {
		v, err := strconv.ParseFloat(c, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// named finds the line of a file that starts with a name.
func named(t *testing.T, file, name string) []float64 {
	t.Helper()
	for _, row := range lines(t, file) {
		if row[0] == name {
			return numbers(t, row[1:]...)
		}
	}
	t.Fatalf("%s has no line %q", file, name)
	return nil
}

func series(t *testing.T, name string) []float64 { t.Helper(); return named(t, "series.csv", name) }

// wanted is the one published value of a name.
func wanted(t *testing.T, name string) float64 {
	t.Helper()
	return named(t, "wanted.csv", name)[0]
}

// near holds got against want at a relative tolerance (absolute below 1).
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*math.Max(1e-300, math.Abs(want))) && !(want == 0 && math.Abs(got) <= tol) {
		t.Errorf("%s: got %.15g, want %.15g (relative %g)", what, got, want, tol)
	}
}

// must stops a test at an error.
func must[T any](v T, err error) func(*testing.T) T {
	return func(t *testing.T) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// refused holds that an error came and that it is one line.
func refused(t *testing.T, what string, err error) {
	t.Helper()
	if err == nil {
		t.Errorf("%s: no error", what)
		return
	}
	if strings.Contains(err.Error(), "\n") || !strings.HasPrefix(err.Error(), "stats: ") {
		t.Errorf("%s: error is not one clear line: %v", what, err)
	}
}

// sound holds that an estimate is finite and in order.
func sound(t *testing.T, what string, e Estimate) {
	t.Helper()
	if !isFinite(e.Value) || !isFinite(e.Low) || !isFinite(e.High) || e.Low > e.High || e.Method == "" {
		t.Errorf("%s: unsound estimate %+v", what, e)
	}
	if slack := 1e-12 * math.Abs(e.Value); e.Low > e.Value+slack || e.Value > e.High+slack {
		t.Errorf("%s: value outside its interval %+v", what, e)
	}
}

// soundChart holds that no number of a chart is NaN or infinite.
func soundChart(t *testing.T, what string, c Chart) {
	t.Helper()
	for i, p := range c.Points {
		for _, v := range []float64{p.Value, p.Centre, p.Lower, p.Upper, p.Sigma} {
			if !isFinite(v) {
				t.Errorf("%s: point %d holds %v: %+v", what, i, v, p)
			}
		}
		if p.Lower > p.Centre || p.Centre > p.Upper {
			t.Errorf("%s: point %d out of order: %+v", what, i, p)
		}
	}
}

func dice(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 20260301)) }

// shuffled is a copy in another order.
func shuffled(r *rand.Rand, v []float64) []float64 {
	out := make([]float64, len(v))
	for i, j := range r.Perm(len(v)) {
		out[i] = v[j]
	}
	return out
}

var nan, inf = math.NaN(), math.Inf(1)
