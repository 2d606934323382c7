package bench

import (
	"fmt"
	"testing"

	"coilwright/plane"
)

// BenchmarkBands shows the growth of cutting a facade into courses: time for each
// opening should stay nearly the same from 10 to 1,000.
func BenchmarkBands(b *testing.B) {
	for _, n := range []int{10, 100, 1000} {
		rings := Facade(n)
		lines := Lines(rings)
		b.Run(fmt.Sprintf("openings=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			var parts []plane.Part
			for b.Loop() {
				parts = plane.Bands(rings, lines)
			}
			b.ReportMetric(float64(len(parts)), "parts")
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/opening")
		})
	}
}

// TestFacadeTiles: what is measured is the true work: the parts' areas add up to
// the facade's.
func TestFacadeTiles(t *testing.T) {
	for _, rings := range [][]plane.TaggedRing{Facade(1), Facade(10), Facade(100), FacadeWithVents(100)} {
		n := len(rings) - 1
		whole, sum := 0.0, 0.0
		for _, r := range rings {
			whole += r.Points.Area().SquareMetres()
		}
		for _, p := range plane.Bands(rings, Lines(rings)) {
			sum += p.Outer.Points.Area().SquareMetres()
			for _, h := range p.Holes {
				sum += h.Points.Area().SquareMetres()
			}
		}
		if d := sum/whole - 1; d > 1e-9 || d < -1e-9 {
			t.Errorf("%d openings: parts %v m2, facade %v m2", n, sum, whole)
		}
	}
}
