package adjust

import "math"

// The steps below are sums over whole stretches of rows, taken four rows by two
// at once (dots42): the running sums stay in registers, and each number fetched
// is used two or four times.

// leastPivot is what must be left of a unit diagonal: below it rounding speaks.
const leastPivot = 1e-12

// cholesky replaces the lower triangle of a (n x n, symmetric, ones on the
// diagonal) by its Cholesky factor, two columns at a time; false where a is not
// positive definite to working precision.
func cholesky(a []float64, n int) bool {
	var s [8]float64
	for j := 0; j+1 < n; j += 2 {
		i := j
		for ; i+4 <= n; i += 4 {
			dots42(a[i*n:], n, a[j*n:], n, j, &s)
			for k := range 4 {
				at := a[(i+k)*n+j : (i+k)*n+j+2]
				at[0] -= s[2*k]
				at[1] -= s[2*k+1]
			}
		}
		for ; i < n; i++ {
			a[i*n+j] -= dot(a[i*n:i*n+j], a[j*n:j*n+j])
			a[i*n+j+1] -= dot(a[i*n:i*n+j], a[(j+1)*n:(j+1)*n+j])
		}
		if !pivots(a, n, j) {
			return false
		}
	}
	if n%2 == 1 {
		last := a[n*n-n:]
		d := last[n-1] - dot(last[:n-1], last[:n-1])
		last[n-1] = math.Sqrt(max(d, 0))
		return d > leastPivot
	}
	return true
}

// pivots finishes columns j and j+1, from which all columns before were taken.
func pivots(a []float64, n, j int) bool {
	d := a[j*n+j]
	if !(d > leastPivot) {
		return false
	}
	root := math.Sqrt(d)
	a[j*n+j] = root
	across := a[(j+1)*n+j] / root
	a[(j+1)*n+j] = across
	d = a[(j+1)*n+j+1] - across*across
	if !(d > leastPivot) {
		return false
	}
	a[(j+1)*n+j+1] = math.Sqrt(d)
	by, next := 1/root, 1/math.Sqrt(d)
	for i := j + 2; i < n; i++ {
		at := a[i*n+j : i*n+j+2]
		at[0] *= by
		at[1] = (at[1] - at[0]*across) * next
	}
	return true
}

// invert gives the inverse of L L^T (n x n) from the lower triangle L; only the
// lower triangle of the result is filled.
func invert(l []float64, n int) []float64 {
	u := invertFactor(l, n)
	out := make([]float64, n*n)
	var s [8]float64
	for j := 0; j < n; j += 4 {
		// The sums with rows j to j+3 begin at column j: what is left of it in row
		// i >= j is zero.
		i := j
		for ; j+4 <= n && i+2 <= n; i += 2 {
			dots42(u[j*n+i:], n, u[i*n+i:], n, n-i, &s)
			for k := range 4 {
				out[i*n+j+k], out[(i+1)*n+j+k] = s[2*k], s[2*k+1]
			}
		}
		for ; i < n; i++ {
			for k := j; k < min(j+4, n); k++ {
				out[i*n+k] = dot(u[k*n+i:k*n+n], u[i*n+i:i*n+n])
			}
		}
	}
	return out
}

// invertFactor gives the inverse of L, transposed: upper triangular, by rows.
func invertFactor(l []float64, n int) []float64 {
	u := make([]float64, n*n)
	var s [8]float64
	for i := 0; i < n; i += 2 {
		j := 0
		if i+1 < n {
			for ; j+4 <= i; j += 4 {
				dots42(u[j*n+j:], n, l[i*n+j:], n, i-j, &s)
				for k := range 4 {
					finish(u[(j+k)*n:], l, n, i, s[2*k], s[2*k+1])
				}
			}
		}
		for ; j < i; j++ {
			first, second := dot(u[j*n+j:j*n+i], l[i*n+j:i*n+i]), 0.0
			if i+1 < n {
				second = dot(u[j*n+j:j*n+i], l[(i+1)*n+j:(i+1)*n+i])
			}
			finish(u[j*n:], l, n, i, first, second)
		}
		u[i*n+i] = 1 / l[i*n+i]
		if i+1 < n {
			u[(i+1)*n+i+1] = 1 / l[(i+1)*n+i+1]
			u[i*n+i+1] = -u[i*n+i] * l[(i+1)*n+i] * u[(i+1)*n+i+1]
		}
	}
	return u
}

// finish turns the sums of one row of u with rows i and i+1 of l into its entries
// i and i+1.
func finish(u, l []float64, n, i int, first, second float64) {
	u[i] = -first / l[i*n+i]
	if i+1 < n {
		u[i+1] = -(second + u[i]*l[(i+1)*n+i]) / l[(i+1)*n+i+1]
	}
}

// products adds to the lower triangle of out (count x count) the products of the
// rows of a, each n long.
func products(out, a []float64, count, n int) {
	var s [8]float64
	for j := 0; j < count; j += 2 {
		i := j
		for ; j+1 < count && i+4 <= count; i += 4 {
			dots42(a[i*n:], n, a[j*n:], n, n, &s)
			for k := range 4 {
				out[(i+k)*count+j] += s[2*k]
				out[(i+k)*count+j+1] += s[2*k+1]
			}
		}
		for ; i < count; i++ {
			for k := j; k < min(j+2, count); k++ {
				out[i*count+k] += dot(a[i*n:i*n+n], a[k*n:k*n+n])
			}
		}
	}
}
