package adjust

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestTilesAlike: with the processor's fused steps and without, every number of rows
// gives the same bits; and both are near the sum taken plainly, within its rounding.
func TestTilesAlike(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	random := func(n int) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = r.NormFloat64()
		}
		return out
	}
	for k := range 40 {
		stride, by := tile*(1+r.IntN(3)), r.NormFloat64()
		a, b, c := random((k+1)*stride), random((k+1)*stride), random(tile*stride)
		got, plain := append([]float64(nil), c...), append([]float64(nil), c...)
		gather(got, a, b, stride, k, by)
		gatherPlain(plain, a, b, stride, k, by)
		for at := range c {
			if got[at] != plain[at] {
				t.Fatalf("%d rows: %g at %d, plainly %g", k, got[at], at, plain[at])
			}
			i, j := at/stride, at%stride
			if j >= tile {
				if got[at] != c[at] {
					t.Fatalf("%d rows: wrote beside the tile at %d", k, at)
				}
				continue
			}
			sum, size := c[at], math.Abs(c[at])
			for row := range k {
				p := by * a[row*stride+i] * b[row*stride+j]
				sum, size = sum+p, size+math.Abs(p)
			}
			if math.Abs(got[at]-sum) > 1e-14*size {
				t.Fatalf("%d rows: %d %d is %g, not %g", k, i, j, got[at], sum)
			}
		}
	}
}
