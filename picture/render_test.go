package picture

import (
	"errors"
	"image"
	"math"
	"testing"

	"coilwright/colour"
	"coilwright/photo"
)

// shot is a wall of 200 by 100 in with a window, an even grey photo of it and a
// camera: metres off or near, square on or oblique.
func shot(width, height int, distance, turn float64) Photo {
	sin, cos := math.Sincos(turn)
	r := photo.Rotation{{X: cos, Y: sin}, {Z: -1}, {X: -sin, Y: cos}}
	eye := photo.Vec{X: 100 + distance*sin, Y: -distance * cos, Z: 40}
	p := Photo{
		Image:  image.NewRGBA(image.Rect(0, 0, width, height)),
		Camera: photo.Camera{Lens: photo.Lens{Focal: float64(width), CX: float64(width) / 2, CY: float64(height) / 2}, R: r, T: r.Apply(eye).Scale(-1)},
		Sun:    photo.Vec{X: -0.4, Y: -0.6, Z: 0.6}.Unit(),
		Walls: []Wall{{
			ID: "south", Plane: photo.Plane{X: photo.Vec{X: 1}, Y: photo.Vec{Z: 1}}, Standoff: 0.75,
			Outline: Ring{{0, 0}, {200, 0}, {200, 100}, {0, 100}},
			Field:   []Ring{{{0, 0}, {200, 0}, {200, 100}, {0, 100}}, {{80, 30}, {120, 30}, {120, 80}, {80, 80}}},
		}},
		Old: Old{Face: Flat(0.4), Colour: colour.Linear{0.5, 0.5, 0.5}},
	}
	for i := range p.Image.Pix {
		p.Image.Pix[i] = 150
	}
	return p
}

var slate = Finish{Colour: colour.Linear{0.14, 0.19, 0.26}, Gloss: 0.04, Roughness: 0.5}

// TestFiltering judges the tables by brute force: many rays through every pixel, each
// traced on its own, their mean. Near, far, and so far that a lap is less than a
// pixel: nothing shimmers and no moire comes up.
func TestFiltering(t *testing.T) {
	for _, c := range []struct {
		what           string
		distance, turn float64
		vertical       bool
	}{{"near", 150, 0, false}, {"far", 900, 0.3, false}, {"laps below a pixel", 2500, 0.2, false}, {"oblique", 500, 1.0, false}, {"upright panels", 400, 0.5, true}} {
		p := shot(400, 300, c.distance, c.turn)
		z := Zone{Region: p.Walls[0].Field, Face: dutch, Finish: slate, Vertical: c.vertical}
		ready := Prepare(p)
		got, err := ready.Render([]Dressing{{z}})
		if err != nil {
			t.Fatal(err)
		}
		judge := ready.byBruteForce(z)
		var worst, sum, n float64
		for v := 2; v < 298; v++ {
			for u := 2; u < 398; u++ {
				x, y, ok := p.Camera.OnPlane(photo.Pixel{U: float64(u) + .5, V: float64(v) + .5}, p.Walls[0].Plane)
				if !ok || x < 6 || x > 194 || y < 6 || y > 94 || (3*u+7*v)%int(1+4e4/c.distance/c.distance*100) != 0 || x > 70 && x < 130 && y > 20 && y < 90 {
					continue
				}
				want := judge(u, v).SRGB()
				at := got.PixOffset(u, v)
				for k := range 3 {
					off := math.Abs(float64(got.Pix[at+k]) - float64(want[k]))
					worst, sum, n = max(worst, off), sum+off, n+1
				}
			}
		}
		t.Logf("%s: worst %.0f levels, mean %.2f over %.0f values", c.what, worst, sum/n, n)
		if n < 500 || worst > 12 || sum/n > 1.6 { // the nearest of four entries a pixel, and highlights between places
			t.Errorf("%s: off by %.0f levels at worst, %.2f in the mean of %.0f", c.what, worst, sum/n, n)
		}
	}
}

// byBruteForce gives a pixel's light from 12 x 12 rays over the filter's width,
// through the window of a bare wall in full sun.
func (p *Prepared) byBruteForce(z Zone) func(u, v int) colour.Linear {
	d := p.light[0]
	eye := d.wall.eye(p.photo.Camera)
	dome := skyDome(d.towards, z.Vertical)
	r := newRelief(z.Face, dome, d.towards, z.Vertical)
	shine := z.Finish.sheens()
	plane := d.wall.at(anchor)
	return func(u, v int) (sum colour.Linear) {
		const n = 12
		x, y, _ := p.photo.Camera.OnPlane(photo.Pixel{U: float64(u) + 0.5, V: float64(v) + 0.5}, plane)
		w := view{sun: d.towards, light: d.light, mirror: d.mirror, sheens: shine}
		w.over = w.under(dome, open)
		w.mirrorSky, w.mirrorGround = d.dome.mirrored(eye.Sub(photo.Vec{X: x, Y: y}).Unit(), open)
		for i := range n {
			for j := range n {
				du, dv := (float64(i)+0.5)/n-0.5, (float64(j)+0.5)/n-0.5
				if z.Vertical {
					du *= 1.25
				} else {
					dv *= 1.25
				}
				x, y, _ := p.photo.Camera.OnPlane(photo.Pixel{U: float64(u) + 0.5 + du, V: float64(v) + 0.5 + dv}, plane)
				to := eye.Sub(photo.Vec{X: x, Y: y}).Unit()
				at, slope := y, (y-eye.Y)/eye.Z
				if z.Vertical {
					at, slope = x, (x-eye.X)/eye.Z
				}
				spot, depth := r.sight(at, slope, anchor)
				b := r.base(spot, depth, &w, &z.Finish)
				s := &r.spots[spot]
				g := b.glow(&w, w.gleam(z.normal(s.ny, s.nz), to, &z.Finish))
				sum = sum.Plus(d.sun.Times(g.sun).Plus(d.plain(x, y).Times(g.ambient)))
			}
		}
		return sum.Scale(1.0 / (n * n))
	}
}

// Mirrored photo, mirrored picture. The picture's width is a whole number of strips,
// so that both are cut alike.
func TestMirrored(t *testing.T) {
	p := shot(416, 300, 300, 0.3)
	q := shot(416, 300, 300, -0.3)
	q.Sun.X = -q.Sun.X
	z := Zone{Region: p.Walls[0].Field, Face: dutch, Finish: slate}
	a, err := Prepare(p).Render([]Dressing{{z}})
	b, err2 := Prepare(q).Render([]Dressing{{z}})
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	off, sum := 0, 0.0
	for y := range 300 {
		for x := range 416 {
			d := math.Abs(float64(a.RGBAAt(x, y).G) - float64(b.RGBAAt(415-x, y).G))
			sum += d
			if d > 4 { // along shadows' edges the raster of the light shows
				off++
			}
		}
	}
	if off > 416*300/100 || sum > 0.3*416*300 {
		t.Errorf("%d pixels differ by more than 4 levels, all by %.2f in the mean", off, sum/416/300)
	}
}

// Nothing outside the wall changes, nor what stands in front; a pixel half covered by
// a black rail gets half of the new cladding.
func TestWhatStandsInFront(t *testing.T) {
	p := shot(400, 300, 300, 0)
	p.Mask = image.NewGray(p.Image.Rect)
	for i := range p.Mask.Pix {
		p.Mask.Pix[i] = 255
	}
	for y := range 300 {
		for x := 300; x < 310; x++ {
			p.Mask.Pix[y*400+x] = 0
			copy(p.Image.Pix[4*(y*400+x):], []uint8{0, 0, 0})
		}
		p.Mask.Pix[y*400+299] = 128
		for k := range 3 { // the rail: half black over the old cladding
			p.Image.Pix[4*(y*400+299)+k] = colour.Linear{0.502 * colour.Decode(150.0/255)}.SRGB()[0]
		}
	}
	ready := Prepare(p)
	z := Zone{Region: p.Walls[0].Field, Face: Flat(0.4), Finish: slate}
	got, err := ready.Render([]Dressing{{z}})
	if err != nil {
		t.Fatal(err)
	}
	if c := got.RGBAAt(304, 150); c.R != 0 {
		t.Errorf("the rail became %v", c)
	}
	if c := got.RGBAAt(10, 5); c.R != 150 {
		t.Errorf("beside the wall: %v", c)
	}
	whole, half := got.RGBAAt(250, 150), got.RGBAAt(299, 150)
	a, b := colour.Decode(float64(whole.G)/255), colour.Decode(float64(half.G)/255)
	if whole.G == 150 || math.Abs(b/a-0.5) > 0.08 {
		t.Errorf("half covered %.3f beside %.3f", b, a)
	}
	rim(t, p, z, a)
}

// rim gives the rail a mask that is wrong by a third of a pixel: what it calls the
// rail's is no brighter than the rail for that.
func rim(t *testing.T, p Photo, z Zone, whole float64) {
	for y := range 300 {
		p.Mask.Pix[y*400+299] = 43
	}
	got, err := Prepare(p).Render([]Dressing{{z}})
	if err != nil {
		t.Fatal(err)
	}
	if v := colour.Decode(float64(got.RGBAAt(299, 150).G) / 255); v > 43.0/255*whole+2*frontNoise {
		t.Errorf("a pixel that the mask gives to a black rail is left at %.3f, the wall beside at %.3f", v, whole)
	}
}

// Painting over again gives the same picture, and dressings that do not fit are
// refused by name.
func TestRenderOver(t *testing.T) {
	ready := Prepare(shot(400, 300, 300, 0.2))
	z := Zone{Region: ready.photo.Walls[0].Field, Face: dutch, Finish: slate, Grain: true}
	a, err := ready.Render([]Dressing{{z}})
	if err != nil {
		t.Fatal(err)
	}
	other := z
	other.Finish.Colour = colour.Linear{0.5, 0.1, 0.1}
	b, _ := ready.Render([]Dressing{{other}})
	if err := ready.RenderOver(b, []Dressing{{z}}); err != nil || string(a.Pix) != string(b.Pix) {
		t.Errorf("painted over it differs (%v)", err)
	}
	var wrong *DressingError
	if _, err := ready.Render(nil); !errors.As(err, &wrong) || wrong.Walls != 1 {
		t.Errorf("no dressing: %v", err)
	}
	if err := ready.RenderOver(image.NewRGBA(image.Rect(0, 0, 3, 3)), []Dressing{{z}}); err == nil {
		t.Error("a picture of another size is painted over")
	}
}

// An even wall has no laps, and one is painted all the same.
func TestNoLaps(t *testing.T) {
	p := shot(400, 300, 300, 0.2)
	if e, _, ok := FindLaps(&p); ok {
		t.Errorf("laps of %v in an even wall", e)
	}
}
