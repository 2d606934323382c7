package picture

import (
	"math"
	"testing"

	"coilwright/colour"
)

// A soffit's light stays where the new siding sends up what the old one did, falls under a
// black wall, most in what that took along, and turns red over a red one; the wall's share is
// that of the textbook's view factor for a wall as high as it is.
func TestUnderside(t *testing.T) {
	p := shot(400, 300, 260, 0)
	w := &p.Walls[0]
	w.Field = []Ring{w.Outline}
	w.Overhangs = []Overhang{{XY{200, 100}, XY{0, 100}, 16}}
	d := Prepare(p).light[0]
	wearing := func(c colour.Linear) (Dressing, *labels) {
		dress := Dressing{{Region: w.Field, Face: Flat(0.4), Finish: LowGloss(c)}}
		return dress, newLabels(*w, dress)
	}
	at := func(c colour.Linear) colour.Linear {
		dress, l := wearing(c)
		return d.undersideOf(w.Overhangs[0], [2]float64{0, 200}).changes(chalk, p.Old.Colour, dress, l)[undersidePlaces/2+undersideAcross/2]
	}
	if c := at(p.Old.Colour); math.Abs(c[0]-1)+math.Abs(c[1]-1)+math.Abs(c[2]-1) > 1e-6 {
		t.Errorf("over a wall of the old colour the soffit's light changes by %v", c)
	}
	if c := at(colour.Linear{}); c[0] > 0.95 || c[0] < 0.3 {
		t.Errorf("over a black wall by %v", c)
	}
	if c := at(colour.Linear{0.5, 0.05, 0.05}); c[0] < 1.1*c[1] || c[0] < 1.1*c[2] {
		t.Errorf("over a red wall by %v", c)
	}
	for _, away := range []float64{4, 10, 16} {
		ground := d.fromUnder(XY{100, 100}, XY{0, -1}, away).rest.Luminance() / d.light.ground.Luminance()
		want := 0.5 + 0.5*away/math.Hypot(away, 100)
		if math.Abs(ground-want) > 0.5/undersideStrips {
			t.Errorf("%.0f in out, %.3f of what is below is no wall, want %.3f", away, ground, want)
		}
	}
}

var chalk = colour.Linear{0.8, 0.8, 0.8}
