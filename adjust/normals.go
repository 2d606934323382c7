package adjust

import (
	"errors"
	"math"
)

// errIllConditioned says that the normal equations would cost too many digits.
var errIllConditioned = errors.New("the normal equations are ill-conditioned")

// solveNormals solves by the Cholesky factor of the normal equations. Errors:
// *RowError, errIllConditioned.
func solveNormals(n int, rows []Row) (Fit, error) {
	s := newSquare(n)
	pull := make([]float64, s.stride)
	if err := s.normals(n, rows, pull); err != nil {
		return Fit{}, err
	}
	scale, ok := s.lengths(n)
	if !ok {
		return Fit{}, errIllConditioned
	}
	size := s.upperNorm(scale)
	diagonal, ok := s.factor()
	if !ok {
		return Fit{}, errIllConditioned
	}
	s.invertFactor(diagonal)
	s.outer(diagonal)
	inverse := s.compact(n)
	condition := size * inverse.norm(scale)
	if !(condition <= wellConditioned) {
		return Fit{}, errIllConditioned
	}
	x := make([]float64, n)
	addTimes(x, inverse, pull)
	if condition > 1e4 { // else twelve digits stand already
		addTimes(x, inverse, misclosures(n, rows, x))
	}
	return Fit{X: x, Cov: inverse, Freedom: len(rows) - n, Condition: condition}, nil
}

// misclosures gives the right side of the normal equations for what x leaves open:
// a step for them takes back most of the rounding in x.
func misclosures(n int, rows []Row, x []float64) []float64 {
	pull := make([]float64, n)
	for _, r := range rows {
		r.pull(pull, r.Value-r.at(x))
	}
	return pull
}

// pull adds the row's share of the right side of the normal equations, where it is
// missed by so much.
func (r Row) pull(on []float64, miss float64) {
	by := miss / (r.Sigma * r.Sigma)
	for _, t := range r.Terms {
		on[t.At] += float64(t.By * by)
	}
}

// addTimes adds s v to x.
func addTimes(x []float64, s Symmetric, v []float64) {
	for i := range x {
		x[i] += dot(s.Data[i*s.N:i*s.N+s.N], v)
	}
}

// normals writes the normal equations' matrix into s and their right side into pull
// (both all zero). The error is a *RowError.
func (s square) normals(n int, rows []Row, pull []float64) error {
	terms := 0
	for _, r := range rows {
		terms += len(r.Terms)
	}
	if 4*terms > n*len(rows) {
		return s.denseNormals(n, rows, pull)
	}
	for i, r := range rows {
		if why := r.fault(n); why != "" {
			return &RowError{i, why}
		}
		r.pull(pull, r.Value)
		s.pairs(r)
	}
	return nil
}

// pairs adds a row's products pair of terms by pair of terms.
func (s square) pairs(r Row) {
	weight := 1 / (r.Sigma * r.Sigma)
	for i, p := range r.Terms {
		by := weight * p.By
		s.at[p.At*s.stride+p.At] += float64(by * p.By)
		for _, q := range r.Terms[:i] {
			if q.At == p.At { // named twice: the pair counts both ways
				s.at[p.At*s.stride+p.At] += float64(2 * by * q.By)
				continue
			}
			s.at[min(p.At, q.At)*s.stride+max(p.At, q.At)] += float64(by * q.By)
		}
	}
}

// chunk is how many equations are multiplied at once: they then stay in the
// processor's nearest memory.
const chunk = 48

// denseNormals multiplies whole columns of the weighted equations. Each row is gone
// through once, while the processor has it at hand.
func (s square) denseNormals(n int, rows []Row, pull []float64) error {
	p := s.stride
	work := make([]float64, p*min(chunk, len(rows)))
	for from := 0; from < len(rows); from += chunk {
		some := rows[from:min(from+chunk, len(rows))]
		if from > 0 {
			clear(work)
		}
		for i, r := range some {
			row := work[i*p : i*p+p]
			if !r.spread(row[:n]) {
				return &RowError{from + i, r.fault(n)}
			}
			lessTimes(pull, row, -r.Value/r.Sigma)
		}
		for i := 0; i < p; i += tile {
			for j := i; j < p; j += tile {
				gather(s.at[i*p+j:], work[i:], work[j:], p, len(some), 1)
			}
		}
	}
	return nil
}

// spread adds the weighted row to one of all unknowns; false where it cannot be used.
// Coefficients that are not finite are left to be found on the matrix's diagonal.
func (r Row) spread(over []float64) bool {
	by := 1 / r.Sigma
	for _, t := range r.Terms {
		if uint(t.At) >= uint(len(over)) {
			return false
		}
		over[t.At] += float64(t.By * by)
	}
	return r.Sigma > 0 && by > 0 && r.Value-r.Value == 0
}

// lengths gives the roots of the diagonal: the lengths of the weighted equations'
// columns. Divided by them the matrix comes near the best scaling there is (van der
// Sluis 1969). ok is false where an unknown stands in no equation. The padding gets
// ones on its diagonal.
func (s square) lengths(n int) (scale []float64, ok bool) {
	scale = make([]float64, n)
	for i := range n {
		d := s.at[i*s.stride+i]
		if !(d > 0) || math.IsInf(d, 0) {
			return nil, false
		}
		scale[i] = math.Sqrt(d)
	}
	for i := n; i < s.stride; i++ {
		s.at[i*s.stride+i] = 1
	}
	return scale, true
}

// upperNorm is the 1-norm of s, its rows and columns divided by scale.
func (s square) upperNorm(scale []float64) float64 {
	n := len(scale)
	sums, by := make([]float64, n), make([]float64, n)
	for i, l := range scale {
		by[i] = 1 / l
	}
	for i := range n {
		row := s.at[i*s.stride+i+1 : i*s.stride+n]
		sums[i] += sizes(row, by[i+1:])
		below := sums[i+1:]
		for j, v := range row {
			below[j] += math.Abs(v) * by[i]
		}
	}
	most := 0.0
	for i, sum := range sums {
		most = max(most, 1+sum*by[i])
	}
	return most
}

// norm is the 1-norm of s, its rows and columns multiplied by scale.
func (s Symmetric) norm(scale []float64) float64 {
	most := 0.0
	for i := range s.N {
		most = max(most, scale[i]*sizes(s.Data[i*s.N:i*s.N+s.N], scale))
	}
	return most
}
