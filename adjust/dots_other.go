//go:build !amd64

package adjust

func dots42(a []float64, aStride int, b []float64, bStride, n int, out *[8]float64) {
	dotsPlain(a, aStride, b, bStride, n, out)
}
