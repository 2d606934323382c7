package photo

import (
	"image"

	"golang.org/x/image/draw"
)

// Smaller gives the picture brought down to a width in pixels, its height in
// proportion; one that is no wider is given as it is. Every pixel is the mean of
// what it covers, weighed as a tent, so that siding's courses do not turn to
// stripes.
func (p Picture) Smaller(width int) Picture {
	size := p.Image.Rect.Size()
	if width < 1 || size.X <= width {
		return p
	}
	height := max(1, (size.Y*width+size.X/2)/size.X)
	out := image.NewRGBA(image.Rect(0, 0, width, height))
	draw.BiLinear.Scale(out, out.Rect, p.Image, p.Image.Rect, draw.Src, nil)
	small := Picture{Image: out, Meta: p.Meta}
	by := float64(width) / float64(size.X)
	small.Meta.Focal, small.Meta.FocalSigma = by*p.Meta.Focal, by*p.Meta.FocalSigma
	return small
}
