package picture

import (
	"image"
	"math"
	"testing"

	"coilwright/colour"
)

// A white pipe stands before a wall that lies half in the shade, and takes two fifths of
// the sky's light off the strip beside it. There the new cladding is as much darker than in
// the open shade, and only there: not in the sun, nor on a board that is of a darker tint.
func TestOcclusion(t *testing.T) {
	const pipe, wide, strip = 150, 8, 7 // pixels: where the pipe stands, its width, the dark strip's
	p := shot(400, 300, 150, 0)
	p.Mask = image.NewGray(p.Image.Rect)
	put := func(x, y int, v float64) {
		s := colour.Linear{v, v, v}.SRGB()
		copy(p.Image.Pix[p.Image.PixOffset(x, y):], s[:])
	}
	for y := range 300 {
		for x := range 400 {
			p.Mask.Pix[y*400+x] = 255
			switch {
			case x >= pipe && x < pipe+wide:
				p.Mask.Pix[y*400+x] = 0
				put(x, y, 0.7)
			case x > 200:
				put(x, y, 0.4)
			case x >= pipe-strip && x < pipe:
				put(x, y, 0.6*0.08)
			case x < 60:
				put(x, y, 0.93*0.08)
			default:
				put(x, y, 0.08)
			}
		}
	}
	ready := Prepare(p)
	got, err := ready.Render([]Dressing{{{Region: p.Walls[0].Field, Face: Flat(0.4), Finish: slate}}})
	if err != nil {
		t.Fatal(err)
	}
	at := func(from, to int) (mean float64) {
		for x := from; x < to; x++ {
			for y := 100; y < 140; y++ {
				mean += colour.Decode(float64(got.RGBAAt(x, y).G)/255) / float64(40*(to-from))
			}
		}
		return mean
	}
	openly := at(90, 130)
	if dark := at(pipe-strip+2, pipe-1) / openly; math.Abs(dark-0.6) > 0.06 {
		t.Errorf("beside the pipe the new cladding is at %.2f of the open shade, want 0.6", dark)
	}
	d := ready.light[0]
	for _, c := range []struct {
		what string
		x, y int
	}{{"in the sun", 300, 200}, {"in the open shade", 110, 120}, {"on a darker board", 40, 120}, {"across the pipe", pipe + wide + 12, 120}} {
		place, _ := p.onWall(0, c.x, c.y)
		sun := d.cells.sample(d.shine, place.X, place.Y)
		if left := d.occlusion.at(place.X, place.Y, sun); left < 0.995 {
			t.Errorf("%s %.3f of the ambient light is left", c.what, left)
		}
	}
}

// Steps to neighbours measure how far cells lie off what stands in front to a twelfth
// (Borgefors: straight and slanting steps of 1 and of the root of 2).
func TestFarFromFront(t *testing.T) {
	p := shot(400, 300, 150, 0)
	p.Mask = image.NewGray(p.Image.Rect)
	for i := range p.Mask.Pix {
		p.Mask.Pix[i] = 255
	}
	for _, i := range []int{120*400 + 100, 125*400 + 112, 133*400 + 96} {
		p.Mask.Pix[i] = 0
	}
	d := newDaylight(&p, 0)
	d.old = d.oldTable(p.Old, d.wall.eye(p.Camera), d.cells.pitch)
	g := newGrid(d.cells.low, d.cells.end(), 2*d.cells.pitch)
	far := d.farFromFront(&p, g, p.owner(0))
	seen := 0
	for k, got := range far {
		at := g.middle(k)
		if at.X < 40 || at.X > 70 || at.Y < 40 || at.Y > 60 {
			continue
		}
		want := math.Inf(1)
		for n, v := range far {
			if v == 0 {
				want = min(want, math.Hypot(float64(n%g.w-k%g.w), float64(n/g.w-k/g.w)))
			}
		}
		if want = min(want, closeReach); float64(got) < want-1e-4 || float64(got) > min(closeReach, want*1.0824)+1e-4 {
			t.Fatalf("a cell is said to lie %.2f off, it lies %.2f off", got, want)
		}
		if got < closeReach {
			seen++
		}
	}
	if seen < 100 {
		t.Errorf("only %d cells lie near anything", seen)
	}
}
