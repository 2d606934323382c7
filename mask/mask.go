// Package mask tells what stands in front from what is behind in a photo, by a few
// strokes of a person: a matte, white where the thing behind is seen, grey where both
// share a pixel. It knows no walls and no houses.
//
// A stroke changes the matte where the photo looks alike and is joined: the change is
// what a random walk from each place would meet first, the strokes or the end of its
// patience, which is short where a place looks like what it is taken for (L. Grady, IEEE
// Transactions on Pattern Analysis and Machine Intelligence 28 (2006), 1768-1783; with a
// prior, CVPR 2005, 763-770). Colours that only one kind of stroke has count wherever they
// come up. Edges are drawn to the photo's own by the guided filter (He, Sun and Tang, the
// same, 35 (2013), 1397-1409; at a coarse size and its coefficients enlarged: He and Sun,
// arXiv 1505.00996).
package mask

import (
	"fmt"
	"image"
	"math"
)

// Point is a place in the photo, in pixels from its top left corner.
type Point struct{ U, V float64 }

// Stroke is a line that a person drew, round at its ends: what lies under it is behind
// (white in the matte) or in front of that (black).
type Stroke struct {
	Front  bool
	Width  float64 // pixels
	Points []Point
}

// SizeError is matched where a prior is not of the photo's size.
type SizeError struct{ Photo, Prior image.Point }

func (e *SizeError) Error() string {
	return fmt.Sprintf("the mask is %v and the photo %v: save the mask at the photo's size", e.Prior, e.Photo)
}

// Refine changes a matte as strokes say; under a stroke it is what the stroke says.
// prior may be nil: then nothing is known yet and all is half. Without strokes the
// prior comes back as it is. Later strokes lie over earlier ones. Where field, of the
// photo's size, is 0 the question is not asked: the prior stays, and nothing is learnt
// from there; nil: it is asked everywhere. Errors are *SizeError and *StrokeError.
func Refine(im *image.RGBA, prior, field *image.Gray, strokes []Stroke) (*image.Gray, error) {
	for _, m := range []*image.Gray{prior, field} {
		if m != nil && m.Rect.Size() != im.Rect.Size() {
			return nil, &SizeError{im.Rect.Size(), m.Rect.Size()}
		}
	}
	if err := check(strokes, im.Rect.Size()); err != nil {
		return nil, err
	}
	out := image.NewGray(im.Rect)
	if prior == nil {
		for i := range out.Pix {
			out.Pix[i] = 128
		}
	} else {
		for v := range im.Rect.Dy() {
			copy(out.Pix[v*out.Stride:], prior.Pix[v*prior.Stride:][:im.Rect.Dx()])
		}
	}
	if len(strokes) == 0 {
		return out, nil
	}
	w := newWork(im, out, field, strokes)
	if prior == nil {
		w.patience = endless
	}
	w.refine()
	return out, nil
}

// Front tells, row by row, which pixels of a photo of that size strokes say are in front.
func Front(size image.Point, strokes []Stroke) []bool {
	drawn := shape{size.X, size.Y}.seeds(strokes, 1)
	out := make([]bool, len(drawn))
	for k, s := range drawn {
		out[k] = s == front
	}
	return out
}

// none, behind and front mark what strokes say of a cell.
const (
	none int8 = iota
	behind
	front
)

// shape is the size of a raster.
type shape struct{ w, h int }

// seeds rasters strokes at a scale: every cell whose middle lies under one, and at
// least those that its line runs through.
func (s shape) seeds(strokes []Stroke, scale float64) []int8 {
	out := make([]int8, s.w*s.h)
	for _, k := range strokes {
		kind := behind
		if k.Front {
			kind = front
		}
		r := max(0.5, k.Width*scale/2)
		for i, p := range k.Points {
			q := k.Points[max(0, i-1)]
			s.draw(out, kind, p.U*scale, p.V*scale, q.U*scale, q.V*scale, r)
		}
	}
	return out
}

// draw marks the cells within r of a line.
func (s shape) draw(out []int8, kind int8, x0, y0, x1, y1, r float64) {
	if y1 < y0 {
		x0, y0, x1, y1 = x1, y1, x0, y0
	}
	dx, dy := x1-x0, y1-y0
	l := max(1e-12, dx*dx+dy*dy)
	for j := max(0, int(y0-r)); j <= min(s.h-1, int(y1+r)); j++ {
		// Only the part of the line that lies within r of the row can reach it.
		y := float64(j) + 0.5
		from, to := 0.0, 1.0
		if dy > 1e-9 {
			from, to = min(1, max(0, (y-r-y0)/dy)), min(1, max(0, (y+r-y0)/dy))
		}
		a, b := x0+from*dx, x0+to*dx
		for i := max(0, int(min(a, b)-r)); i <= min(s.w-1, int(max(a, b)+r)); i++ {
			x := float64(i) + 0.5 - x0
			t := min(1, max(0, (x*dx+(y-y0)*dy)/l))
			if math.Hypot(x-t*dx, y-y0-t*dy) <= r {
				out[j*s.w+i] = kind
			}
		}
	}
}

// StrokeError is matched where a stroke cannot be drawn: its number, and what is wrong.
type StrokeError struct {
	Stroke int
	Fault  string
}

func (e *StrokeError) Error() string { return fmt.Sprintf("stroke %d %s", e.Stroke+1, e.Fault) }

// mostDrawn bounds the strokes' area, in times the photo's.
const mostDrawn = 16

// check finds strokes that cannot be drawn.
func check(strokes []Stroke, size image.Point) error {
	var area float64
	for n, s := range strokes {
		switch far := 8 * float64(size.X+size.Y); {
		case len(s.Points) == 0:
			return &StrokeError{n, "has no points: leave it out"}
		case !(s.Width > 0 && s.Width <= far):
			return &StrokeError{n, fmt.Sprintf("is %v pixels wide: give it a width that fits the photo", s.Width)}
		default:
			for i, p := range s.Points {
				if !(math.Abs(p.U) <= far && math.Abs(p.V) <= far) {
					return &StrokeError{n, fmt.Sprintf("runs to (%v, %v), far outside the photo: draw it again", p.U, p.V)}
				}
				q := s.Points[max(0, i-1)]
				area += s.Width * (s.Width + math.Hypot(p.U-q.U, p.V-q.V))
			}
		}
		if area > mostDrawn*float64(size.X*size.Y) {
			return &StrokeError{n, "is too much: together the strokes cover the photo many times; take some away"}
		}
	}
	return nil
}
