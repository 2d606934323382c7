package picture

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"testing"

	"coilwright/mask"
)

// TestWallDrawnOver: a lintel of another colour that somebody calls wall lies in the sun as
// the wall around it does, though the dark line under it has the wall's own colour.
func TestWallDrawnOver(t *testing.T) {
	taken := Taken{Photo: shot(800, 600, 260, 0)}
	p := &taken.Photo
	lintel := image.Rect(330, 148, 470, 172)
	fill := func(r image.Rectangle, c color.RGBA) {
		draw.Draw(p.Image, r, image.NewUniform(c), image.Point{}, draw.Src)
	}
	fill(p.Image.Rect, color.RGBA{170, 100, 80, 255})
	fill(lintel, color.RGBA{235, 225, 200, 255})
	fill(image.Rect(lintel.Min.X, lintel.Max.Y, lintel.Max.X, lintel.Max.Y+2), color.RGBA{85, 50, 40, 255})
	for _, s := range []image.Rectangle{image.Rect(0, 300, 800, 310), image.Rect(100, 350, 120, 420)} { // some shade elsewhere
		fill(s, color.RGBA{85, 50, 40, 255})
	}
	stroke := mask.Stroke{Width: 24, Points: []mask.Point{{U: 332, V: 160}, {U: 468, V: 160}}}
	if err := taken.mask([]mask.Stroke{stroke}); err != nil {
		t.Fatal(err)
	}
	p.Old.Colour = oldColour(p, decode(p.Image))
	out, err := Prepare(*p).Render([]Dressing{{{Region: p.Walls[0].Field, Face: Flat(0.4), Finish: slate}}})
	if err != nil {
		t.Fatal(err)
	}
	off, over := out.RGBAAt(200, 160), out.RGBAAt(400, 160)
	t.Logf("beside %v, where the lintel was %v", off, over)
	if math.Abs(float64(over.G)-float64(off.G)) > 4 {
		t.Errorf("where the lintel was the wall is painted %v, beside it %v", over, off)
	}
}
