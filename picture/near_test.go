package picture

import (
	"image"
	"testing"
)

// TestShadowBesideSomething: a shadow one pixel wide around what stands in front, where no
// four pixels around a place are all cladding, stays on the wall.
func TestShadowBesideSomething(t *testing.T) {
	p := shot(400, 300, 260, 0)
	front := image.Rect(60, 120, 90, 200)
	p.Mask = image.NewGray(p.Image.Rect)
	for i := range p.Mask.Pix {
		at := image.Pt(i%400, i/400)
		p.Mask.Pix[i] = 255
		if at.In(front) {
			p.Mask.Pix[i] = 0
		} else if at.In(front.Inset(-1)) || at.Y < 140 {
			copy(p.Image.Pix[4*i:], []uint8{60, 60, 60})
		}
	}
	out, err := Prepare(p).Render([]Dressing{{{Region: p.Walls[0].Field, Face: p.Old.Face, Finish: slate}}})
	if err != nil {
		t.Fatal(err)
	}
	beside, off := out.RGBAAt(front.Max.X, 180), out.RGBAAt(front.Max.X+12, 180)
	t.Logf("beside %v, further off %v", beside, off)
	if float64(beside.G) > 0.6*float64(off.G) {
		t.Errorf("the shadow beside what stands in front is painted %v, the sunny wall %v", beside, off)
	}
}
