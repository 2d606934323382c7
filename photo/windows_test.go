package photo_test

import (
	"image"
	"image/color"
	"math"
	"testing"

	"coilwright/opendata"
	"coilwright/photo"
)

// TestSegments finds the four sides of a drawn box, each with its brighter side on
// the right.
func TestSegments(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 200, 150))
	for y := range 150 {
		for x := range 200 {
			c := color.RGBA{180, 180, 180, 255}
			if x >= 60 && x < 120 && y >= 40 && y < 100 {
				c = color.RGBA{40, 40, 40, 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	got := photo.Segments(img)
	if len(got) != 4 {
		t.Fatalf("%d segments: %v", len(got), got)
	}
	for _, s := range got {
		if math.Abs(s.Length()-60) > 4 {
			t.Errorf("%v is %.1f long", s, s.Length())
		}
		// A place a little to the right of the segment, looking from A to B.
		u := (s.A.U+s.B.U)/2 - 4*(s.B.V-s.A.V)/s.Length()
		v := (s.A.V+s.B.V)/2 + 4*(s.B.U-s.A.U)/s.Length()
		if img.RGBAAt(int(u), int(v)).R < 100 {
			t.Errorf("%v is dark on its right", s)
		}
	}
	for _, size := range []image.Point{{}, {1, 1}, {3, 200}} {
		photo.Segments(image.NewRGBA(image.Rectangle{Max: size}))
		photo.Windows(image.NewRGBA(image.Rectangle{Max: size}))
	}
}

// TestVanishingLines: on the scenes, what is upright and what is level along the
// front is found to within a degree, or one and a half where they are nearly
// parallel in the picture.
func TestVanishingLines(t *testing.T) {
	for _, name := range []string{"alder", "birch"} {
		s := scene(t, name)
		cam := s.camera()
		img := rgba(t, opendata.Need(t, "truth scenes and photos", "scenes", name, "before.jpg"))
		upright, level := photo.VanishingLines(photo.Segments(img), cam.Lens)
		apart := func(d, truth photo.Vec) float64 {
			return math.Acos(math.Min(1, math.Abs(d.Dot(truth)))) * 180 / math.Pi
		}
		if a := apart(upright.Direction, cam.R.Apply(photo.Vec{Z: 1})); a > 1.5 {
			t.Errorf("%s: upright is %.2f degrees off", name, a)
		}
		for _, w := range s.Walls {
			best := math.Inf(1)
			for _, l := range level {
				best = math.Min(best, apart(l.Direction, cam.R.Apply(vec(w.XAxis))))
			}
			if best > 1 {
				t.Errorf("%s: what is level on %s is %.2f degrees off", name, w.ID, best)
			}
		}
	}
}

// TestWindowsOfAScene: all four openings of alder are proposed, at the casing or
// just inside it.
func TestWindowsOfAScene(t *testing.T) {
	s := scene(t, "alder")
	found := photo.Windows(rgba(t, opendata.Need(t, "truth scenes and photos", "scenes", "alder", "before.jpg")))
	if len(found) > 12 {
		t.Errorf("%d proposals", len(found))
	}
	for _, o := range s.Walls[0].Openings {
		best := math.Inf(1)
		for _, p := range found {
			worst := 0.0
			for k, c := range o.Corners {
				worst = math.Max(worst, far(p.Corners[k], c))
			}
			best = math.Min(best, worst)
		}
		if best > 25 { // a casing is some 11 pixels wide here
			t.Errorf("%s: the nearest proposal is %.0f px off", o.ID, best)
		}
	}
}
