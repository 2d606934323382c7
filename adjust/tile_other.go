//go:build !amd64

package adjust

func gather(c, a, b []float64, stride, k int, by float64) {
	gatherPlain(c, a, b, stride, k, by)
}
