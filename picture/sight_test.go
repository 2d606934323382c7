package picture

import (
	"math"
	"testing"

	"coilwright/photo"
)

// The place at which sunlight passed the face plane is found by cutting lines and planes
// in the world, without the wall's frame: from what a pixel shows at a depth, towards
// the sun. And along a row of pixels of an oblique wall places bend; a stretch follows them.
func TestSightAndSunlight(t *testing.T) {
	for _, turn := range []float64{0, 0.9, -1.1} {
		p := shot(400, 300, 400, turn)
		ready := Prepare(p)
		d := ready.light[0]
		for i := range ready.strips {
			s := &ready.strips[i]
			for n := 0; n < len(s.stretches); n += 17 {
				for k := 0; k < span; k += 5 {
					checkSight(t, &p, d, s, &s.stretches[n], k)
				}
			}
		}
	}
}

func checkSight(t *testing.T, p *Photo, d *daylight, s *strip, r *stretch, k int) {
	t.Helper()
	at := photo.Pixel{U: float64(s.left+k) + 0.5, V: float64(r.row) + 0.5}
	x, y, ok := p.Camera.OnPlane(at, d.wall.at(anchor))
	if !ok || x < 0 || x > 200 || y < 0 || y > 100 {
		return
	}
	bent := float64(k*(span-k)) - meanBow
	gotX, gotY := r.place(float64(k) / span)
	gotX, gotY = gotX+bent*float64(r.bow[0]), gotY+bent*float64(r.bow[1])
	if off := math.Hypot(gotX-x, gotY-y); off > 0.07*s.across { // of a pixel
		t.Fatalf("pixel %d of row %d shows (%.3f, %.3f), the stretch says (%.3f, %.3f)", k, r.row, x, y, gotX, gotY)
	}
	for _, z := range []float64{0.05, 0.5} {
		sx, sy, _ := p.Camera.OnPlane(at, d.wall.at(z))
		seen := d.wall.Plane.Off(sx, sy, z-d.wall.Standoff)
		n := d.wall.Plane.Normal()
		far := d.wall.Plane.Origin.Sub(seen).Dot(n) / p.Sun.Dot(n)
		passed := seen.Add(p.Sun.Scale(far)).Sub(d.wall.Plane.Origin)
		across, up := d.drawn(x, y, anchor, z)
		if off := math.Hypot(x+across-passed.Dot(d.wall.Plane.X), y+up-passed.Dot(d.wall.Plane.Y)); off > 0.002 {
			t.Fatalf("at (%.2f, %.2f), depth %.2f, sunlight passed %.4f in beside the place found", x, y, z, off)
		}
	}
}
