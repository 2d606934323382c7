package photo_test

import (
	"image"
	"image/color"
	"testing"

	"coilwright/photo"
)

// TestSmaller: the mean of a chequer board is grey, proportions and focal length
// follow, and what is small already stays.
func TestSmaller(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 600, 401))
	for y := range 401 {
		for x := range 600 {
			img.SetRGBA(x, y, color.RGBA{uint8(255 * ((x + y) % 2)), 128, uint8(255 * ((x + y) % 2)), 255})
		}
	}
	p := photo.Picture{Image: img, Meta: photo.Meta{Focal: 500, FocalSigma: 10}}
	small := p.Smaller(150)
	if size := small.Image.Rect.Size(); size != image.Pt(150, 100) || small.Meta.Focal != 125 || small.Meta.FocalSigma != 2.5 {
		t.Fatalf("size %v, meta %+v", size, small.Meta)
	}
	for y := range 100 {
		for x := range 150 {
			if c := small.Image.RGBAAt(x, y); c.R < 118 || c.R > 138 || c.G != 128 || c.A != 255 {
				t.Fatalf("(%d, %d) is %v: want the boards' mean", x, y, c)
			}
		}
	}
	if p.Smaller(600).Image != img || p.Smaller(2000).Image != img || p.Smaller(0).Image != img {
		t.Error("a picture no wider than wanted was changed")
	}
	if tiny := p.Smaller(1).Image.Rect.Size(); tiny != image.Pt(1, 1) {
		t.Errorf("one pixel wide: %v", tiny)
	}
}
