package picture

import (
	"math"
	"math/rand/v2"
	"testing"

	"coilwright/colour"
)

// Two guesses at a front, weighed by their errors, are together better than either alone,
// be the front even as bark or as spotted as leaves, and the pixel little of it or most.
func TestWeigh(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	for _, spread := range []float64{0.01, 0.08, 0.25} {
		for _, share := range []uint8{40, 128, 215} {
			var shown, near, both float64
			for range 20_000 {
				clad, mean, was := float64(share)/255, 0.4, 0.5
				front := (1 - clad) * max(0, mean*(1+meanError*r.NormFloat64())+spread*r.NormFloat64())
				seen := front + clad*was*(1+wasError*r.NormFloat64()) + pixelError*r.NormFloat64()
				grey := func(v float64) colour.Linear { return colour.Linear{v, v, v} }
				p := unmix(grey(seen), grey(was), share)
				shown += square(float64(p.front[1])/4095 - front)
				near += square((1-clad)*mean - front)
				frontNear{mean: grey(mean), spread: grey(spread), seen: true}.weigh(&p, grey(was))
				both += square(float64(p.front[1])/4095 - front)
			}
			if both > 1.01*min(shown, near) {
				t.Errorf("spread %.2f, share %d: off by %.4f, the guesses by %.4f and %.4f", spread, share, math.Sqrt(both/20_000), math.Sqrt(shown/20_000), math.Sqrt(near/20_000))
			}
		}
	}
	p := part{share: 100, front: [3]uint16{1, 2, 3}}
	was := p
	if (frontNear{}).weigh(&p, colour.Linear{}); p != was {
		t.Error("nothing is near, and the front changes")
	}
}

func square(v float64) float64 { return v * v }

// Held to what is near, a front has its colours, is no brighter, and stays as dark as a
// shadow makes it.
func TestHold(t *testing.T) {
	near := frontNear{mean: colour.Linear{0.6, 0.55, 0.45}, spread: colour.Linear{0.02, 0.02, 0.02}, seen: true}
	for _, c := range []struct {
		seen, was colour.Linear
		least     float64 // what it may come out at, beside what is near
		most      float64
	}{
		{colour.Linear{0.5, 0.5, 0.5}, colour.Linear{0.4, 0.4, 0.4}, 0.95, 1.1},    // alike
		{colour.Linear{0.55, 0.35, 0.2}, colour.Linear{0.6, 0.2, 0.05}, 0.6, 1.1},  // an orange wall's colour runs in
		{colour.Linear{0.9, 0.9, 0.9}, colour.Linear{0.6, 0.6, 0.6}, 1, 1.1},       // the mask is wrong
		{colour.Linear{0.1, 0.1, 0.12}, colour.Linear{0.08, 0.08, 0.1}, 0.15, 0.3}, // in the shade
		{colour.Linear{0.01, 0.01, 0.01}, colour.Linear{0.5, 0.5, 0.5}, 0, 0},      // nothing is left
		{colour.Linear{0.3, 0.275, 0.225}, colour.Linear{}, 1, 1},                  // all that is seen is front
	} {
		p := unmix(c.seen, c.was, 128)
		near.hold(&p, c.was)
		for k, mean := range near.mean {
			if got := float64(p.front[k]) / 4095 / (1 - 128.0/255) / mean; got < c.least-0.01 || got > c.most+0.01 {
				t.Errorf("%v over %v: channel %d is %.3f of what is near, want %.2f to %.2f", c.seen, c.was, k, got, c.least, c.most)
			}
		}
	}
}
