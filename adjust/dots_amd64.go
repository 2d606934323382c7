package adjust

import "golang.org/x/sys/cpu"

// fused says that this processor can take four fused steps at once.
var fused = cpu.X86.HasAVX2 && cpu.X86.HasFMA

// dotsFMA is dotsPlain in the processor's own fused steps: the same roundings in
// the same order, so the same answer to the last bit.
//
//go:noescape
func dotsFMA(a, b *float64, aStride, bStride, n int, out *[8]float64)

func dots42(a []float64, aStride int, b []float64, bStride, n int, out *[8]float64) {
	if !fused || n == 0 {
		dotsPlain(a, aStride, b, bStride, n, out)
		return
	}
	_, _ = a[3*aStride+n-1], b[bStride+n-1]
	dotsFMA(&a[0], &b[0], aStride, bStride, n, out)
}
