package adjust

import "math"

// The three steps below are sums over the whole lengths of rows, taken in blocks
// of 4 x 2 rows at once: eight running sums stay in registers, and each number
// fetched is used two or four times.

// cholesky replaces the lower triangle of a (n x n, symmetric, ones on the
// diagonal) by its Cholesky factor; false where a is not positive definite to
// working precision.
func cholesky(a []float64, n int) bool {
	row := func(i int) []float64 { return a[i*n : i*n+n] }
	for j := 0; j < n; j += 2 {
		second := j+1 < n
		reduce(a, n, j)
		if !pivot(a, n, j) {
			return false
		}
		if !second {
			break
		}
		below := row(j + 1)
		below[j+1] -= below[j] * below[j]
		for i := j + 2; i < n; i++ {
			a[i*n+j+1] -= a[i*n+j] * below[j]
		}
		if !pivot(a, n, j+1) {
			return false
		}
	}
	return true
}

// leastPivot is what must be left of a unit diagonal: below it rounding speaks.
const leastPivot = 1e-12

// pivot takes the root of diagonal entry j and divides the column below by it.
func pivot(a []float64, n, j int) bool {
	d := a[j*n+j]
	if !(d > leastPivot) {
		return false
	}
	root := math.Sqrt(d)
	a[j*n+j] = root
	for i := j + 1; i < n; i++ {
		a[i*n+j] /= root
	}
	return true
}

// reduce takes what the columns before j explain out of columns j and j+1.
func reduce(a []float64, n, j int) {
	if j == 0 {
		return
	}
	left := func(i int) []float64 { return a[i*n : i*n+j] }
	i := j
	if j+1 < n {
		b0, b1 := left(j), left(j+1)
		for ; i+4 <= n; i += 4 {
			s := dot42(left(i), left(i+1), left(i+2), left(i+3), b0, b1)
			for k := range 4 {
				at := a[(i+k)*n+j : (i+k)*n+j+2]
				at[0] -= s[2*k]
				at[1] -= s[2*k+1]
			}
		}
	}
	for ; i < n; i++ {
		a[i*n+j] -= dot(left(i), left(j))
		if j+1 < n {
			a[i*n+j+1] -= dot(left(i), left(j+1))
		}
	}
}

// invert gives the inverse of L L^T (n x n, full) from the lower triangle L.
func invert(l []float64, n int) []float64 {
	u := invertFactor(l, n)
	out := make([]float64, n*n)
	set := func(i, j int, sum float64) { out[i*n+j], out[j*n+i] = sum, sum }
	for j := 0; j < n; j += 2 {
		// Row i of u is zero before i, so the sums over rows i <= j begin at j.
		tail := func(i int) []float64 { return u[i*n+j : i*n+n] }
		if j+1 == n {
			for i := range n {
				set(i, j, dot(tail(i), tail(j)))
			}
			break
		}
		i := 0
		for ; i+4 <= j+2; i += 4 {
			s := dot42(tail(i), tail(i+1), tail(i+2), tail(i+3), tail(j), tail(j+1))
			for k := range 4 {
				set(i+k, j, s[2*k])
				set(i+k, j+1, s[2*k+1])
			}
		}
		for ; i <= j+1; i++ {
			set(i, j, dot(tail(i), tail(j)))
			set(i, j+1, dot(tail(i), tail(j+1)))
		}
	}
	return out
}

// invertFactor gives the inverse of L, transposed: upper triangular, by rows.
func invertFactor(l []float64, n int) []float64 {
	u := make([]float64, n*n)
	for i := 0; i < n; i += 2 {
		both := i+1 < n
		j := 0
		if both {
			for ; j+4 <= i; j += 4 {
				part := func(k int) []float64 { return u[k*n+j : k*n+i] }
				s := dot42(part(j), part(j+1), part(j+2), part(j+3), l[i*n+j:i*n+i], l[(i+1)*n+j:(i+1)*n+i])
				for k := range 4 {
					finish(u[(j+k)*n:], l, n, i, s[2*k], s[2*k+1])
				}
			}
		}
		for ; j < i; j++ {
			part := u[j*n+j : j*n+i]
			first, second := dot(part, l[i*n+j:i*n+i]), 0.0
			if both {
				second = dot(part, l[(i+1)*n+j:(i+1)*n+i])
			}
			finish(u[j*n:], l, n, i, first, second)
		}
		u[i*n+i] = 1 / l[i*n+i]
		if both {
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

// products gives the sum of products of rows i and j, j <= i, of count rows.
func products(count, n int, row func(int) []float64, set func(i, j int, sum float64)) {
	for j := 0; j < count; j += 2 {
		i := j
		if j+1 < n {
			b0, b1 := row(j), row(j+1)
			for ; i+4 <= count; i += 4 {
				s := dot42(row(i), row(i+1), row(i+2), row(i+3), b0, b1)
				for k := range 4 {
					set(i+k, j, s[2*k])
					set(i+k, j+1, s[2*k+1])
				}
			}
		}
		for ; i < count; i++ {
			set(i, j, dot(row(i), row(j)))
			if j+1 < count {
				set(i, j+1, dot(row(i), row(j+1)))
			}
		}
	}
}

// dot42 gives the products of four rows with two, all of b0's length.
func dot42(a0, a1, a2, a3, b0, b1 []float64) [8]float64 {
	var s00, s01, s10, s11, s20, s21, s30, s31 float64
	n := len(b0)
	a0, a1, a2, a3, b1 = a0[:n], a1[:n], a2[:n], a3[:n], b1[:n]
	for k, p := range b0 {
		q := b1[k]
		s00 += a0[k] * p
		s01 += a0[k] * q
		s10 += a1[k] * p
		s11 += a1[k] * q
		s20 += a2[k] * p
		s21 += a2[k] * q
		s30 += a3[k] * p
		s31 += a3[k] * q
	}
	return [8]float64{s00, s01, s10, s11, s20, s21, s30, s31}
}

// dot gives the product of two rows of one length.
func dot(a, b []float64) float64 {
	var s, t float64
	b = b[:len(a)]
	k := 0
	for ; k+1 < len(a); k += 2 {
		s += a[k] * b[k]
		t += a[k+1] * b[k+1]
	}
	if k < len(a) {
		s += a[k] * b[k]
	}
	return s + t
}
