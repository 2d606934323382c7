// Package adjust is least squares: weighted observation equations, linear and
// not, solved with the full covariance of what they determine.
//
// Linear systems go through the Cholesky factor of the scaled normal equations,
// the fastest way and the one that gives the covariance almost for free; where
// their condition would cost digits, through the QR factor of the equations
// themselves (Björck, Numerical Methods for Least Squares Problems, 1996, ch. 2).
// Nothing here knows what is measured.
package adjust

import (
	"fmt"
	"math"
)

// Term is one coefficient of an equation: By times unknown number At.
type Term struct {
	At int
	By float64
}

// Row is one observation equation: the sum of Terms is Value, give or take Sigma
// (one standard deviation, > 0). Rows are independent of one another.
type Row struct {
	Terms        []Term
	Value, Sigma float64
}

// at gives the sum of the row's terms for x.
func (r Row) at(x []float64) float64 {
	sum := 0.0
	for _, t := range r.Terms {
		sum += t.By * x[t.At]
	}
	return sum
}

// Fit is the solution of a linear system: the unknowns of least weighted squares.
type Fit struct {
	X []float64
	// Cov is the covariance of X that the rows' stated sigmas give: the inverse of
	// the normal equations.
	Cov Symmetric
	// Freedom is how many more rows there were than unknowns left free.
	Freedom int
	// Condition is the condition number (1-norm) of the scaled normal equations.
	Condition float64
	// ByQR says that they were too ill-conditioned and QR was used instead.
	ByQR bool
}

// wellConditioned bounds the normal equations' condition number for Cholesky: the
// covariance loses at most that many times 2^-53, so 1e7 keeps nine digits.
const wellConditioned = 1e7

// Solve gives the unknowns (numbered from 0) of least weighted squares and their
// covariance. Errors: *RowError for a row that cannot be used, *UndeterminedError
// where the rows leave unknowns open.
func Solve(unknowns int, rows []Row) (Fit, error) {
	fit, err := solveNormals(unknowns, rows)
	if err != errIllConditioned {
		return fit, err
	}
	if err := checkAll(unknowns, rows); err != nil {
		return Fit{}, err
	}
	return solveQR(unknowns, rows)
}

func checkAll(unknowns int, rows []Row) error {
	for i, r := range rows {
		if why := r.fault(unknowns); why != "" {
			return &RowError{i, why}
		}
	}
	return nil
}

// fault says why a row of a system cannot be used, "" where it can.
func (r Row) fault(unknowns int) string {
	if !(r.Sigma > 0) || math.IsInf(r.Sigma, 0) {
		return fmt.Sprintf("its sigma %g is not a positive number", r.Sigma)
	}
	finite := r.Value-r.Value == 0
	for _, t := range r.Terms {
		if t.At < 0 || t.At >= unknowns {
			return fmt.Sprintf("it names unknown %d of %d", t.At, unknowns)
		}
		finite = finite && t.By-t.By == 0 // neither infinite nor NaN
	}
	if !finite {
		return "it holds a number that is not finite"
	}
	return ""
}

// RowError says why an equation cannot be used.
type RowError struct {
	Row int
	Why string
}

func (e *RowError) Error() string { return fmt.Sprintf("equation %d: %s", e.Row, e.Why) }

// UndeterminedError names the unknowns that the equations leave open: each can
// move, alone or with others of the list, and no equation notices.
type UndeterminedError struct{ Unknowns []int }

func (e *UndeterminedError) Error() string {
	return fmt.Sprintf("the equations leave unknowns %v open", e.Unknowns)
}

// Symmetric is a full symmetric matrix, N x N by rows.
type Symmetric struct {
	N    int
	Data []float64
}

// At gives entry (i, j).
func (s Symmetric) At(i, j int) float64 { return s.Data[i*s.N+j] }

// Form gives a S b for two sparse vectors: the covariance of two linear forms.
func (s Symmetric) Form(a, b []Term) float64 {
	sum := 0.0
	for _, p := range a {
		row := s.Data[p.At*s.N : p.At*s.N+s.N]
		part := 0.0
		for _, q := range b {
			part += q.By * row[q.At]
		}
		sum += p.By * part
	}
	return sum
}
