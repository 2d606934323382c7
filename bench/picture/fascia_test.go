package picture

import (
	"image"
	"math"
	"testing"

	"coilwright/picture"
)

// TestFascias paints dark trim on the scenes' white fascias: of those along both rakes of one,
// in the sun and under leaves, and along the other's eave, which has a gutter whose lip shades
// it, hardly any place keeps its paint, at the edges neither.
func TestFascias(t *testing.T) {
	for _, at := range []struct {
		scene, kind string
		wall        int
	}{{"birch", "rake", 1}, {"alder", "eave", 0}} {
		s := load(t, at.scene)
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
		depth := s.Truth.House.Rake
		if at.kind == "eave" {
			depth = s.Truth.House.Eave
		}
		was, is := stillPale(s, painted, at.wall, at.kind, depth)
		t.Logf("%s: of %d pale places %d stay pale", at.scene, was, is)
		if was < 2000 || is > was/500 {
			t.Errorf("%s: of %d pale places of fascias %d stay pale under dark trim", at.scene, was, is)
		}
	}
}

// stillPale counts the pale places of a wall's fascias, depth inches before its edges of a
// kind, in the photo, and those among them that are pale as it is painted.
func stillPale(s *Scene, painted *image.RGBA, wall int, kind string, depth float64) (was, is int) {
	c, w := s.Truth.Camera(), s.Truth.Walls[wall]
	pale := func(p []uint8) bool { return min(p[0], p[1]) > 170 } // sky is none
	for i, k := range w.Edges {
		if k != kind {
			continue
		}
		a, b := w.Outline[i], w.Outline[(i+1)%len(w.Outline)]
		long := math.Hypot(b[0]-a[0], b[1]-a[1])
		dx, dy := (b[0]-a[0])/long, (b[1]-a[1])/long
		for at := 5.0; at < long-5; at++ {
			for up := -1.5; up < 6.5; up += 0.25 {
				q, ok := c.Project(w.Plane().Off(a[0]+at*dx+up*dy, a[1]+at*dy-up*dx, depth))
				if x, y := int(q.U), int(q.V); ok && pale(s.Before.Pix[s.Before.PixOffset(x, y):]) {
					was++
					if pale(painted.Pix[painted.PixOffset(x, y):]) {
						is++
					}
				}
			}
		}
	}
	return was, is
}
