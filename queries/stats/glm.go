package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Model is what a regression is fitted to.
type Model struct {
	// Rows holds the covariates of each case, without the intercept, all of
	// the same length (which may be 0: intercept only).
	Rows [][]float64
	// Y is the outcome: whole counts from 0 (Poisson), 0 or 1 (logistic).
	Y []float64
	// Offset is added to the linear predictor, such as ln exposure; nil: 0.
	Offset []float64
	// Cluster numbers the cases that belong together (a patient moved twice);
	// nil: all independent. Standard errors are then robust.
	Cluster []int
}

// Coefficient is one term of a fitted model.
type Coefficient struct {
	Value, SE, Z, P float64
	// Ratio is exp(Value), a rate ratio or an odds ratio per unit of the
	// covariate, with exp(Value ± z SE); method "wald", or "wald, clustered".
	Ratio Estimate
}

// Fit is a fitted model; Terms[0] is the intercept, the others in the order
// of the columns of Rows.
type Fit struct {
	Terms    []Coefficient
	Deviance float64
	N        int
	Clusters int // 0 if cases are independent
	Steps    int
	Warning  string
}

// family is what tells Poisson and logistic regression apart; eta is the
// linear predictor, mu the mean.
type family struct {
	name     string
	start    func(y float64) (mu float64)
	link     func(mu float64) (eta float64)
	mean     func(eta float64) (mu float64)
	variance func(mu float64) float64
	deviance func(y, mu float64) float64
	outcome  func(y float64) bool
	wanted   string
}

var poissonFamily = family{
	name: "poisson regression", wanted: "a whole count from 0",
	start: func(y float64) float64 { return y + 0.1 }, link: math.Log, mean: math.Exp,
	variance: func(mu float64) float64 { return mu },
	deviance: func(y, mu float64) float64 { return 2 * (xlogy(y, mu) - (y - mu)) },
	outcome:  func(y float64) bool { return count("", y) == nil },
}

var logisticFamily = family{
	name: "logistic regression", wanted: "0 or 1",
	start:    func(y float64) float64 { return (y + 0.5) / 2 },
	link:     func(mu float64) float64 { return math.Log(mu / (1 - mu)) },
	mean:     func(eta float64) float64 { return 1 / (1 + math.Exp(-eta)) },
	variance: func(mu float64) float64 { return mu * (1 - mu) },
	deviance: func(y, mu float64) float64 { return 2 * (xlogy(y, mu) + xlogy(1-y, 1-mu)) },
	outcome:  func(y float64) bool { return y == 0 || y == 1 },
}

// xlogy is y ln(y/mu), 0 at y = 0.
func xlogy(y, mu float64) float64 {
	if y == 0 {
		return 0
	}
	return y * math.Log(y/mu)
}

// maxSteps bounds the fitting; a model that has a finite solution needs a
// dozen. settled is the greatest change of a linear predictor, relative to
// the largest, that counts as none: steps converge quadratically, so the
// next would be at rounding.
const (
	maxSteps = 60
	settled  = 1e-10
)

// PoissonRegression fits ln E(y) = b0 + Σ b x + offset by iteratively
// reweighted least squares on a QR decomposition until the linear predictor
// stands still (as R's glm with epsilon 1e-14). Standard errors from the
// expected information, or with Model.Cluster the sandwich over clusters
// times G/(G-1). Fewer than 10 cases (or 20 clusters) per term: a warning.
// Refused: fewer cases than terms + 1, ragged rows, NaN, outcomes that are no
// counts, all outcomes 0, columns that depend on each other, separation (no
// finite solution), fewer clusters than terms + 1. Source: McCullagh P, Nelder
// JA. Generalized Linear Models, 1989, 2.5.
func PoissonRegression(m Model) (Fit, error) { return fit(m, poissonFamily) }

// LogisticRegression fits ln(p/(1-p)) = b0 + Σ b x + offset to outcomes 0 and 1.
// Refused also: outcomes all 0 or all 1. Otherwise as PoissonRegression.
func LogisticRegression(m Model) (Fit, error) { return fit(m, logisticFamily) }

func fit(m Model, f family) (Fit, error) {
	design, err := m.design(f)
	if err != nil {
		return Fit{}, err
	}
	state, err := irls(m, design, f)
	if err != nil {
		return Fit{}, err
	}
	cov, clusters, err := m.covariance(state, design, f)
	if err != nil {
		return Fit{}, err
	}
	out := Fit{N: len(m.Y), Clusters: clusters, Steps: state.steps, Deviance: state.deviance}
	out.Terms = make([]Coefficient, state.beta.Len())
	for j := range out.Terms {
		out.Terms[j] = coefficient(state.beta.AtVec(j), math.Sqrt(cov.At(j, j)), clusters > 0)
	}
	out.Warning = sparse(len(m.Y), clusters, len(out.Terms))
	return out, nil
}

func coefficient(value, se float64, clustered bool) Coefficient {
	c := Coefficient{Value: value, SE: se, Ratio: logRatio(math.Exp(value), se)}
	c.Ratio.setValue(c.Ratio.Value)
	c.Ratio.Method = "wald"
	if clustered {
		c.Ratio.Method = "wald, clustered"
	}
	if se > 0 {
		c.Z = value / se
		c.P = normalTwoSidedP(c.Z)
	}
	return c
}

func sparse(n, clusters, terms int) string {
	switch {
	case clusters > 0 && clusters < 20*terms:
		return fmt.Sprintf("%d clusters for %d terms: intervals are likely too narrow", clusters, terms)
	case n < 10*terms:
		return fmt.Sprintf("%d cases for %d terms: the fit is fragile", n, terms)
	}
	return ""
}

// design checks a model and builds its matrix, intercept first.
func (m Model) design(f family) (*mat.Dense, error) {
	n := len(m.Y)
	if len(m.Rows) != n || m.Offset != nil && len(m.Offset) != n || m.Cluster != nil && len(m.Cluster) != n {
		return nil, fmt.Errorf("stats: %s: %d outcomes, %d rows, %d offsets, %d clusters: expected the same number", f.name, n, len(m.Rows), len(m.Offset), len(m.Cluster))
	}
	if n == 0 {
		return nil, fmt.Errorf("stats: %s needs cases, got none", f.name)
	}
	p := len(m.Rows[0]) + 1
	if n < p+1 {
		return nil, fmt.Errorf("stats: %s of %d terms needs at least %d cases, got %d", f.name, p, p+1, n)
	}
	if err := m.outcomes(f); err != nil {
		return nil, err
	}
	x := mat.NewDense(n, p, nil)
	for i, row := range m.Rows {
		if len(row) != p-1 {
			return nil, fmt.Errorf("stats: %s: row %d has %d covariates, row 0 has %d: expected the same number", f.name, i, len(row), p-1)
		}
		if err := finite(fmt.Sprintf("row %d", i), row); err != nil {
			return nil, err
		}
		x.SetRow(i, append([]float64{1}, row...))
	}
	return x, independent(x, f)
}

func (m Model) outcomes(f family) error {
	least, most := math.Inf(1), math.Inf(-1)
	for i, y := range m.Y {
		if !f.outcome(y) {
			return fmt.Errorf("stats: %s: outcome %d is %v: expected %s", f.name, i, y, f.wanted)
		}
		least, most = math.Min(least, y), math.Max(most, y)
	}
	if most == 0 || f.name == logisticFamily.name && least == 1 {
		return fmt.Errorf("stats: %s: all outcomes are %v: expected some of each", f.name, most)
	}
	return finite("offset", m.Offset)
}

// independent refuses columns of which one follows from the others: after
// scaling to length 1, a condition above 1e10.
func independent(x *mat.Dense, f family) error {
	n, p := x.Dims()
	scaled := mat.NewDense(n, p, nil)
	for j := range p {
		column := mat.Col(nil, j, x)
		length := mat.Norm(mat.NewVecDense(n, column), 2)
		if length == 0 {
			return fmt.Errorf("stats: %s: covariate %d is always 0: expected one that varies", f.name, j-1)
		}
		for i, v := range column {
			scaled.Set(i, j, v/length)
		}
	}
	var qr mat.QR
	qr.Factorize(scaled)
	if c := qr.Cond(); !(c < 1e10) {
		return fmt.Errorf("stats: %s: a covariate is constant or follows from the others: leave it out", f.name)
	}
	return nil
}

// fitted is a model that stands still.
type fitted struct {
	beta     *mat.VecDense
	mu       []float64
	inverse  *mat.Dense // (X'WX)^-1
	deviance float64
	steps    int
}

// irls iterates weighted least squares.
func irls(m Model, x *mat.Dense, f family) (fitted, error) {
	n, p := x.Dims()
	eta, mu := make([]float64, n), make([]float64, n)
	for i, y := range m.Y {
		mu[i] = f.start(y)
		eta[i] = f.link(mu[i])
	}
	for step := 1; step <= maxSteps; step++ {
		beta, inverse, err := weighted(m, x, f, eta, mu)
		if err != nil {
			return fitted{}, fmt.Errorf("stats: %s: no finite solution at step %d (a covariate separates the outcomes, or nearly): %v", f.name, step, err)
		}
		change, largest := 0.0, 1.0
		for i := range eta {
			next := m.offset(i) + mat.Dot(x.RowView(i), beta)
			change, largest = math.Max(change, math.Abs(next-eta[i])), math.Max(largest, math.Abs(next))
			eta[i], mu[i] = next, f.mean(next)
		}
		if step > 1 && change <= settled*largest {
			out := fitted{beta: beta, mu: mu, inverse: inverse, steps: step}
			for i, y := range m.Y {
				out.deviance += f.deviance(y, mu[i])
			}
			return out, nil
		}
	}
	return fitted{}, fmt.Errorf("stats: %s of %d terms: no finite solution after %d steps: a covariate separates the outcomes; leave it out or join groups", f.name, p, maxSteps)
}

func (m Model) offset(i int) float64 {
	if m.Offset == nil {
		return 0
	}
	return m.Offset[i]
}

// weighted solves one least squares step by QR; for both families the weight
// is the variance.
func weighted(m Model, x *mat.Dense, f family, eta, mu []float64) (*mat.VecDense, *mat.Dense, error) {
	n, p := x.Dims()
	wx, wz := mat.NewDense(n, p, nil), mat.NewVecDense(n, nil)
	for i := range n {
		v := f.variance(mu[i])
		if !(v > 1e-280) || math.IsInf(v, 1) {
			return nil, nil, fmt.Errorf("the mean of case %d runs to its limit", i)
		}
		w := math.Sqrt(v)
		for j := range p {
			wx.Set(i, j, w*x.At(i, j))
		}
		wz.SetVec(i, w*(eta[i]-m.offset(i)+(m.Y[i]-mu[i])/v))
	}
	var qr mat.QR
	qr.Factorize(wx)
	beta := mat.NewVecDense(p, nil)
	if err := qr.SolveVecTo(beta, false, wz); err != nil {
		return nil, nil, fmt.Errorf("the weighted covariates depend on each other")
	}
	inverse, err := informationInverse(&qr, p)
	return beta, inverse, err
}

// informationInverse is (R'R)^-1.
func informationInverse(qr *mat.QR, p int) (*mat.Dense, error) {
	var r mat.Dense
	qr.RTo(&r)
	upper, identity := mat.NewTriDense(p, mat.Upper, nil), mat.NewDense(p, p, nil)
	for i := range p {
		identity.Set(i, i, 1)
		for j := i; j < p; j++ {
			upper.SetTri(i, j, r.At(i, j))
		}
	}
	var half, inverse mat.Dense
	if err := half.Solve(upper, identity); err != nil {
		return nil, fmt.Errorf("the information is singular")
	}
	inverse.Mul(&half, half.T())
	return &inverse, nil
}

// covariance is the inverse information, or the sandwich over clusters.
func (m Model) covariance(s fitted, x *mat.Dense, f family) (mat.Matrix, int, error) {
	if m.Cluster == nil {
		return s.inverse, 0, nil
	}
	n, p := x.Dims()
	scores := map[int]*mat.VecDense{}
	for i := range n {
		score, ok := scores[m.Cluster[i]]
		if !ok {
			score = mat.NewVecDense(p, nil)
			scores[m.Cluster[i]] = score
		}
		score.AddScaledVec(score, m.Y[i]-s.mu[i], x.RowView(i))
	}
	if len(scores) < p+1 {
		return nil, 0, fmt.Errorf("stats: %s: %d clusters for %d terms: expected at least %d", f.name, len(scores), p, p+1)
	}
	meat, done := mat.NewDense(p, p, nil), map[int]bool{}
	for _, g := range m.Cluster { // in the order of the cases, for the same bytes each time
		if !done[g] {
			done[g] = true
			var outer mat.Dense
			outer.Outer(1, scores[g], scores[g])
			meat.Add(meat, &outer)
		}
	}
	var left, cov mat.Dense
	left.Mul(s.inverse, meat)
	cov.Mul(&left, s.inverse)
	g := float64(len(scores))
	cov.Scale(g/(g-1), &cov)
	return &cov, len(scores), nil
}
