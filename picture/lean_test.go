package picture

import (
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"coilwright/photo"
)

// Old laps that lean on a wall marked aslant, more at its foot than at its top, are found to
// do so; level ones stay level, and so do bricks, of which each course is cut by joints of
// its own.
func TestLapsLean(t *testing.T) {
	const exposure, datum = 4.5, 1.3
	for _, c := range []struct {
		what      string
		foot, top float64 // how far the lines have risen at the right end
		bricks    bool
	}{{what: "level"}, {what: "leaning", foot: -2.5, top: -0.5}, {what: "rising", foot: 1, top: 2}, {what: "bricks", bricks: true}} {
		p := shot(800, 600, 260, 0)
		w := p.Walls[0]
		r := rand.New(rand.NewPCG(7, 7))
		shade := make([]float64, 2000)
		for i := range shade {
			shade[i] = 120 + 60*r.Float64()
		}
		for v := range 600 {
			for u := range 800 {
				x, y, _ := p.Camera.OnPlane(photo.Pixel{U: float64(u) + 0.5, V: float64(v) + 0.5}, w.Plane)
				in := y - datum - x/200*(c.foot+(c.top-c.foot)*y/100)
				course := math.Floor(in / exposure)
				level := 180.0
				if c.bricks { // each of its own height and brightness
					level = shade[(int(x/8)*37+int((y+2*shade[int(math.Abs(x)/8)])/2.7)*101+100000)%2000]
				} else if in-course*exposure > exposure-0.5 {
					level = 110
				}
				g := uint8(level + 6*r.NormFloat64())
				p.Image.SetRGBA(u, v, color.RGBA{g, g, g, 255})
			}
		}
		got, at, ok := p.levelLaps(decode(p.Image), 0)
		lean := p.Walls[0].Lean
		t.Logf("%s: %.3f in from %.2f, at the right end %.2f at the foot, %.2f at the top (%v)", c.what, got, at, lean.at(200, 0), lean.at(200, 100), ok)
		if math.Abs(lean.at(200, 0)-c.foot) > 0.3 || math.Abs(lean.at(200, 100)-c.top) > 0.3 {
			t.Errorf("%s: the lines have risen %.2f in at the right end's foot and %.2f in at its top, want %.2f and %.2f", c.what, lean.at(200, 0), lean.at(200, 100), c.foot, c.top)
		}
		if !c.bricks && (math.Abs(got-exposure) > 0.02 || math.Abs(math.Remainder(at-datum, exposure)) > 0.6) {
			t.Errorf("%s: laps of %.3f in from %.2f, want %.3f from %.2f", c.what, got, at, exposure, datum)
		}
	}
}
