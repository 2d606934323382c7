package picture

import (
	"image"

	"coilwright/cores"
	"coilwright/mask"
	"coilwright/photo"
)

// Scaled is the photo at a width of at most the given number of pixels, for a preview:
// every pixel the mean light of what it covers, camera and references to match. The
// photo itself where it is no wider, or width is 0.
func (p Photo) Scaled(width int) Photo {
	full := p.Image.Rect.Dx()
	if width <= 0 || width >= full {
		return p
	}
	k := float64(width) / float64(full)
	p.Image = shrunk(p.Image, width)
	if p.Mask != nil {
		p.Mask = shrunkMask(p.Mask, width)
	}
	p.Camera.Focal, p.Camera.CX, p.Camera.CY = k*p.Camera.Focal, k*p.Camera.CX, k*p.Camera.CY
	p.References = append([]Reference(nil), p.References...)
	for i, r := range p.References {
		p.References[i].Pixels = scaledPixels(r.Pixels, k)
	}
	return p
}

func scaledPixels(in []photo.Pixel, k float64) []photo.Pixel {
	out := make([]photo.Pixel, len(in))
	for i, at := range in {
		out[i] = photo.Pixel{U: k * at.U, V: k * at.V}
	}
	return out
}

// shares says what of a line of n pixels each of the m longer ones covers: the first
// pixel and the weights from there on, which sum to 1.
type shares struct {
	first  int
	weight []float32
}

func shrinking(n, m int, step float64) []shares {
	out := make([]shares, m)
	for i := range out {
		low, high := float64(i)*step, min(float64(n), float64(i+1)*step)
		out[i].first = min(n-1, int(low))
		for k := out[i].first; k < n && float64(k) < high; k++ {
			w := min(high, float64(k+1)) - max(low, float64(k))
			out[i].weight = append(out[i].weight, float32(w/(high-low)))
		}
	}
	return out
}

// shrunk is the picture at a width, by the mean of linear light over each pixel. Its
// scale is the same both ways: a last row that would be covered in part is left off.
func shrunk(im *image.RGBA, width int) *image.RGBA {
	e, b := newEncoder(), im.Rect
	out := image.NewRGBA(image.Rect(0, 0, width, shrunkHeight(b, width)))
	reduce(b, out.Rect, func(v int, row []float32) {
		pix := im.Pix[im.PixOffset(b.Min.X, b.Min.Y+v):]
		for i := range row {
			row[i] = e.from[pix[i/3*4+i%3]]
		}
	}, 3, func(v int, row []float32) {
		pix := out.Pix[v*out.Stride:]
		for u := range width {
			pix[4*u], pix[4*u+1], pix[4*u+2], pix[4*u+3] = e.one(row[3*u]), e.one(row[3*u+1]), e.one(row[3*u+2]), 255
		}
	})
	return out
}

func shrunkMask(im *image.Gray, width int) *image.Gray {
	b := im.Rect
	out := image.NewGray(image.Rect(0, 0, width, shrunkHeight(b, width)))
	reduce(b, out.Rect, func(v int, row []float32) {
		for i, m := range im.Pix[im.PixOffset(b.Min.X, b.Min.Y+v):][:len(row)] {
			row[i] = float32(m)
		}
	}, 1, func(v int, row []float32) {
		for u, m := range row {
			out.Pix[v*out.Stride+u] = uint8(m + 0.5)
		}
	})
	return out
}

func shrunkHeight(b image.Rectangle, width int) int {
	return max(1, int(float64(b.Dy())*float64(width)/float64(b.Dx())))
}

// reduce shrinks a raster of so many channels: get fills a row of the source, put takes
// one of the result.
func reduce(from, to image.Rectangle, get func(v int, row []float32), channels int, put func(v int, row []float32)) {
	step := float64(from.Dx()) / float64(to.Dx())
	columns, rows := shrinking(from.Dx(), to.Dx(), step), shrinking(from.Dy(), to.Dy(), step)
	cores.Each(to.Dy(), func(v int) {
		whole, narrow := make([]float32, channels*from.Dx()), make([]float32, channels*to.Dx())
		for k, weight := range rows[v].weight {
			get(rows[v].first+k, whole)
			for u, s := range columns {
				for j, w := range s.weight {
					for c := range channels {
						narrow[u*channels+c] += weight * w * whole[(s.first+j)*channels+c]
					}
				}
			}
		}
		put(v, narrow)
	})
}

// scaled brings what a person said of places in the photo to another scale.
func (f Facts) scaled(k float64) Facts {
	f.References = append([]Reference(nil), f.References...)
	for i, r := range f.References {
		f.References[i].Pixels = scaledPixels(r.Pixels, k)
	}
	f.Strokes = append([]mask.Stroke(nil), f.Strokes...)
	for i, s := range f.Strokes {
		points := make([]mask.Point, len(s.Points))
		for n, at := range s.Points {
			points[n] = mask.Point{U: k * at.U, V: k * at.V}
		}
		f.Strokes[i].Points, f.Strokes[i].Width = points, k*s.Width
	}
	return f
}
