package adjust

import "golang.org/x/sys/cpu"

// What this processor can: fused steps four at once, eight at once.
var (
	four  = cpu.X86.HasAVX2 && cpu.X86.HasFMA
	eight = cpu.X86.HasAVX512F
)

// gather8 is gatherPlain in the processor's own fused steps, eight at once: the
// same roundings in the same order, so the same answer to the last bit.
//
//go:noescape
func gather8(c, a, b *float64, stride, k int, by float64)

// gather4 is the same for the upper half of a tile, four steps at once.
//
//go:noescape
func gather4(c, a, b *float64, stride, k int, by float64)

func gather(c, a, b []float64, stride, k int, by float64) {
	if k == 0 {
		return
	}
	_, _, _ = c[(tile-1)*stride+tile-1], a[(k-1)*stride+tile-1], b[(k-1)*stride+tile-1]
	switch {
	case eight:
		gather8(&c[0], &a[0], &b[0], stride, k, by)
	case four:
		gather4(&c[0], &a[0], &b[0], stride, k, by)
		gather4(&c[4*stride], &a[4], &b[0], stride, k, by)
	default:
		gatherPlain(c, a, b, stride, k, by)
	}
}
