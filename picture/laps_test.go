package picture

import (
	"math"
	"math/rand/v2"
	"testing"
)

// laps is how dark each height of a wall of so many inches is, the courses uneven by some 2 %
// of them; windows hide a third of the lines, and there is noise.
func laps(r *rand.Rand, high, exposure float64) []float64 {
	line := make([]float64, int(high/lapStep))
	for i := range line {
		line[i] = 0.03 * r.NormFloat64()
	}
	for y := 0.0; y < high; y += exposure {
		if int(y/30)%3 == 1 {
			continue
		}
		butt := y + 0.02*exposure*r.NormFloat64()
		for i := max(0, int(butt/lapStep)); i < min(len(line), int((butt+0.3)/lapStep)); i++ {
			line[i] -= 0.2
		}
	}
	return highPassed(line, int(4/lapStep))
}

// The period of uneven laps is told by their number over the height; where nothing repeats
// there is none.
func TestPeriod(t *testing.T) {
	var sum, n float64
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 2))
		for _, want := range []float64{2.9, 3.6, 4.364} {
			got, ok := period(laps(r, 200, want))
			if off := math.Abs(got/want - 1); !ok || off > 0.01 {
				t.Errorf("lines %.3f in apart are said to be %.3f in apart (%v)", want, got, ok)
			} else {
				sum, n = sum+off*off, n+1
			}
		}
	}
	t.Logf("off by %.3f %%", 100*math.Sqrt(sum/n))
	if math.Sqrt(sum/n) > 0.001 {
		t.Errorf("off by %.2f %%", 100*math.Sqrt(sum/n))
	}
	noise := make([]float64, int(200/lapStep))
	r := rand.New(rand.NewPCG(1, 2))
	for i := range noise {
		noise[i] = r.NormFloat64()
	}
	if got, ok := period(noise); ok {
		t.Errorf("noise repeats every %.3f in", got)
	}
}
