package picture

import (
	"image"
	"math"
	"slices"

	"coilwright/cores"
	"coilwright/photo"
)

// Bounds of what is looked at beside an opening, in pixels: a casing's edge is straight,
// and what is told of single pixels there by their colour is not (assumed).
const (
	evenAlong  = 9   // to either side along the edge
	evenAcross = 3.0 // from it, beyond the casing's side as it is seen
	mostSide   = 12  // inches of wall behind a casing's side: a wall seen flatter shows no edge
)

// evenEdges makes a mask even along the openings' edges: every pixel there becomes the
// median of those beside it along the edge, as far off it. A casing's side, of nearly the
// cladding's colour, is all in front then or all cladding, not in dashes. Under an overhang,
// whose soffit begins where the wall ends, what is seen a little further down goes on up to
// the edge. Held pixels stay.
func (p *Photo) evenEdges(m *image.Gray, field []int16, held []bool) {
	was := *m
	was.Pix = slices.Clone(m.Pix)
	cores.Each(len(p.Walls), func(i int) {
		e := evenEdge{p: p, was: &was, out: m, field: field, held: held, wall: i}
		for _, r := range p.Walls[i].Field[1:] {
			for k, a := range r {
				e.along(a, r[(k+1)%len(r)])
			}
		}
		for _, o := range p.Walls[i].Overhangs {
			e.under(o)
		}
	})
}

// evenEdge looks along the edges of one wall's openings.
type evenEdge struct {
	p        *Photo
	was, out *image.Gray
	field    []int16
	held     []bool
	wall     int
}

// along makes the pixels beside one edge even, those out of the opening.
func (e *evenEdge) along(a, b XY) {
	w := e.p.Walls[e.wall]
	pixel := w.pixelSize(e.p.Camera)
	d, length := unit(a, b), math.Hypot(b.X-a.X, b.Y-a.Y)
	off := XY{d.Y, -d.X} // to the right, which is out of a ring that runs counter-clockwise
	if inside(w.Field[1:], (a.X+b.X)/2+0.1*off.X, (a.Y+b.Y)/2+0.1*off.Y) {
		off = XY{-off.X, -off.Y}
	}
	eye := w.eye(e.p.Camera)
	out := max(1, eye.Z)
	side := -((a.X+b.X)/2-eye.X)/out*off.X - ((a.Y+b.Y)/2-eye.Y)/out*off.Y // seen of the casing's side, for an inch of it
	reach := min(max(0, side)*w.Standoff, mostSide) + evenAcross*pixel
	at := func(s, t float64) (photo.Pixel, bool) {
		return e.p.Camera.Project(w.Plane.At(a.X+s*d.X+t*off.X, a.Y+s*d.Y+t*off.Y))
	}
	done := map[int]bool{}
	for s := 0.0; s <= length; s += pixel / 2 {
		for t := 0.0; t <= reach; t += pixel / 2 {
			if q, ok := at(s, t); ok {
				if k := e.index(q); k >= 0 && !done[k] && !e.isHeld(k) {
					done[k] = true
					e.out.Pix[k] = e.median(s, t, length, pixel, at)
				}
			}
		}
	}
}

// under lets the pixels along an overhang's edge be at least as much wall as those a little
// further down and to both sides, all but two: what stands in front may go up aslant.
func (e *evenEdge) under(o Overhang) {
	w := e.p.Walls[e.wall]
	pixel := w.pixelSize(e.p.Camera)
	on := w.overhung(o)
	at := func(s, t float64) (photo.Pixel, bool) { return e.p.Camera.Project(on.At(s, -t)) }
	reach := evenAcross * pixel
	for s := 0.0; s <= o.long(); s += pixel / 2 {
		var below []uint8
		for x := -reach - pixel; x <= reach+pixel; x += pixel {
			if q, ok := at(s+x, reach+pixel); ok {
				if k := e.index(q); k >= 0 {
					below = append(below, e.was.Pix[k])
				}
			}
		}
		if len(below) < 3 {
			continue
		}
		slices.Sort(below)
		for t := 0.0; t <= reach; t += pixel / 2 {
			if q, ok := at(s, t); ok {
				if k := e.index(q); k >= 0 && !e.isHeld(k) {
					e.out.Pix[k] = max(e.out.Pix[k], below[2])
				}
			}
		}
	}
}

// index is the pixel's place in the rasters, -1 where it shows nothing of the wall's field.
func (e *evenEdge) index(q photo.Pixel) int {
	r, i := e.p.Image.Rect, pixelOf(q)
	if !i.In(r) {
		return -1
	}
	k := (i.Y-r.Min.Y)*r.Dx() + i.X - r.Min.X
	if int(e.field[k]) != e.wall {
		return -1
	}
	return k
}

func (e *evenEdge) isHeld(k int) bool { return e.held != nil && e.held[k] }

// median of the mask along the edge around a place.
func (e *evenEdge) median(s, t, length, pixel float64, at func(s, t float64) (photo.Pixel, bool)) uint8 {
	var all [2*evenAlong + 1]uint8
	n := 0
	for i := -evenAlong; i <= evenAlong; i++ {
		if x := s + float64(i)*pixel; x >= 0 && x <= length {
			if q, ok := at(x, t); ok {
				if k := e.index(q); k >= 0 {
					all[n] = e.was.Pix[k]
					n++
				}
			}
		}
	}
	slices.Sort(all[:n])
	return all[n/2]
}
