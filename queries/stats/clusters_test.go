package stats

import (
	"math"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"
)

// clusterSums adds clusters up.
func clusterSums(x, t []float64) ClusterSums {
	c := ClusterSums{Clusters: len(x), X: new(big.Int), T: new(big.Int), XX: new(big.Int), XT: new(big.Int), TT: new(big.Int)}
	for i := range x {
		events, exposure := big.NewInt(int64(x[i])), big.NewInt(int64(t[i]))
		if x[i] > 0 {
			c.Hit++
		}
		c.X.Add(c.X, events)
		c.T.Add(c.T, exposure)
		c.XX.Add(c.XX, new(big.Int).Mul(events, events))
		c.XT.Add(c.XT, new(big.Int).Mul(events, exposure))
		c.TT.Add(c.TT, new(big.Int).Mul(exposure, exposure))
	}
	return c
}

// The sums say what the clusters say, of some clusters or of many, in hours or in microseconds.
func TestRateOfClusterSums(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, clusters := range []int{2, 3, 9, 10, 1000, 100_000} {
		x, hours, micros := make([]float64, clusters), make([]float64, clusters), make([]float64, clusters)
		for i := range x {
			x[i], micros[i] = float64(random.IntN(5)), float64(1+random.Int64N(1e10))
			hours[i] = micros[i] / 3.6e9
		}
		got, want := must(clusterSums(x, micros).Rate(3.6e9))(t), must(ClusteredRate(x, hours))(t)
		for i, pair := range [][2]float64{{got.Value, want.Value}, {got.Low, want.Low}, {got.High, want.High}} {
			if math.Abs(pair[0]-pair[1]) > 1e-11*pair[1] {
				t.Errorf("%d clusters: value, low, high %d: got %v, want %v", clusters, i, pair[0], pair[1])
			}
		}
		if got.Method != want.Method || got.Warning != want.Warning {
			t.Errorf("%d clusters: %q %q, want %q %q", clusters, got.Method, got.Warning, want.Method, want.Warning)
		}
	}
}

// A small difference of large sums is exact: a million clusters of one rate have an interval of no width, and one of them that
// differs by a microsecond gives it the width that it has.
func TestClusterSumsAreExact(t *testing.T) {
	const clusters, each, exposure = 1_000_000, 7, 12_345_678_901
	x, micros := make([]float64, clusters), make([]float64, clusters)
	for i := range x {
		x[i], micros[i] = each, exposure
	}
	e := must(clusterSums(x, micros).Rate(3.6e9))(t)
	if e.Low != e.Value || e.High != e.Value || !strings.Contains(e.Warning, "no width") {
		t.Errorf("all of one rate: %+v", e)
	}
	micros[0]++
	// Of m clusters one has t + 1: Σ(x - r t)² = r² (1 - 1/m) with r = m x / (m t + 1), so the half width is z / (m t + 1).
	half := zTwoSided(Level) / (clusters*exposure + 1)
	if got := clusterSums(x, micros).apart(); math.Abs(got/(each*each/float64(exposure)/float64(exposure))-1) > 1e-5 {
		t.Errorf("one apart by a microsecond: squares of %v", got)
	}
	if e = must(clusterSums(x, micros).Rate(1))(t); math.Abs(math.Log(e.High/e.Value)-half) > 1e-15 {
		t.Errorf("one apart by a microsecond: half width %v, want %v", math.Log(e.High/e.Value), half)
	}
}

func TestClusterSumsRefused(t *testing.T) {
	good := func() ClusterSums { return clusterSums([]float64{1, 2}, []float64{3, 4}) }
	for want, spoil := range map[string]func(*ClusterSums){
		"at least 2 values":              func(c *ClusterSums) { c.Clusters = 1 },
		"the sum of xt over clusters":    func(c *ClusterSums) { c.XT = nil },
		"the sum of x over clusters":     func(c *ClusterSums) { c.X = big.NewInt(-1) },
		"exposure":                       func(c *ClusterSums) { c.T = new(big.Int) },
		"not those of the same clusters": func(c *ClusterSums) { c.XT = big.NewInt(1000) },
	} {
		c := good()
		spoil(&c)
		if _, err := c.Rate(1); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want an error about %q", err, want)
		}
	}
	none := clusterSums([]float64{0, 0}, []float64{3, 4})
	if e := must(none.Rate(1))(t); e.Method != "poisson exact" || e.Warning == "" {
		t.Errorf("no events: %+v", e)
	}
}
