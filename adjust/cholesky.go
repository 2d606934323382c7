package adjust

import "math"

// leastPivot is what must be left of a diagonal entry, as a part of it: below that
// rounding speaks.
const leastPivot = 1e-12

// square is a matrix of whole tiles, stride x stride by rows. A symmetric one is
// given by its tiles on and above the diagonal; those below are zero.
type square struct {
	stride int
	at     []float64
}

func newSquare(n int) square { p := padded(n); return square{p, make([]float64, p*p)} }

// corners are two rows of tiles: the inverse of each tile on the diagonal of a
// Cholesky factor U, and the inverse transposed.
type corners struct{ inverse, transposed []float64 }

// factor replaces s (symmetric) by its Cholesky factor U, s = U^T U, a row of tiles
// at a time; false where s is not positive definite to working precision.
func (s square) factor() (corners, bool) {
	p := s.stride
	both := corners{make([]float64, tile*p), make([]float64, tile*p)}
	spare := make([]float64, tile*p)
	for j := 0; j < p; j += tile {
		var whole [tile]float64
		for r := range whole {
			whole[r] = s.at[(j+r)*p+j+r]
		}
		for c := j; c < p; c += tile {
			gather(s.at[j*p+c:], s.at[j:], s.at[c:], p, j, -1)
		}
		corner := s.at[j*p+j:]
		if !factorTile(corner, p, whole) {
			return corners{}, false
		}
		invertTile(both.inverse[j:], corner, p)
		turn(both.transposed[j:], both.inverse[j:], p)
		s.substitute(j, j+tile, p, both, spare)
	}
	return both, true
}

// factorTile is factor of one tile whose diagonal was whole before products were
// taken from it.
func factorTile(s []float64, stride int, whole [tile]float64) bool {
	for r := range tile {
		row := s[r*stride+r : r*stride+tile]
		for q := range r {
			above := s[q*stride+r : q*stride+tile]
			lessTimes(row, above, above[0])
		}
		if !(row[0] > leastPivot*whole[r]) {
			return false
		}
		multiply(row, 1/math.Sqrt(row[0]))
	}
	return true
}

// invertTile writes the inverse of the upper triangular tile u into v (all zero),
// both with one stride.
func invertTile(v, u []float64, stride int) {
	for r := tile - 1; r >= 0; r-- {
		row := v[r*stride : r*stride+tile]
		row[r] = 1
		for k := r + 1; k < tile; k++ {
			lessTimes(row[k:], v[k*stride+k:k*stride+tile], u[r*stride+k])
		}
		multiply(row[r:], 1/u[r*stride+r])
	}
}

// turn writes a tile transposed.
func turn(to, from []float64, stride int) {
	for r := range tile {
		for c, v := range from[r*stride : r*stride+tile] {
			to[c*stride+r] = v
		}
	}
}

// substitute multiplies the row of tiles at j, its columns from up to to, by the
// transposed inverse of the tile on its diagonal. Spare is room for a row of tiles.
func (s square) substitute(j, from, to int, with corners, spare []float64) {
	p := s.stride
	for r := range tile {
		row := s.at[(j+r)*p+from : (j+r)*p+to]
		copy(spare[r*p+from:], row)
		clear(row)
	}
	for c := from; c < to; c += tile {
		gather(s.at[j*p+c:], with.inverse[j:], spare[c:], p, tile, 1)
	}
}

// invertFactor writes the inverse W of U^T below the diagonal of U, where nothing
// stood; W's own diagonal are the corners, transposed.
func (s square) invertFactor(diagonal corners) {
	p := s.stride
	spare := make([]float64, tile*p)
	for j := tile; j < p; j += tile {
		for c := 0; c < j; c += tile {
			to := s.at[j*p+c:]
			gather(to, s.at[c*p+j:], diagonal.transposed[c:], p, tile, -1)
			if under := c + tile; under < j {
				gather(to, s.at[under*p+j:], s.at[under*p+c:], p, j-under, -1)
			}
		}
		s.substitute(j, 0, j, diagonal, spare)
	}
}

// outer replaces U and, below it, W by W^T W, the inverse of U^T U, all of it.
func (s square) outer(diagonal corners) {
	p := s.stride
	for j := 0; j < p; j += tile {
		for r := range tile {
			clear(s.at[(j+r)*p+j : (j+r)*p+p])
		}
	}
	for j := 0; j < p; j += tile {
		below := j + tile
		own := diagonal.transposed[j:]
		for i := 0; i <= j; i += tile {
			to, left := s.at[i*p+j:], s.at[j*p+i:]
			if i == j {
				left = own
			}
			gather(to, left, own, p, tile, 1)
			if below < p {
				gather(to, s.at[below*p+i:], s.at[below*p+j:], p, p-below, 1)
			}
		}
	}
	for i := 0; i < p; i += tile {
		for j := i + tile; j < p; j += tile {
			turn(s.at[j*p+i:], s.at[i*p+j:], p)
		}
	}
}

// compact gives the leading n x n entries without the padding.
func (s square) compact(n int) Symmetric {
	if n != s.stride {
		for i := range n {
			copy(s.at[i*n:i*n+n], s.at[i*s.stride:i*s.stride+n])
		}
	}
	return Symmetric{n, s.at[: n*n : n*n]}
}
