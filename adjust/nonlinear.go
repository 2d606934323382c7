package adjust

import (
	"errors"
	"math"
)

// Model is a set of equations that are not linear in a state S: a vector, or
// something with turns in it, such as a camera's pose.
type Model[S any] struct {
	Unknowns int
	// Rows gives the equations linearised at a state: Terms are derivatives with
	// respect to a step, Value is observed less computed. Their number and order
	// never change.
	Rows func(S) []Row
	// Move gives the state after a step.
	Move func(S, []float64) S
}

// ErrNotSettled is given where the iteration neither converges nor fails to
// determine the unknowns: the start is too far off, or the equations contradict
// one another so much that none is near.
var ErrNotSettled = errors.New("the iteration does not settle")

// Limits of the iteration.
const (
	mostSteps   = 500
	startDamp   = 1e-3
	leastDamp   = 1e-14
	mostDamp    = 1e14
	settledGain = 1e-16 // of the square sum: a move of 1e-8 of the residuals' length
)

// Nonlinear finds the state of least weighted squares near start by the method of
// Levenberg and Marquardt, each unknown damped by its own scale (Marquardt 1963;
// damping after Nielsen 1999). Fit.X is the last step; Fit.Cov is the covariance
// of a step at the solution. Errors: those of Solve, and ErrNotSettled.
func Nonlinear[S any](m Model[S], start S) (S, Fit, error) {
	at, rows := start, m.Rows(start)
	cost := SquareSum(rows)
	if math.IsNaN(cost) || math.IsInf(cost, 0) {
		return start, Fit{}, ErrNotSettled
	}
	damp, grow := startDamp, 2.0
	for range mostSteps {
		step, expected, err := damped(m.Unknowns, rows, damp)
		if err != nil {
			return at, Fit{}, err
		}
		next := m.Move(at, step)
		nextRows := m.Rows(next)
		nextCost := SquareSum(nextRows)
		if gain := cost - nextCost; gain > 0 {
			small := expected <= settledGain*cost
			at, rows, cost = next, nextRows, nextCost
			turn := 2*gain/expected - 1
			damp, grow = max(leastDamp, damp*max(1.0/3, 1-turn*turn*turn)), 2
			if small {
				return settle(m, at, rows)
			}
			continue
		}
		if expected <= 1e-12*cost || cost < 1e-18*float64(len(rows)) {
			return settle(m, at, rows) // the step is rounding noise
		}
		if damp, grow = damp*grow, grow*2; damp > mostDamp {
			break
		}
	}
	return at, Fit{}, ErrNotSettled
}

// settle gives the covariance at the solution, after one step without damping
// where that still helps.
func settle[S any](m Model[S], at S, rows []Row) (S, Fit, error) {
	fit, err := Solve(m.Unknowns, rows)
	if err != nil {
		return at, Fit{}, err
	}
	next := m.Move(at, fit.X)
	if nextRows := m.Rows(next); SquareSum(nextRows) < SquareSum(rows) {
		if better, err := Solve(m.Unknowns, nextRows); err == nil {
			return next, better, nil
		}
	}
	return at, fit, nil
}

// damped solves the rows with a pull of every unknown towards no step, and tells
// by how much the square sum should fall.
func damped(n int, rows []Row, damp float64) (step []float64, expected float64, err error) {
	squares := make([]float64, n)
	for _, r := range rows {
		for _, t := range r.Terms {
			squares[t.At] += t.By * t.By / (r.Sigma * r.Sigma)
		}
	}
	all := append(make([]Row, 0, len(rows)+n), rows...)
	for i, s := range squares {
		if s > 0 {
			all = append(all, Row{Terms: []Term{{i, 1}}, Sigma: 1 / math.Sqrt(damp*s)})
		}
	}
	fit, err := Solve(n, all)
	if err != nil {
		return nil, 0, err
	}
	for _, r := range rows {
		miss, move := r.Value/r.Sigma, r.at(fit.X)/r.Sigma
		expected += move * (2*miss - move)
	}
	return fit.X, expected, nil
}

// SquareSum is the sum of (Value / Sigma)^2: of linearised rows, what least
// squares makes least.
func SquareSum(rows []Row) float64 {
	sum := 0.0
	for _, r := range rows {
		sum += r.Value / r.Sigma * (r.Value / r.Sigma)
	}
	return sum
}
