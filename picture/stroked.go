package picture

import (
	"image"
	"math"
	"slices"
	"sort"

	"coilwright/mask"
)

// Bounds of what a stroke says of a thing's width: a pipe is about as wide all along it,
// brackets and bends included (assumed).
const (
	mostBulge   = 1.5 // times the middle width to either side
	bulgeSlop   = 2.0 // pixels more
	bulgeLength = 4.0 // times the middle width, along the pipe
	mostBulging = 0.1 // of a pipe's length; what bulges oftener is none
	pipeLength  = 15  // times the middle width, at least
)

// trimBulges takes back what a stroke along a pipe spread to beside the pipe: where it
// reaches much further out than along the rest of the stroke, and what it reaches has
// the cladding's own colour. A downspout of the wall's colour bulges into the wall
// otherwise. A trunk that branches, and a box, are no pipe.
func trimBulges(covered, seen *image.Gray, strokes []mask.Stroke, held []bool) {
	for _, s := range strokes {
		if !s.Front || len(s.Points) < 2 {
			continue
		}
		for _, side := range [2]float64{1, -1} {
			trimSide(raysOf(s, side), covered, seen, held)
		}
	}
}

// trimSide does so on one side of a stroke.
func trimSide(rays []outward, covered, seen *image.Gray, held []bool) {
	if len(rays) == 0 {
		return
	}
	reach := make([]float64, len(rays))
	for i, r := range rays {
		reach[i] = r.reach(covered)
	}
	sorted := slices.Clone(reach)
	slices.Sort(sorted)
	middle := sorted[len(sorted)/2]
	most := mostBulge*middle + bulgeSlop
	bulging := len(sorted) - sort.SearchFloat64s(sorted, most)
	if float64(len(rays)) < 2*pipeLength*middle || float64(bulging) > mostBulging*float64(len(rays)) {
		return
	}
	for i := 0; i < len(rays); i++ {
		from := i
		for i < len(rays) && reach[i] > most {
			i++
		}
		if from == 0 || i == len(rays) || float64(i-from) > 2*(bulgeLength*middle+bulgeSlop) {
			continue
		}
		for k := from; k < i; k++ {
			rays[k].clear(covered, seen, held, middle+1, reach[k])
		}
	}
}

// farthest is how far out is looked, in pixels.
func farthest(m *image.Gray) float64 { return float64(m.Rect.Dx()) / 25 }

// outward is a line that runs out from a stroke, square to it.
type outward struct{ at, to mask.Point }

// raysOf are the rays to one side of a stroke, half a pixel apart.
func raysOf(s mask.Stroke, side float64) (out []outward) {
	for i, a := range s.Points[:len(s.Points)-1] {
		b := s.Points[i+1]
		length := math.Hypot(b.U-a.U, b.V-a.V)
		if length == 0 {
			continue
		}
		du, dv := (b.U-a.U)/length, (b.V-a.V)/length
		for d := 0.0; d <= length; d += 0.5 {
			out = append(out, outward{mask.Point{U: a.U + d*du, V: a.V + d*dv}, mask.Point{U: -side * dv, V: side * du}})
		}
	}
	return out
}

// pixel is the pixel so far out, as an index into a mask; ok is false outside of it.
func (r outward) pixel(m *image.Gray, far float64) (k int, ok bool) {
	u, v := int(math.Floor(r.at.U+far*r.to.U)), int(math.Floor(r.at.V+far*r.to.V))
	if u < 0 || v < 0 || u >= m.Rect.Dx() || v >= m.Rect.Dy() {
		return 0, false
	}
	return v*m.Stride + u, true
}

// reach is how far out the front goes without a gap.
func (r outward) reach(m *image.Gray) float64 {
	far := 0.0
	for ; far < farthest(m); far += 0.5 {
		if k, ok := r.pixel(m, far); !ok || m.Pix[k] >= 128 {
			break
		}
	}
	return far
}

// clear gives the wall, between two distances, what looks like it and nobody drew over.
func (r outward) clear(covered, seen *image.Gray, held []bool, from, to float64) {
	for far := from; far <= to+1; far += 0.5 {
		if k, ok := r.pixel(covered, far); ok && !held[k] && seen.Pix[k] > 127 {
			covered.Pix[k] = max(covered.Pix[k], seen.Pix[k])
		}
	}
}

// surelyWall is how much of a pixel was seen as cladding where it was sure (assumed).
const surelyWall = 230

// giveBack gives the wall what strokes left more wall than not, where it was surely wall
// before: between branches, and in shadows beside a pipe, a walk only thins the wall.
func giveBack(covered, seen *image.Gray, held []bool) {
	for k, v := range covered.Pix {
		if v >= 128 && seen.Pix[k] >= surelyWall && !held[k] {
			covered.Pix[k] = max(v, seen.Pix[k])
		}
	}
}
