package picture

import (
	"math"
	"testing"

	"coilwright/picture"
)

// TestFascias paints dark trim on a scene's white fascias: of those along both rakes, in the
// sun and under leaves, hardly any place keeps its paint, at the edges neither.
func TestFascias(t *testing.T) {
	s := load(t, "birch")
	j, open, err := s.Job(`[{"id":"A","zones":[{"id":"field","walls":"all","where":"rest","panel":"lap-double-4","texture":"smooth","colour":"barn"}],"trim_colour":"slate"}]`)
	if err != nil {
		t.Fatal(err)
	}
	f, err := picture.FitAt(j, j.Photos[0], open, 0)
	if err != nil {
		t.Fatal(err)
	}
	painted, err := f.Paint(j, "A")
	if err != nil {
		t.Fatal(err)
	}
	c, w := s.Truth.Camera(), s.Truth.Walls[1]
	pale := func(p []uint8) bool { return min(p[0], p[1]) > 170 } // sky is none
	was, is := 0, 0
	for i, kind := range w.Edges {
		if kind != "rake" {
			continue
		}
		a, b := w.Outline[i], w.Outline[(i+1)%len(w.Outline)]
		long := math.Hypot(b[0]-a[0], b[1]-a[1])
		dx, dy := (b[0]-a[0])/long, (b[1]-a[1])/long
		for at := 5.0; at < long-5; at++ {
			for up := -1.5; up < 6.5; up += 0.25 {
				q, ok := c.Project(w.Plane().Off(a[0]+at*dx+up*dy, a[1]+at*dy-up*dx, s.Truth.House.Rake))
				if x, y := int(q.U), int(q.V); ok && pale(s.Before.Pix[s.Before.PixOffset(x, y):]) {
					was++
					if pale(painted.Pix[painted.PixOffset(x, y):]) {
						is++
					}
				}
			}
		}
	}
	t.Logf("of %d pale places %d stay pale", was, is)
	if was < 2000 || float64(is) > 0.015*float64(was) {
		t.Errorf("of %d pale places of fascias %d stay pale under dark trim", was, is)
	}
}
