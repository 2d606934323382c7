package adjust

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestDotsAlike: with the processor's fused steps and without, every length gives
// the same bits;
// and both are near the sum taken plainly, within its own rounding.
func TestDotsAlike(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for n := range 40 {
		aStride, bStride := n+r.IntN(3), n+r.IntN(3)
		a, b := make([]float64, 3*aStride+n), make([]float64, bStride+n)
		for i := range a {
			a[i] = r.NormFloat64()
		}
		for i := range b {
			b[i] = r.NormFloat64()
		}
		var got, plain [8]float64
		dots42(a, aStride, b, bStride, n, &got)
		dotsPlain(a, aStride, b, bStride, n, &plain)
		if got != plain {
			t.Fatalf("n = %d: %v, plainly %v", n, got, plain)
		}
		for i := range 4 {
			for j := range 2 {
				sum, size := 0.0, 0.0
				for k := range n {
					p := a[i*aStride+k] * b[j*bStride+k]
					sum, size = sum+p, size+math.Abs(p)
				}
				if math.Abs(got[2*i+j]-sum) > 1e-14*size {
					t.Fatalf("n = %d: product %d %d is %g, not %g", n, i, j, got[2*i+j], sum)
				}
			}
		}
	}
}
