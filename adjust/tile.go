package adjust

import "math"

// Matrices are worked in square tiles: every sum of products of a tile stays in
// the processor's registers while the rows run by, each number fetched serves eight of
// them. Rows are padded to whole tiles, so there are no rests. (Gonum's own products go
// column by column: its normal equations take longer than its QR, see bench/survey.)
const tile = 8

// padded is n rounded up to whole tiles.
func padded(n int) int { return (n + tile - 1) / tile * tile }

// gatherPlain adds to the tile at c by times the products of the columns of a with
// those of b, each summed over k rows: c[i][j] += by * sum of a[row][i] b[row][j]. All
// three have rows stride apart. Products are summed row by row, each step rounded once
// (fused), so that every machine gives the same answer.
func gatherPlain(c, a, b []float64, stride, k int, by float64) {
	for i := range tile {
		for j := 0; j < tile; j += 4 {
			var s0, s1, s2, s3 float64
			for row := range k {
				left, right := a[row*stride+i], b[row*stride+j:row*stride+j+4]
				s0 = math.FMA(left, right[0], s0)
				s1 = math.FMA(left, right[1], s1)
				s2 = math.FMA(left, right[2], s2)
				s3 = math.FMA(left, right[3], s3)
			}
			to := c[i*stride+j : i*stride+j+4]
			to[0] = math.FMA(by, s0, to[0])
			to[1] = math.FMA(by, s1, to[1])
			to[2] = math.FMA(by, s2, to[2])
			to[3] = math.FMA(by, s3, to[3])
		}
	}
}

// lessTimes takes by times b from a. The product is rounded by itself: no machine
// may fuse what another cannot.
func lessTimes(a, b []float64, by float64) {
	for len(a) >= 4 && len(b) >= 4 {
		a[0] -= float64(by * b[0])
		a[1] -= float64(by * b[1])
		a[2] -= float64(by * b[2])
		a[3] -= float64(by * b[3])
		a, b = a[4:], b[4:]
	}
	for i := range a {
		a[i] -= float64(by * b[i])
	}
}

func multiply(a []float64, by float64) {
	for i := range a {
		a[i] *= by
	}
}

// dot is the product of a and the first numbers of b, in four sums that do not wait
// for one another.
func dot(a, b []float64) float64 {
	var s0, s1, s2, s3 float64
	for len(a) >= 4 && len(b) >= 4 {
		s0 += float64(a[0] * b[0])
		s1 += float64(a[1] * b[1])
		s2 += float64(a[2] * b[2])
		s3 += float64(a[3] * b[3])
		a, b = a[4:], b[4:]
	}
	for i, v := range a {
		s0 += float64(v * b[i])
	}
	return (s0 + s1) + (s2 + s3)
}

// sizes is dot of a's absolute values.
func sizes(a, b []float64) float64 {
	var s0, s1, s2, s3 float64
	for len(a) >= 4 && len(b) >= 4 {
		s0 += float64(math.Abs(a[0]) * b[0])
		s1 += float64(math.Abs(a[1]) * b[1])
		s2 += float64(math.Abs(a[2]) * b[2])
		s3 += float64(math.Abs(a[3]) * b[3])
		a, b = a[4:], b[4:]
	}
	for i, v := range a {
		s0 += float64(math.Abs(v) * b[i])
	}
	return (s0 + s1) + (s2 + s3)
}
