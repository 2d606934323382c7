package picture

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"coilwright/photo"
)

// gableEnd is shot's wall as a gable, 60 in higher in the middle, under overhangs of 12 in.
func gableEnd(p *Photo) {
	w := &p.Walls[0]
	w.Outline = Ring{{0, 0}, {200, 0}, {200, 100}, {100, 160}, {0, 100}}
	w.Field = []Ring{w.Outline}
	w.Overhangs = []Overhang{{XY{200, 100}, XY{100, 160}, 12}, {XY{100, 160}, XY{0, 100}, 12}}
}

// TestOverhangHides walks along each sight in small steps, past a gable whose roof stands
// out 12 in all round: a place of the wall shows where no step lies under the roof's plane
// and over the soffit's, before the wall.
func TestOverhangHides(t *testing.T) {
	p := shot(400, 300, 300, 0)
	gableEnd(&p)
	all := p.hiders()
	r := rand.New(rand.NewPCG(3, 8))
	var hidden, seen int
	for range 2000 {
		between := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
		eye := photo.Vec{X: between(-300, 500), Y: -between(20, 300), Z: between(0, 200)}
		x := between(1, 199)
		place := photo.Vec{X: x, Z: 100 + 0.6*math.Min(x, 200-x) - between(0.5, 30)}
		deep := math.Inf(-1) // inside the overhang
		for k := range 20000 {
			at := place.Add(eye.Sub(place).Scale((float64(k) + 0.5) / 20000))
			if at.Y < -12 {
				break
			}
			over := at.Z - (100 + 0.6*math.Min(at.X, 200-at.X))
			// past its lower ends the overhang is cut off square to the rake
			past := (math.Max(-at.X, at.X-200) + 0.6*(100-at.Z)) / math.Hypot(1, 0.6)
			deep = max(deep, min(over, 12-past))
		}
		switch got := anyHides(all, eye, place); {
		case math.Abs(deep) < 0.1:
		case got != (deep > 0):
			t.Fatalf("from %v the place %v is hidden: %v, step by step %.2f in deep", eye, place, got, deep)
		case got:
			hidden++
		default:
			seen++
		}
	}
	t.Logf("%d places hidden, %d seen", hidden, seen)
	if min(hidden, seen) < 200 {
		t.Errorf("%d places hidden and %d seen try too little", hidden, seen)
	}
}

// TestHiddenPlacesShowNoWall: seen from the left, the left rake's front stands before the
// wall under it, whose edge no pixel shows; the right rake hides nothing.
func TestHiddenPlacesShowNoWall(t *testing.T) {
	for _, turn := range []float64{-1.2, 1.2} {
		p := shot(400, 300, 300, turn)
		gableEnd(&p)
		s := p.visibility()
		shows := func(x, y float64) bool {
			q, _ := p.Camera.Project(p.Walls[0].Plane.At(x, y))
			at := pixelOf(q)
			return s.wallAt(at.X, at.Y) == 0
		}
		near, far := 50.0, 150.0
		if turn > 0 {
			near, far = far, near
		}
		if shows(near, 127) || !shows(far, 127) || !shows(near, 100) {
			t.Errorf("turned by %.1f: beside the near rake %v, want false, beside the far one %v, further down %v, want true", turn, shows(near, 127), shows(far, 127), shows(near, 100))
		}
	}
}

// TestEavesShadeWhatNoCladdingTells: an old frieze that lies in an eave's shadow says
// nothing of it, for it is no cladding; the overhang does, unless the photo shows the sun
// where the overhang should keep it off.
func TestEavesShadeWhatNoCladdingTells(t *testing.T) {
	for _, c := range []struct {
		frieze float64 // where it begins
		want   float64
	}{{87, 0}, {95, 1}} {
		p := shot(400, 300, 260, 0)
		p.Walls[0].Overhangs = []Overhang{{XY{200, 100}, XY{0, 100}, 12}} // the sun throws its shadow 12 in down
		p.Mask = image.NewGray(p.Image.Rect)
		for v := range 300 {
			for u := range 400 {
				_, y, _ := p.Camera.OnPlane(photo.Pixel{U: float64(u) + 0.5, V: float64(v) + 0.5}, p.Walls[0].Plane)
				if y < c.frieze {
					p.Mask.SetGray(u, v, color.Gray{255})
				}
			}
		}
		d := Prepare(p).light[0]
		if got := d.cells.sample(d.shine, 60, 97); math.Abs(got-c.want) > 0.05 {
			t.Errorf("frieze from %.0f in up: the sun reaches %.2f of it, want %.0f", c.frieze, got, c.want)
		}
		if got := d.cells.sample(d.shine, 60, 70); got < 0.95 {
			t.Errorf("the sun reaches %.2f of the wall further down", got)
		}
	}
}
