package picture

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// squares is the guided filter as it is written down: sums over each square.
func squares(g grid, v, guide []float32, r int, eps float64) []float64 {
	mean := func(of func(k int) float64) []float64 {
		out := make([]float64, len(v))
		for k := range out {
			for j := max(0, k/g.w-r); j <= min(g.h-1, k/g.w+r); j++ {
				for i := max(0, k%g.w-r); i <= min(g.w-1, k%g.w+r); i++ {
					out[k] += of(j*g.w+i) / float64((2*r+1)*(2*r+1))
				}
			}
		}
		return out
	}
	at := func(a []float32) func(k int) float64 { return func(k int) float64 { return float64(a[k]) } }
	mi, mp := mean(at(guide)), mean(at(v))
	ii := mean(func(k int) float64 { return float64(guide[k]) * float64(guide[k]) })
	ip := mean(func(k int) float64 { return float64(guide[k]) * float64(v[k]) })
	slope := func(k int) float64 { return (ip[k] - mi[k]*mp[k]) / (ii[k] - mi[k]*mi[k] + eps) }
	a, b := mean(slope), mean(func(k int) float64 { return mp[k] - slope(k)*mi[k] })
	for k := range a {
		a[k] = a[k]*float64(guide[k]) + b[k]
	}
	return a
}

// Filtered in bands, a raster is what the formulas make of it in one go, on either side
// of a band's edge too.
func TestGuided(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := grid{XY{}, 1, rapid.IntRange(1, 6).Draw(t, "width"), rapid.SampledFrom([]int{1, 3, 255, 256, 257, 530}).Draw(t, "height")}
		r := rapid.IntRange(1, 7).Draw(t, "r")
		seed := rapid.Int64Range(0, 1<<40).Draw(t, "seed")
		v, guide, got := g.zeros(), g.zeros(), g.zeros()
		for k := range v {
			v[k], guide[k] = float32(Chance(seed, int64(k))), float32(Chance(seed+1, int64(k)))
		}
		want := squares(g, v, guide, r, 0.01)
		g.guided(got, v, guide, r, 0.01)
		for k := range got {
			if math.Abs(float64(got[k])-want[k]) > 1e-4 {
				t.Fatalf("%d x %d, r %d, cell %d, %d: %v, want %v", g.w, g.h, r, k%g.w, k/g.w, got[k], want[k])
			}
		}
	})
}
