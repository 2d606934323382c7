package bench

import (
	"fmt"
	"testing"

	"coilwright/course"
)

// BenchmarkLayout shows the growth of a whole layout, datum chosen and set-backs
// applied: one facade of more and more openings, and a row of 200 walls.
func BenchmarkLayout(b *testing.B) {
	for _, c := range []struct{ walls, openings int }{{1, 10}, {1, 100}, {1, 1000}, {20, 5}, {200, 5}} {
		in := Facades(c.walls, c.openings)
		b.Run(fmt.Sprintf("walls=%d/openings=%d", c.walls, c.walls*c.openings), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := course.Lay(in, false); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(c.walls*c.openings), "ns/opening")
		})
	}
}
