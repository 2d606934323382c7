package picture

import (
	"math"
	"testing"

	"coilwright/colour"
	"coilwright/photo"
)

// TestMirroredSky paints the standard sky over a house, of a colour that is known: the wall
// mirrors it as bright as its own shade says, whatever colour that has. Without it the
// shade's has to do.
func TestMirroredSky(t *testing.T) {
	p := shot(400, 300, 300, 0.3)
	if d := Prepare(p).light[0]; d.mirror != d.light.sky {
		t.Errorf("a grey photo's wall mirrors %.3f, want the light of its shade, %.3f", d.mirror, d.light.sky)
	}
	want := colour.Linear{0.1, 0.2, 0.4}
	probe, s := newDaylight(&p, 0), p.visibility()
	for v := range 300 {
		for u := range 400 {
			ray, _ := p.Camera.Ray(photo.Pixel{U: float64(u) + 0.5, V: float64(v) + 0.5})
			to := probe.wall.local(ray).Unit()
			if el := math.Asin(to.Y); el > 0 && s.wallAt(u, v) < 0 {
				c := want.Scale(probe.dome.unit * radiance(el, to, probe.towards)).SRGB()
				copy(p.Image.Pix[p.Image.PixOffset(u, v):], c[:])
			}
		}
	}
	d := Prepare(p).light[0]
	got, own := d.mirror.Plus(d.light.sky.Scale(skyTint-1)), d.light.sky.Luminance()
	want = want.Scale(skyTint * own / want.Luminance())
	for c := range got {
		if math.Abs(got[c]/want[c]-1) > 0.03 {
			t.Errorf("the wall mirrors %.3f, want %.3f", got, want)
			break
		}
	}
}

// TestMirrorUnderEave lowers an overhang before a mirroring wall: less and less sky, then
// none.
func TestMirrorUnderEave(t *testing.T) {
	d := skyDome(photo.Vec{X: -0.4, Y: 0.6, Z: 0.6}, false)
	last := math.Inf(1)
	for _, eave := range []float64{open, 1, 0.6, 0.3, 0} {
		sky, ground := d.mirrored(photo.Vec{X: 0.3, Y: -0.2, Z: 1}.Unit(), eave)
		if sky >= last || sky+ground > 1.5 || eave == 0 && sky != 0 {
			t.Errorf("eave at %.1f: sky %.3f, ground %.3f after %.3f", eave, sky, ground, last)
		}
		last = sky
	}
}
