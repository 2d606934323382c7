package picture

import (
	"image"
	"math"
	"testing"

	"coilwright/colour"
	"coilwright/photo"
)

// sided is a photo, taken aslant, of a dark wall with a bright window that stands out of
// it, and the true shares of cladding in its pixels, by rays, for a face at depth z: the
// sight goes through the face plane beside the window and meets the wall beside it too.
func sided(z, marked float64) (p Photo, truth func(z float64) *image.Gray) {
	p = shot(400, 300, 260, 0.9)
	p.Old.Face = Flat(z)
	window := p.Walls[0].Field[1]
	w := p.Walls[0]
	truth = func(z float64) *image.Gray {
		out := image.NewGray(p.Image.Rect)
		const n = 8
		hit := func(i int, right, down float64) int {
			at := photo.Pixel{U: float64(i%400) + right, V: float64(i/400) + down}
			x, y, okA := p.Camera.OnPlane(at, w.Plane)
			s, t, okB := p.Camera.OnPlane(at, w.at(z))
			if okA && okB && inside(w.Field, s, t) && !inside([]Ring{window}, x, y) {
				return 1
			}
			return 0
		}
		for i := range out.Pix {
			hits := hit(i, 0, 0) + hit(i, 1, 0) + hit(i, 0, 1) + hit(i, 1, 1)
			if out.Pix[i] = uint8(255 * hits / 4); hits%4 == 0 {
				continue
			}
			hits = 0
			for k := range n * n {
				hits += hit(i, (float64(k%n)+0.5)/n, (float64(k/n)+0.5)/n)
			}
			out.Pix[i] = uint8(255 * hits / n / n)
		}
		return out
	}
	p.Mask = truth(z)
	for i, m := range p.Mask.Pix {
		v := colour.Linear{0.6, 0.6, 0.6}.Scale(1 - 0.7*float64(m)/255).SRGB()
		copy(p.Image.Pix[4*i:], v[:])
	}
	moved := make(Ring, len(window)) // somebody marked it a little off
	for i, at := range window {
		moved[i] = XY{at.X + marked, at.Y}
	}
	p.Walls[0].Field = []Ring{w.Field[0], moved}
	return p, truth
}

// TestSides paints black paint on a deeper and on a shallower face: what is left of
// cladding in every pixel beside the window that may change is what rays find, wherever
// it was marked.
func TestSides(t *testing.T) {
	for _, marked := range []float64{0, 0.4} {
		p, truth := sided(0.5, marked)
		ready := Prepare(p)
		for _, z := range []float64{0.05, 0.3, 0.5, 0.7} {
			want := truth(z)
			var sum, worst float64
			n := 0
			for i := range ready.strips {
				s := &ready.strips[i]
				for _, x := range s.sides {
					at := want.PixOffset(s.left+int(x.pixel), int(s.stretches[x.stretch].row))
					share := float64(p.Mask.Pix[at])/255 + float64(x.share(0.75, z)-x.old)
					off := math.Abs(min(1, max(0, share)) - float64(want.Pix[at])/255)
					if z > 0.5 && p.Mask.Pix[at] == 0 {
						continue // a pixel of nothing but the board stays so
					}
					sum, worst, n = sum+off, max(worst, off), n+1
				}
			}
			t.Logf("marked %.1f in off, face at %.2f: %d pixels, off by %.3f, at worst %.2f", marked, z, n, sum/float64(n), worst)
			if n < 100 || sum/float64(n) > 0.07 || worst > 0.5 {
				t.Errorf("marked %.1f in off, face at %.2f: %d pixels beside the window, cladding's share off by %.3f, at worst %.2f", marked, z, n, sum/float64(n), worst)
			}
		}
	}
}

// TestSidesLit paints black paint deeper than the old face: the strip of the window's side
// that comes to light is bright, and where the face lies as deep as the old one nothing
// changes.
func TestSidesLit(t *testing.T) {
	p, truth := sided(0.5, 0)
	ready := Prepare(p)
	paint := func(z float64) *image.RGBA {
		out, err := ready.Render([]Dressing{{{Region: p.Walls[0].Field, Face: Flat(z)}}})
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	same, deep, was, now := paint(0.5), paint(0.05), truth(0.5), truth(0.05)
	n := 0
	for i := range was.Pix {
		x, y, _ := p.Camera.OnPlane(photo.Pixel{U: float64(i%400) + 0.5, V: float64(i/400) + 0.5}, p.Walls[0].Plane)
		if int(was.Pix[i])-int(now.Pix[i]) < 64 || x < 100 || x > 130 || y < 32 || y > 78 { // other edges, corners
			continue
		}
		n++
		if deep.Pix[4*i] < same.Pix[4*i]+5 {
			t.Fatalf("pixel %d: the side is %d on a deeper face, the cladding was %d", i, deep.Pix[4*i], same.Pix[4*i])
		}
	}
	if n < 20 {
		t.Errorf("%d pixels of the side come to light", n)
	}
}
