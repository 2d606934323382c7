package adjust

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// hopeless is the condition number of the scaled equations at which an unknown
// counts as open: two more digits and nothing of it would be left in float64.
const hopeless = 1e13

// solveQR solves by the QR factor of the weighted equations, their columns scaled
// to length 1: half the digits lost that the normal equations would lose.
func solveQR(n int, rows []Row) (Fit, error) {
	if len(rows) < n {
		return Fit{}, undetermined(n, rows)
	}
	a, scale, ok := weighted(n, rows)
	if !ok {
		return Fit{}, undetermined(n, rows)
	}
	var qr mat.QR
	qr.Factorize(a)
	condition := qr.Cond()
	if !(condition < hopeless) {
		return Fit{}, undetermined(n, rows)
	}
	var r mat.Dense
	qr.RTo(&r)
	var inverse mat.TriDense
	if err := inverse.InverseTri(mat.NewTriDense(n, mat.Upper, leading(&r, n))); err != nil && !isCondition(err) {
		return Fit{}, undetermined(n, rows)
	}
	var cov mat.SymDense
	cov.SymOuterK(1, &inverse)
	fit := Fit{X: make([]float64, n), Cov: Symmetric{n, make([]float64, n*n)}, Freedom: len(rows) - n, Condition: condition * condition, ByQR: true}
	for i := range n {
		for j := range n {
			fit.Cov.Data[i*n+j] = cov.At(i, j) * scale[i] * scale[j]
		}
	}
	step(&qr, rows, fit.X, scale)
	step(&qr, rows, fit.X, scale)
	return fit, nil
}

func isCondition(err error) bool {
	_, ok := err.(mat.Condition)
	return ok
}

// leading copies the first n rows of r.
func leading(r *mat.Dense, n int) []float64 {
	out := make([]float64, 0, n*n)
	for i := range n {
		out = append(out, r.RawRowView(i)[:n]...)
	}
	return out
}

// step adds to x the solution for what it leaves over: the second refines.
func step(qr *mat.QR, rows []Row, x, scale []float64) {
	miss := mat.NewVecDense(len(rows), nil)
	for i, r := range rows {
		miss.SetVec(i, (r.Value-r.at(x))/r.Sigma)
	}
	var d mat.VecDense
	if err := qr.SolveVecTo(&d, false, miss); err != nil && !isCondition(err) {
		return
	}
	for i := range x {
		x[i] += scale[i] * d.AtVec(i)
	}
}

// weighted gives the equations divided by their sigmas, each column at length 1,
// and the factors; ok is false where an unknown stands in no equation.
func weighted(n int, rows []Row) (a *mat.Dense, scale []float64, ok bool) {
	a = mat.NewDense(len(rows), n, nil)
	for i, r := range rows {
		for _, t := range r.Terms {
			a.Set(i, t.At, a.At(i, t.At)+t.By/r.Sigma)
		}
	}
	scale, ok = make([]float64, n), true
	for j := range n {
		column := a.ColView(j)
		length := mat.Norm(column, 2)
		if length == 0 {
			ok = false
			continue
		}
		scale[j] = 1 / length
		for i := range rows {
			a.Set(i, j, a.At(i, j)*scale[j])
		}
	}
	return a, scale, ok
}

// undetermined finds the unknowns that can move unnoticed: those with a part in
// the equations' null space, by singular values.
func undetermined(n int, rows []Row) error {
	if len(rows) == 0 {
		return &UndeterminedError{upTo(n)}
	}
	a, _, _ := weighted(n, rows)
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDFullV) {
		return &UndeterminedError{upTo(n)}
	}
	values := svd.Values(nil)
	var v mat.Dense
	svd.VTo(&v)
	var open []int
	for i := range n {
		free := 0.0
		for k := range n {
			if k >= len(values) || values[k]*hopeless <= values[0] {
				free = max(free, math.Abs(v.At(i, k)))
			}
		}
		if free > 1e-3 { // a thousandth of the movement: noise otherwise
			open = append(open, i)
		}
	}
	if len(open) == 0 {
		open = upTo(n)
	}
	return &UndeterminedError{open}
}

func upTo(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}
