package picture

import (
	"image"
	"math"
	"testing"

	"pgregory.net/rapid"

	"coilwright/photo"
)

// corner is a house's outside corner at the origin, seen across it, whose two walls were
// each fitted a little off: gap inches between them, tilt inches more at the top.
func corner(gap, tilt float64, mirrored bool) *Photo {
	c := photo.Camera{Lens: photo.Lens{Focal: 600, CX: 200, CY: 150}, R: photo.Rotation{{X: 1}, {Z: -1}, {Y: 1}}, T: photo.Vec{Y: 40, Z: 300}}
	half := math.Sqrt(0.5)
	wall := func(right bool) Wall { // they run back at 45 degrees to both sides
		w := Wall{Standoff: 0.75}
		if right {
			w.Plane = photo.Plane{Origin: photo.Vec{X: gap * half}, X: photo.Vec{X: half, Y: half}, Y: photo.Vec{Z: 1}}
			w.Outline = Ring{{0, 0}, {120, 0}, {120, 90}, {0, 90}}
		} else {
			w.Plane = photo.Plane{Origin: photo.Vec{X: -120 * half, Y: 120 * half}, X: photo.Vec{X: half, Y: -half}, Y: photo.Vec{X: -tilt * half / 90, Y: -tilt * half / 90, Z: 1}.Unit()}
			w.Outline = Ring{{0, 0}, {120, 0}, {120, 90}, {60, 130}, {0, 90}}
			w.Outline[2].Y = 99 // its rake hangs higher than the other's eave
		}
		w.Field = []Ring{w.Outline}
		return w
	}
	p := &Photo{Image: image.NewRGBA(image.Rect(0, 0, 400, 300)), Camera: c, Walls: []Wall{wall(false), wall(true)}}
	if mirrored {
		p.Walls[0], p.Walls[1] = p.Walls[1], p.Walls[0]
	}
	return p
}

// Every pixel between two walls that meet shows one of them, whatever slit or overlap
// their marks left and whichever comes first; row by row no more than one change.
func TestCloseCorners(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		gap, tilt := rapid.Float64Range(-1.5, 1.5).Draw(t, "gap"), rapid.Float64Range(-1, 1).Draw(t, "tilt")
		p := corner(gap, tilt, rapid.Bool().Draw(t, "mirrored"))
		p.closeCorners()
		s := p.visibility()
		for v := 60; v < 220; v += 5 {
			was, changes := s.wallAt(150, v), 0
			for u := 150; u < 250; u++ {
				at := s.wallAt(u, v)
				if at < 0 {
					t.Fatalf("pixel %d of row %d shows no wall", u, v)
				}
				if at != was {
					was = at
					changes++
				}
			}
			if changes != 1 {
				t.Fatalf("row %d changes walls %d times", v, changes)
			}
		}
	})
}

// Walls whose edges are seen far apart are no corner, and stay as they were marked.
func TestFarEdgesStay(t *testing.T) {
	p := corner(9, 0, false)
	before := append(append(Ring{}, p.Walls[0].Outline...), p.Walls[1].Outline...)
	p.closeCorners()
	for i, q := range append(append(Ring{}, p.Walls[0].Outline...), p.Walls[1].Outline...) {
		if q != before[i] {
			t.Fatalf("corner %d moved from %v to %v", i, before[i], q)
		}
	}
}
