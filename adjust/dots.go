package adjust

import "math"

// dotsPlain gives the products of four rows of a with two of b, each n long and
// its stride after the one before: out[2i+j] is row i of a by row j of b. Number k
// goes to running sum k mod 4, each step rounded once (fused), and the four are
// added in pairs: the order that processors with four lanes have, kept here too
// so that every machine gives the same answer.
func dotsPlain(a []float64, aStride int, b []float64, bStride, n int, out *[8]float64) {
	for i := range 4 {
		p := a[i*aStride : i*aStride+n]
		for j := range 2 {
			out[2*i+j] = dot(p, b[j*bStride:j*bStride+n])
		}
	}
}

// dot gives the product of two rows of one length, as dotsPlain does.
func dot(a, b []float64) float64 {
	var s0, s1, s2, s3 float64
	b = b[:len(a)]
	for len(a) >= 4 && len(b) >= 4 {
		s0 = math.FMA(a[0], b[0], s0)
		s1 = math.FMA(a[1], b[1], s1)
		s2 = math.FMA(a[2], b[2], s2)
		s3 = math.FMA(a[3], b[3], s3)
		a, b = a[4:], b[4:]
	}
	switch len(a) {
	case 3:
		s2 = math.FMA(a[2], b[2], s2)
		fallthrough
	case 2:
		s1 = math.FMA(a[1], b[1], s1)
		fallthrough
	case 1:
		s0 = math.FMA(a[0], b[0], s0)
	}
	return (s0 + s1) + (s2 + s3)
}
