package picture

import (
	"image"
	"image/color"
	"image/draw"
	"testing"

	"coilwright/colour"
	"coilwright/photo"
)

// boarded is a front of cream cladding, 200 x 100 in at 4 pixels an inch seen from 600 in
// off and from below its eave, with white corner boards of 4.5 in, and a white fascia and
// soffit of a 12 in overhang as perspective puts them.
func boarded(mirrored bool) *Photo {
	im := image.NewRGBA(image.Rect(0, 0, 1000, 640))
	fill := func(r image.Rectangle, c color.RGBA) {
		if mirrored {
			r = image.Rect(1000-r.Max.X, r.Min.Y, 1000-r.Min.X, r.Max.Y)
		}
		draw.Draw(im, r, image.NewUniform(c), image.Point{}, draw.Src)
	}
	sky, cream, white, grey := color.RGBA{90, 130, 190, 255}, color.RGBA{200, 180, 140, 255}, color.RGBA{235, 235, 232, 255}, color.RGBA{90, 84, 80, 255}
	fill(im.Rect, sky)
	c := lookingUp()
	w := frontWall()
	box := func(depth, x0, y0, x1, y1 float64) image.Rectangle {
		a, _ := c.Project(w.Plane.Off(x0, y1, depth))
		b, _ := c.Project(w.Plane.Off(x1, y0, depth))
		return image.Rect(int(a.U+0.5), int(a.V+0.5), int(b.U+0.5), int(b.V+0.5))
	}
	fill(box(0, 0, 0, 200, 100), cream)
	fill(box(0, 0, 0, 4.5, 100), white)
	if !mirrored { // one corner board only: the other edge must stay without
		fill(box(0, 195.5, 0, 200, 100), white)
	}
	fill(box(0, 90, 30, 110, 60), grey) // a thing in front
	soffit := box(12, 0, 100, 200, 100)
	wall := box(0, 0, 100, 200, 100)
	fill(image.Rect(soffit.Min.X, soffit.Min.Y, soffit.Max.X, wall.Min.Y), color.RGBA{160, 162, 158, 255})
	fill(box(12, 0, 100, 200, 106), white)
	fill(box(12, 0, 106, 200, 140), grey) // the roof
	return &Photo{Image: im, Camera: c, Walls: []Wall{w}, Old: Old{Face: Flat(0.4), Colour: colour.Linear{0.6, 0.48, 0.28}}}
}

// lookingUp stands 600 in before the wall, square to it, its eye 20 in up.
func lookingUp() photo.Camera {
	return photo.Camera{Lens: photo.Lens{Focal: 2400, CX: 500, CY: 500},
		R: photo.Rotation{{X: 1}, {Z: -1}, {Y: 1}}, T: photo.Vec{X: -100, Y: 20, Z: 600}}
}

func frontWall() Wall {
	out := Wall{ID: "front", Plane: photo.Plane{X: photo.Vec{X: 1}, Y: photo.Vec{Z: 1}}, Standoff: 0.75,
		Outline: Ring{{0, 0}, {200, 0}, {200, 100}, {0, 100}}, Overhangs: []Overhang{{XY{200, 100}, XY{0, 100}, 12}}}
	out.Field = []Ring{out.Outline}
	return out
}

// Old corner boards are found by their own colour, as wide as they are, on the edges that
// have them, and are no cladding.
func TestOldBoards(t *testing.T) {
	for _, mirrored := range []bool{false, true} {
		p := boarded(mirrored)
		field := p.fieldMap()
		covered, boards := p.guess(field)
		want := map[bool]int{false: 2, true: 1}[mirrored]
		if len(boards) != want {
			t.Fatalf("%d boards, want %d", len(boards), want)
		}
		for _, b := range boards {
			if b.wide < 4 || b.wide > 5 {
				t.Errorf("a board of %.2f in, want 4.5", b.wide)
			}
		}
		mask, old := p.parted(covered, field, boards)
		at := func(m *image.Gray, x, y float64) uint8 {
			q, _ := p.Camera.Project(p.Walls[0].Plane.At(x, y))
			return m.GrayAt(int(q.U), int(q.V)).Y
		}
		x := map[bool]float64{false: 2, true: 198}[mirrored]
		if at(old, x, 50) != 255 || at(mask, x, 50) != 0 || at(mask, 50, 50) != 255 || at(old, 50, 50) != 0 || at(mask, 100, 45)+at(old, 100, 45) != 0 {
			t.Errorf("board %d and %d, cladding %d and %d, in front %d", at(old, x, 50), at(mask, x, 50), at(mask, 50, 50), at(old, 50, 50), at(mask, 100, 45))
		}
	}
}

// New trim covers the old boards, soffit and fascia; a dressing without trim gives them
// back as the photo shows them, also over a picture that wore trim.
func TestTrimTakesOldBoardsPlace(t *testing.T) {
	p := boarded(false)
	field := p.fieldMap()
	covered, boards := p.guess(field)
	p.Mask, p.Boards = p.parted(covered, field, boards)
	ready := Prepare(*p)
	if len(ready.boards) != 2 {
		t.Fatalf("%d boards at the eave, want fascia and soffit", len(ready.boards))
	}
	first := map[int]bool{}
	for _, b := range ready.boards {
		for _, x := range b.pixels {
			if first[x.at] {
				t.Fatalf("the pixel at %d belongs to two boards, which are painted at once", x.at)
			}
			first[x.at] = true
		}
	}
	red := Zone{Region: p.Walls[0].Field, Face: Flat(0.4), Finish: LowGloss(colour.Linear{0.2, 0.02, 0.02})}
	blue := Zone{Region: []Ring{{{0, 0}, {3, 0}, {3, 100}, {0, 100}}}, Face: Flat(0.75), Finish: LowGloss(colour.Linear{0.02, 0.03, 0.2}), Trim: true}
	out, err := ready.Render([]Dressing{{blue, red}})
	if err != nil {
		t.Fatal(err)
	}
	pixel := func(depth, x, y float64) color.RGBA {
		q, _ := p.Camera.Project(p.Walls[0].Plane.Off(x, y, depth))
		return out.RGBAAt(int(q.U), int(q.V))
	}
	isBlue := func(c color.RGBA) bool { return c.B > 2*c.R }
	if c := pixel(0, 1.5, 50); !isBlue(c) {
		t.Errorf("post %v", c)
	}
	if c := pixel(0, 3.8, 50); c.R < 2*c.B {
		t.Errorf("new cladding over the old board's rest: %v", c)
	}
	if c := pixel(12, 100, 103); !isBlue(c) {
		t.Errorf("fascia %v", c)
	}
	if c := pixel(6, 100, 100); !isBlue(c) {
		t.Errorf("soffit %v", c)
	}
	if c, was := pixel(12, 100, 120), (color.RGBA{90, 84, 80, 255}); c != was {
		t.Errorf("roof %v, was %v", c, was)
	}
	if err := ready.RenderOver(out, []Dressing{{red}}); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]color.RGBA{"post": pixel(0, 1.5, 50), "fascia": pixel(12, 100, 103)} {
		if c != (color.RGBA{235, 235, 232, 255}) {
			t.Errorf("%s %v without trim, want the photo's", name, c)
		}
	}
	fresh, err := ready.Render([]Dressing{{red}})
	if err != nil {
		t.Fatal(err)
	}
	for i := range fresh.Pix {
		if fresh.Pix[i] != out.Pix[i] {
			t.Fatalf("byte %d is %d painted over and %d afresh", i, out.Pix[i], fresh.Pix[i])
		}
	}
}

// Under a sloping overhang the light bends with the slope: along a line at one distance
// below a rake a painted wall is even.
func TestSlantIsEven(t *testing.T) {
	w := frontWall()
	w.Outline = Ring{{0, 0}, {120, 0}, {120, 4}, {0, 100}}
	w.Field, w.Overhangs = []Ring{w.Outline}, []Overhang{{XY{120, 4}, XY{0, 100}, 6}}
	im := image.NewRGBA(image.Rect(0, 0, 1000, 640))
	draw.Draw(im, im.Rect, image.NewUniform(color.RGBA{180, 180, 180, 255}), image.Point{}, draw.Src)
	ready := Prepare(Photo{Image: im, Camera: lookingUp(), Walls: []Wall{w}, Old: Old{Face: Flat(0.4), Colour: colour.Linear{0.5, 0.5, 0.5}}})
	out, err := ready.Render([]Dressing{{{Region: w.Field, Face: Flat(0.4), Finish: Finish{Colour: colour.Linear{0.5, 0.5, 0.5}}}}})
	if err != nil {
		t.Fatal(err)
	}
	low, high := 255, 0
	for x := 20.0; x < 90; x += 0.25 {
		q, _ := ready.photo.Camera.Project(w.Plane.At(x, 100-0.8*x-6))
		v := int(out.RGBAAt(int(q.U), int(q.V)).G)
		low, high = min(low, v), max(high, v)
	}
	t.Logf("levels from %d to %d", low, high)
	if high-low > 8 {
		t.Errorf("from %d to %d along the rake", low, high)
	}
}

// A fascia that hangs an inch under its soffit, half of it in a tree's shadow, under a roof
// as dark as that shadow: it is found as high as it is, and its paint read in the sun.
func TestFasciaUnderLeaves(t *testing.T) {
	p := boarded(false)
	w := p.Walls[0]
	box := func(x0, y0, x1, y1 float64) image.Rectangle {
		a, _ := p.Camera.Project(w.Plane.Off(x0, y1, 12))
		b, _ := p.Camera.Project(w.Plane.Off(x1, y0, 12))
		return image.Rect(int(a.U+0.5), int(a.V+0.5), int(b.U+0.5), int(b.V+0.5))
	}
	draw.Draw(p.Image, box(0, 99, 200, 100), image.NewUniform(color.RGBA{235, 235, 232, 255}), image.Point{}, draw.Src)
	for x := 0.0; x < 200; x += 10 {
		draw.Draw(p.Image, box(x, 99, x+6, 106), image.NewUniform(color.RGBA{94, 94, 94, 255}), image.Point{}, draw.Src)
	}
	fascia, _ := p.overhung(w, w.Overhangs[0], decode(p.Image))
	if !fascia.find(leastFascia) {
		t.Fatal("no fascia is found")
	}
	t.Logf("from %.2f to %.2f in, of %.3f", fascia.low, fascia.high, fascia.typical())
	if fascia.low < -1.5 || fascia.low > -0.5 || fascia.high < 5.5 || fascia.high > 6.5 {
		t.Errorf("the fascia reaches from %.2f to %.2f in, want -1 to 6", fascia.low, fascia.high)
	}
	if l := fascia.typical().Luminance(); l < 0.75 {
		t.Errorf("the fascia in the sun is as bright as %.2f, want 0.83", l)
	}
}
