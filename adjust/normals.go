package adjust

import "math"

// solveNormals solves by the Cholesky factor of the normal equations; ok is false
// where their condition would cost too many digits.
func solveNormals(n int, rows []Row) (Fit, bool) {
	normal := normals(n, rows)
	scale, ok := unitDiagonal(normal)
	if !ok {
		return Fit{}, false
	}
	size := lowerNorm(normal)
	if !cholesky(normal.Data, n) {
		return Fit{}, false
	}
	inverse := Symmetric{n, invert(normal.Data, n)}
	condition := size * lowerNorm(inverse)
	if !(condition <= wellConditioned) {
		return Fit{}, false
	}
	unscale(inverse, scale)
	x := make([]float64, n)
	refine(x, rows, inverse)
	if condition > 1e4 { // else twelve digits stand already
		refine(x, rows, inverse)
	}
	return Fit{X: x, Cov: inverse, Freedom: len(rows) - n, Condition: condition}, true
}

// refine adds to x what the misclosures that it leaves ask for. A second call
// takes back most of the rounding of the first.
func refine(x []float64, rows []Row, inverse Symmetric) {
	n := inverse.N
	pull := make([]float64, n)
	for _, r := range rows {
		miss := (r.Value - r.at(x)) / (r.Sigma * r.Sigma)
		for _, t := range r.Terms {
			pull[t.At] += t.By * miss
		}
	}
	for i := range n {
		x[i] += dot(inverse.Data[i*n:i*n+n], pull)
	}
}

// normals gives the normal equations' matrix, its lower triangle.
func normals(n int, rows []Row) Symmetric {
	terms := 0
	for _, r := range rows {
		terms += len(r.Terms)
	}
	s := Symmetric{n, make([]float64, n*n)}
	if 4*terms > n*len(rows) {
		denseNormals(s, rows)
	} else {
		sparseNormals(s, rows)
	}
	return s
}

// sparseNormals goes pair of terms by pair of terms.
func sparseNormals(s Symmetric, rows []Row) {
	for _, r := range rows {
		weight := 1 / (r.Sigma * r.Sigma)
		for i, p := range r.Terms {
			by := weight * p.By
			s.Data[p.At*s.N+p.At] += by * p.By
			for _, q := range r.Terms[:i] {
				if q.At == p.At { // named twice: the pair counts both ways
					s.Data[p.At*s.N+p.At] += 2 * by * q.By
					continue
				}
				s.Data[max(p.At, q.At)*s.N+min(p.At, q.At)] += by * q.By
			}
		}
	}
}

// chunk is how many equations are multiplied at once: their columns then stay in
// the processor's nearest memory.
const chunk = 96

// denseNormals multiplies whole columns of the weighted equations.
func denseNormals(s Symmetric, rows []Row) {
	columns := make([]float64, s.N*chunk)
	for len(rows) > 0 {
		m := min(chunk, len(rows))
		clear(columns)
		for i, r := range rows[:m] {
			by := 1 / r.Sigma
			for _, t := range r.Terms {
				columns[t.At*m+i] += t.By * by
			}
		}
		products(s.Data, columns, s.N, m)
		rows = rows[m:]
	}
}

// unitDiagonal scales s (its lower triangle) to ones on its diagonal, which comes
// near the best scaling there is (van der Sluis 1969), and gives the factors. ok
// is false where an unknown stands in no equation.
func unitDiagonal(s Symmetric) (scale []float64, ok bool) {
	scale = make([]float64, s.N)
	for i := range s.N {
		d := s.At(i, i)
		if !(d > 0) || math.IsInf(d, 0) {
			return nil, false
		}
		scale[i] = 1 / math.Sqrt(d)
	}
	for i := range s.N {
		row, by := s.Data[i*s.N:i*s.N+i+1], scale[i]
		for j := range row {
			row[j] *= by * scale[j]
		}
		row[i] = 1
	}
	return scale, true
}

// unscale undoes unitDiagonal for the inverse, and fills the upper triangle.
func unscale(s Symmetric, scale []float64) {
	for i := range s.N {
		row, by := s.Data[i*s.N:i*s.N+i+1], scale[i]
		for j := range row {
			row[j] *= by * scale[j]
			s.Data[j*s.N+i] = row[j]
		}
	}
}

// lowerNorm is the 1-norm of the symmetric matrix whose lower triangle s holds.
func lowerNorm(s Symmetric) float64 {
	sums := make([]float64, s.N)
	for i := range s.N {
		row := s.Data[i*s.N : i*s.N+i+1]
		sum := 0.0
		for j, v := range row[:i] {
			v = math.Abs(v)
			sum += v
			sums[j] += v
		}
		sums[i] += sum + math.Abs(row[i])
	}
	most := 0.0
	for _, s := range sums {
		most = max(most, s)
	}
	return most
}
