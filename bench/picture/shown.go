package picture

import (
	"image"
	"image/color"

	"golang.org/x/image/draw"
)

// shown is a JPEG's picture as viewers show it. Its colours are stored at half its width and
// height, each in the middle of four pixels (ITU-T T.871, clause 6); between the middles they
// are drawn straight. The standard library gives each to its four pixels alike, steps that
// nobody sees.
func shown(im image.Image) *image.RGBA {
	c, ok := im.(*image.YCbCr)
	if !ok || c.SubsampleRatio != image.YCbCrSubsampleRatio420 {
		return flat(im)
	}
	out := image.NewRGBA(im.Bounds())
	w, h := out.Rect.Dx(), out.Rect.Dy()
	half := image.Rect(0, 0, (w+1)/2, (h+1)/2)
	whole := func(pix []uint8) *image.Gray {
		g := image.NewGray(image.Rect(0, 0, 2*half.Dx(), 2*half.Dy()))
		draw.BiLinear.Scale(g, g.Rect, &image.Gray{Pix: pix, Stride: c.CStride, Rect: half}, half, draw.Src, nil)
		return g
	}
	blue, red := whole(c.Cb), whole(c.Cr)
	for y := range h {
		for x := range w {
			pix := out.Pix[y*out.Stride+4*x:]
			pix[0], pix[1], pix[2] = color.YCbCrToRGB(c.Y[y*c.YStride+x], blue.GrayAt(x, y).Y, red.GrayAt(x, y).Y)
			pix[3] = 255
		}
	}
	return out
}
