package picture

import (
	"math"

	"coilwright/photo"
)

// Bounds of what is one corner of the house (assumed: beyond, the marks were meant so).
const (
	mostSlit  = 3.0  // inches along either wall between the edges as they are seen
	mostApart = 0.05 // between the edges' feet, of how far off they are
)

// closeCorners lets walls that meet in a corner of the house share its line in the photo.
// Each wall is fitted by marks of its own, so that a slit a pixel or two wide may be left
// between them, which nobody's new post would cover, or an overlap.
func (p *Photo) closeCorners() {
	for i := range p.Walls {
		for k := range p.Walls {
			if k != i {
				p.closeCorner(p.Walls[i], p.Walls[k])
			}
		}
	}
}

// closeCorner moves the upright edge at the right of one wall and that at the left of
// another, each along its wall, into the plane of sight halfway between them.
func (p *Photo) closeCorner(one, other Wall) {
	a, okA := one.upright(true)
	b, okB := other.upright(false)
	if !okA || !okB {
		return
	}
	eye := p.Camera.Centre()
	u, v := one.sights(a, eye), other.sights(b, eye)
	if u[0].Sub(v[0]).Len() > mostApart*u[0].Len() {
		return
	}
	across := u[0].Cross(u[1]).Unit().Add(v[0].Cross(v[1]).Unit())
	var by [2][2]float64 // inches along either wall
	for n := range 2 {
		by[0][n] = -u[n].Dot(across) / one.Plane.X.Dot(across)
		by[1][n] = -v[n].Dot(across) / other.Plane.X.Dot(across)
		if !(max(math.Abs(by[0][n]), math.Abs(by[1][n])) <= mostSlit) {
			return
		}
	}
	for n := range 2 { // the field's too: it is one ring with the outline
		one.Outline[a[n]].X += by[0][n]
		other.Outline[b[n]].X += by[1][n]
	}
}

// sights are the ways from the eye to two corners of the outline.
func (w Wall) sights(ends [2]int, eye photo.Vec) (out [2]photo.Vec) {
	for n, k := range ends {
		out[n] = w.Plane.At(w.Outline[k].X, w.Outline[k].Y).Sub(eye)
	}
	return out
}

// upright finds the outline's upright edge at the wall's right or left end: its lower and
// its upper corner.
func (w Wall) upright(right bool) (ends [2]int, ok bool) {
	low, high := w.box()
	at := low.X
	if right {
		at = high.X
	}
	const slop = 1e-6
	for i, a := range w.Outline {
		k := (i + 1) % len(w.Outline)
		if b := w.Outline[k]; math.Abs(a.X-at) < slop && math.Abs(b.X-at) < slop && a.Y != b.Y {
			if a.Y > b.Y {
				i, k = k, i
			}
			return [2]int{i, k}, true
		}
	}
	return ends, false
}
