package photo_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"coilwright/photo"
)

func far(p photo.Pixel, q [2]float64) float64 { return math.Hypot(p.U-q[0], p.V-q[1]) }

// TestCameraSeesTheScenes projects every corner of the truth scenes. The scenes
// were rendered by another program and print their pixels to 4 decimals.
func TestCameraSeesTheScenes(t *testing.T) {
	for _, name := range []string{"alder", "birch"} {
		s := scene(t, name)
		cam := s.camera()
		for i, w := range s.Walls {
			plane := s.plane(i)
			for k, xy := range w.Outline {
				seen, ok := cam.Project(plane.At(xy[0], xy[1]))
				if !ok || far(seen, w.Corners[k]) > 1e-4 {
					t.Errorf("%s %s corner %d: seen at %v (%v), truth %v", name, w.ID, k, seen, ok, w.Corners[k])
				}
				straight, ok := cam.Undistorted(seen)
				if !ok || far(straight, w.Undistorted[k]) > 1e-4 {
					t.Errorf("%s %s corner %d: undistorted %v, truth %v", name, w.ID, k, straight, w.Undistorted[k])
				}
				u, v := cam.WallToPicture(plane).Apply(xy[0], xy[1])
				if far(photo.Pixel{U: u, V: v}, w.Undistorted[k]) > 1e-4 {
					t.Errorf("%s %s corner %d: by homography %v %v, truth %v", name, w.ID, k, u, v, w.Undistorted[k])
				}
				x, y, ok := cam.OnPlane(seen, plane)
				if !ok || math.Hypot(x-xy[0], y-xy[1]) > 1e-8 {
					t.Errorf("%s %s corner %d: back on the wall at %g %g, truth %v", name, w.ID, k, x, y, xy)
				}
			}
		}
	}
}

// TestLensUndoesItself draws lenses and pixels: what has a ray comes back to its
// pixel, whether the lens bends inwards or outwards.
func TestLensUndoesItself(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := photo.Lens{
			Focal: rapid.Float64Range(300, 4000).Draw(t, "focal"), CX: 800, CY: 600,
			K1: rapid.Float64Range(-0.4, 0.4).Draw(t, "k1"), K2: rapid.Float64Range(-0.2, 0.2).Draw(t, "k2"),
		}
		at := photo.Pixel{U: rapid.Float64Range(0, 1600).Draw(t, "u"), V: rapid.Float64Range(0, 1200).Draw(t, "v")}
		straight, ok := l.Undistorted(at)
		if !ok {
			return // beyond the fold: nothing is claimed
		}
		back, ok := l.Distorted(straight)
		if !ok || math.Hypot(back.U-at.U, back.V-at.V) > 1e-6 {
			t.Fatalf("%v came back as %v (%v)", at, back, ok)
		}
	})
}

// TestBeyondTheFold: a barrel lens with k1 = -1/3 bends back at r = 1; a ray
// beyond it is not seen, and its largest radius is 2/3.
func TestBeyondTheFold(t *testing.T) {
	c := photo.Camera{
		Lens: photo.Lens{Focal: 1000, K1: -1.0 / 3},
		R:    photo.Rotation{{X: 1}, {Y: 1}, {Z: 1}},
	}
	for _, q := range []struct {
		p  photo.Vec
		ok bool
	}{{photo.Vec{X: 0.99, Z: 1}, true}, {photo.Vec{X: 1.01, Z: 1}, false}, {photo.Vec{Z: -1}, false}, {photo.Vec{}, false}} {
		if _, ok := c.Project(q.p); ok != q.ok {
			t.Errorf("%v seen: %v, want %v", q.p, ok, q.ok)
		}
	}
	if _, ok := c.Undistorted(photo.Pixel{U: 667}); ok {
		t.Error("a pixel that no ray reaches was given one")
	}
	if p, ok := c.Undistorted(photo.Pixel{U: 666}); !ok || p.U < 900 {
		t.Errorf("a pixel just inside the fold: %v %v", p, ok)
	}
}
