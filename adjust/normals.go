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
	size := normal.norm1()
	if !cholesky(normal.Data, n) {
		return Fit{}, false
	}
	inverse := Symmetric{n, invert(normal.Data, n)}
	condition := size * inverse.norm1()
	if !(condition <= wellConditioned) {
		return Fit{}, false
	}
	for i := range n {
		row := inverse.Data[i*n : i*n+n]
		for j := range row {
			row[j] *= scale[i] * scale[j]
		}
	}
	x := make([]float64, n)
	refine(x, rows, inverse)
	refine(x, rows, inverse)
	return Fit{X: x, Cov: inverse, Condition: condition}, true
}

// refine adds to x what the misclosures that it leaves ask for. The second call
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

// normals gives the normal equations' matrix; both triangles are filled.
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
	for i := range n {
		for j := range i {
			s.Data[j*n+i] = s.Data[i*n+j]
		}
	}
	return s
}

// sparseNormals fills the lower triangle pair of terms by pair of terms.
func sparseNormals(s Symmetric, rows []Row) {
	for _, r := range rows {
		weight := 1 / (r.Sigma * r.Sigma)
		for i, p := range r.Terms {
			by := weight * p.By
			for _, q := range r.Terms[:i+1] {
				s.Data[max(p.At, q.At)*s.N+min(p.At, q.At)] += by * q.By
			}
			for _, q := range r.Terms[:i] {
				if q.At == p.At { // named twice: the pair counts both ways
					s.Data[p.At*s.N+p.At] += by * q.By
				}
			}
		}
	}
}

// denseNormals fills the lower triangle by products of whole columns.
func denseNormals(s Symmetric, rows []Row) {
	m := len(rows)
	column := make([]float64, s.N*m) // the weighted equations, column by column
	for i, r := range rows {
		for _, t := range r.Terms {
			column[t.At*m+i] += t.By / r.Sigma
		}
	}
	products(s.N, s.N, func(i int) []float64 { return column[i*m : i*m+m] },
		func(i, j int, sum float64) { s.Data[i*s.N+j] = sum })
}

// unitDiagonal scales s to ones on its diagonal, which comes near the best
// scaling there is (van der Sluis 1969), and gives the factors. ok is false where
// an unknown stands in no equation.
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
		row := s.Data[i*s.N : i*s.N+s.N]
		for j := range row {
			row[j] *= scale[i] * scale[j]
		}
		row[i] = 1
	}
	return scale, true
}
