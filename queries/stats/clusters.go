package stats

import (
	"errors"
	"fmt"
	"math/big"
)

// ClusterSums are what the interval of a rate needs of clusters with x events in exposure t each: how many there are, in how many
// of them is an event, and the sums of x, t, x², x·t and t². Events and exposures are whole numbers, of microseconds for instance,
// so that these sums are exact in whatever order they were added, and millions of clusters need no list.
type ClusterSums struct {
	Clusters, Hit    int
	X, T, XX, XT, TT *big.Int
}

// Rate is what ClusteredRate gives for the clusters, with unit times their exposure counted as one: 3.6e9 for a rate per hour of
// exposures in microseconds. Refused: fewer than 2 clusters, no exposure, sums that are not those of any clusters.
func (c ClusterSums) Rate(unit float64) (Estimate, error) {
	if err := c.fit(); err != nil {
		return Estimate{}, err
	}
	return clusteredRate(c.Clusters, c.Hit, whole(c.X), whole(c.T)/unit, c.apart())
}

// apart is Σ(x - r t)² with r = Σx/Σt, worked out without rounding: Σx² - 2 r Σxt + r² Σt² is a small difference of large numbers.
func (c ClusterSums) apart() float64 {
	exposure := new(big.Int).Mul(c.T, c.T)
	squares := new(big.Int).Mul(c.XX, exposure)
	mixed := new(big.Int).Mul(c.XT, new(big.Int).Mul(c.X, c.T))
	squares.Sub(squares, mixed.Lsh(mixed, 1))
	squares.Add(squares, new(big.Int).Mul(c.TT, new(big.Int).Mul(c.X, c.X)))
	apart, _ := new(big.Rat).SetFrac(squares, exposure).Float64()
	return apart
}

func (c ClusterSums) fit() error {
	for i, sum := range []*big.Int{c.X, c.T, c.XX, c.XT, c.TT} {
		if sum == nil || sum.Sign() < 0 {
			return fmt.Errorf("stats: the sum of %s over clusters must be a whole number not below 0, got %v", []string{"x", "t", "x²", "xt", "t²"}[i], sum)
		}
	}
	if err := first(atLeast("a clustered rate", c.Clusters, 2), positive("exposure", whole(c.T))); err != nil {
		return err
	}
	if c.apart() < 0 {
		return errors.New("stats: the sums are not those of the same clusters")
	}
	return nil
}

func whole(n *big.Int) float64 {
	f, _ := new(big.Float).SetInt(n).Float64()
	return f
}
