package adjust_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"coilwright/adjust"
)

// TestWhiten: what was correlated has the unit matrix as covariance afterwards,
// below one tile, at its edge and beyond.
func TestWhiten(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	for _, n := range []int{1, 5, 8, 9, 16, 21} {
		c := correlation(r, n)
		w, err := adjust.Whiten(c)
		if err != nil {
			t.Fatal(err)
		}
		for i := range n {
			for j := range i + 1 {
				sum := 0.0
				for k := range i + 1 {
					for l := range j + 1 {
						sum += w.By(i, k) * c.At(k, l) * w.By(j, l)
					}
				}
				want := 0.0
				if i == j {
					want = 1
				}
				if math.Abs(sum-want) > 1e-11 {
					t.Fatalf("%d observations: covariance %d %d is %g", n, i, j, sum)
				}
			}
		}
	}
}

// correlation draws one from random mixtures.
func correlation(r *rand.Rand, n int) adjust.Symmetric {
	mixed := make([][]float64, n)
	for i := range mixed {
		mixed[i] = make([]float64, n+2)
		long := 0.0
		for k := range mixed[i] {
			mixed[i][k] = r.NormFloat64()
			long += mixed[i][k] * mixed[i][k]
		}
		for k := range mixed[i] {
			mixed[i][k] /= math.Sqrt(long)
		}
	}
	c := adjust.Symmetric{N: n, Data: make([]float64, n*n)}
	for i := range n {
		for j := range i {
			for k, v := range mixed[i] {
				c.Data[i*n+j] += v * mixed[j][k]
			}
			c.Data[j*n+i] = c.Data[i*n+j]
		}
		c.Data[i*n+i] = 1
	}
	return c
}
