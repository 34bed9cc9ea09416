//go:build crosscheck

package crosscheck

import (
	"bytes"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const (
	perKind   = 150
	tolerance = 1e-8
	// nothing is the absolute difference that counts as none, for numbers that
	// are 0 but for rounding and for p-values that nobody prints.
	nothing = 1e-13
)

// TestAgainstRAndPython writes random cases with a fixed seed, lets both
// programs answer them and compares every number.
func TestAgainstRAndPython(t *testing.T) {
	cases := make([]one, 0, perKind*len(kinds))
	r := rand.New(rand.NewPCG(1, 2))
	for _, kind := range slices.Sorted(maps.Keys(kinds)) {
		for range perKind {
			c := kinds[kind](r)
			c.kind = kind
			if c.err != nil {
				t.Fatalf("%s: %v", kind, c.err)
			}
			cases = append(cases, c)
		}
	}
	file := filepath.Join(t.TempDir(), "cases.txt")
	if err := os.WriteFile(file, []byte(write(cases)), 0o600); err != nil {
		t.Fatal(err)
	}
	seen := map[string]int{}
	compare(t, "R", cases, answers(t, "Rscript", "reference.R", file), seen)
	compare(t, "Python", cases, answers(t, "/usr/bin/python3", "reference.py", file), seen)
	for kind := range kinds {
		if seen[kind] < perKind {
			t.Errorf("%s: %d cases compared, want at least %d", kind, seen[kind], perKind)
		}
	}
	t.Logf("%d kinds, %d cases", len(kinds), len(cases))
}

// write makes a line of each case: id;kind;numbers;numbers.
func write(cases []one) string {
	var b strings.Builder
	for id, c := range cases {
		fmt.Fprintf(&b, "%d;%s", id, c.kind)
		for _, v := range c.in {
			b.WriteByte(';')
			for i, x := range v {
				if i > 0 {
					b.WriteByte(' ')
				}
				b.WriteString(strconv.FormatFloat(x, 'g', 17, 64))
			}
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// answers runs a program and reads its lines by id.
func answers(t *testing.T, program string, args ...string) map[int][]float64 {
	t.Helper()
	var out, errs bytes.Buffer
	cmd := exec.Command(program, args...)
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s %s: %v: %s", program, args[0], err, errs.String())
	}
	got := map[int][]float64{}
	for line := range strings.Lines(out.String()) {
		cells := strings.Fields(line)
		id, err := strconv.Atoi(cells[0])
		if err != nil {
			t.Fatalf("%s prints %q", program, line)
		}
		got[id] = []float64{}
		for _, c := range cells[1:] {
			v, err := strconv.ParseFloat(c, 64)
			if err != nil {
				t.Fatalf("%s prints %q", program, line)
			}
			got[id] = append(got[id], v)
		}
	}
	return got
}

// compare holds the leading numbers of each case against an answer: a program
// may know fewer of them, never more.
func compare(t *testing.T, name string, cases []one, got map[int][]float64, seen map[string]int) {
	t.Helper()
	worst, failures := map[string]float64{}, map[string]int{}
	for id, c := range cases {
		want, ok := got[id]
		if !ok {
			continue
		}
		seen[c.kind]++
		if len(want) > len(c.out) {
			t.Errorf("%s %s: %d numbers, stats has %d", name, c.kind, len(want), len(c.out))
			continue
		}
		for i, w := range want {
			off := apart(c.out[i], w)
			if math.Abs(c.out[i]-w) < nothing {
				continue
			}
			worst[c.kind] = math.Max(worst[c.kind], off)
			if off > tolerance && failures[c.kind] < 3 {
				failures[c.kind]++
				t.Errorf("%s %s, number %d of %.6v: stats %.15g, %s %.15g", name, c.kind, i, c.in, c.out[i], name, w)
			}
		}
	}
	for _, kind := range slices.Sorted(maps.Keys(worst)) {
		t.Logf("%-7s %-15s largest difference %.1e", name, kind, worst[kind])
	}
}

// apart is the difference in parts of the larger; NaN counts as all.
func apart(a, b float64) float64 {
	switch {
	case a == b:
		return 0
	case math.IsNaN(a) || math.IsNaN(b) || math.IsInf(a, 0) || math.IsInf(b, 0):
		return 1
	}
	return math.Abs(a-b) / math.Max(math.Abs(a), math.Abs(b))
}
