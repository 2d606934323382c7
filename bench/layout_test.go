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

// BenchmarkEdit is what follows on every edit of a large house on the screen: the
// check of the house and the layout of one scheme, its datum chosen.
func BenchmarkEdit(b *testing.B) {
	for _, c := range []struct {
		name string
		in   course.Input
	}{{"plain", Facades(30, 4)}, {"zoned", Zoned(Facades(30, 4))}} {
		in := c.in
		b.Run("walls=30/openings=120/"+c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if found := in.House.Check(); found.Fatal() {
					b.Fatal(found)
				}
				if _, err := course.Lay(in, false); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// TestZonedLayoutIsSound: what BenchmarkEdit measures is a house without findings
// and a layout with pieces in every zone.
func TestZonedLayoutIsSound(t *testing.T) {
	in := Zoned(Facades(3, 4))
	if found := in.House.Check(); len(found) > 0 {
		t.Fatal(found)
	}
	l, err := course.Lay(in, false)
	if err != nil {
		t.Fatal(err)
	}
	pieces := make([]int, len(in.Scheme.Zones))
	for _, p := range l.Pieces {
		pieces[p.Zone]++
	}
	for k, n := range pieces {
		if n == 0 {
			t.Errorf("zone %s has no pieces", in.Scheme.Zones[k].ID)
		}
	}
}
