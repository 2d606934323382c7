package picture

import (
	"math"
	"slices"

	"coilwright/cores"
	"coilwright/photo"
)

// hider is the body of an overhang as it hides what lies behind it: over the soffit, from
// the wall out to its front, along the wall's edge and past its ends. How high it is does
// not matter, for whoever looks over it at a wall looks at the roof.
type hider struct {
	end            photo.Vec // of the edge, from which along leads to the other one
	along, out, up photo.Vec
	from, to       float64 // along the edge, what stands out past the ends included
	depth          float64
}

// hides says whether the sight from an eye to a place passes through the body.
func (h *hider) hides(eye, place photo.Vec) bool {
	first, last := 0.0, 1.0
	a, b := eye.Sub(h.end), place.Sub(h.end)
	within := func(axis photo.Vec, low, high float64) {
		p, q := a.Dot(axis), b.Dot(axis)
		if p == q {
			if p < low || p > high {
				last = -1
			}
			return
		}
		s, t := (low-p)/(q-p), (high-p)/(q-p)
		first, last = max(first, min(s, t)), min(last, max(s, t))
	}
	within(h.along, h.from, h.to)
	within(h.out, 0, h.depth)
	within(h.up, 0, math.Inf(1))
	return last-first > 1e-9
}

// anyHides says whether any of some bodies does.
func anyHides(all []hider, eye, place photo.Vec) bool {
	for n := range all {
		if all[n].hides(eye, place) {
			return true
		}
	}
	return false
}

// hiders are the bodies of all overhangs.
func (p *Photo) hiders() (all []hider) {
	for i, w := range p.Walls {
		for _, o := range w.Overhangs {
			if o.Depth <= 0 {
				continue
			}
			s := w.overhung(o)
			all = append(all, hider{s.At(0, 0), s.X, w.Plane.Normal(), s.Y, -p.past(i, o, o.To), o.long() + p.past(i, o, o.From), o.Depth})
		}
	}
	return all
}

// underEaves is where the sun reaches a wall that overhangs alone shade, by cell.
func (p *Photo) underEaves(d *daylight) []float32 {
	out, all := d.cells.zeros(), p.hiders()
	w := d.wall.Plane
	sun := w.X.Scale(d.towards.X).Add(w.Y.Scale(d.towards.Y)).Add(w.Normal().Scale(d.towards.Z)).Scale(sunAway)
	cores.Each(d.cells.h, func(j int) {
		for k := j * d.cells.w; k < (j+1)*d.cells.w; k++ {
			at := d.cells.middle(k)
			place := w.At(at.X, at.Y)
			if !anyHides(all, place.Add(sun), place) {
				out[k] = 1
			}
		}
	})
	return out
}

// sunAway is as good as endless, in inches.
const sunAway = 1e5

// atCorner is how far apart, in inches, the edges of two walls end at one corner of the
// house, seen from above (assumed: marks are no nearer).
const atCorner = 12.0

// past is how far an overhang of a wall stands out past an end of its edge: none where the
// next overhang begins, at a ridge; as far as the other wall's at a corner of the house; and
// where the photo shows none, as far as over its own wall (assumed).
func (p *Photo) past(wall int, o Overhang, end XY) float64 {
	w := p.Walls[wall]
	for _, other := range w.Overhangs {
		if other != o && (other.From == end || other.To == end) {
			return 0
		}
	}
	at := w.Plane.At(end.X, end.Y)
	for k, v := range p.Walls {
		for _, other := range v.Overhangs {
			for _, q := range [2]XY{other.From, other.To} {
				d := v.Plane.At(q.X, q.Y).Sub(at)
				if k != wall && d.Sub(w.Plane.Y.Scale(d.Dot(w.Plane.Y))).Len() < atCorner {
					return other.Depth
				}
			}
		}
	}
	return o.Depth
}

// long is how long the overhang's edge is.
func (o Overhang) long() float64 { return math.Hypot(o.To.X-o.From.X, o.To.Y-o.From.Y) }

// overhung is the plane of the wall's face with the end of an overhang's edge as its origin,
// x along the edge and y out of the wall's outline.
func (w Wall) overhung(o Overhang) photo.Plane {
	d := unit(o.From, o.To)
	return photo.Plane{Origin: w.Plane.At(o.To.X, o.To.Y), X: w.Plane.X.Scale(-d.X).Add(w.Plane.Y.Scale(-d.Y)),
		Y: w.Plane.X.Scale(d.Y).Add(w.Plane.Y.Scale(-d.X))}
}

// visibility finds which wall a pixel shows.
type visibility struct {
	p       *Photo
	eye     photo.Vec
	hiders  [][]hider // by wall: those that hide any of it
	outline [][]Ring
}

// visibility looks at the photo's walls and what hides them.
func (p *Photo) visibility() *visibility {
	s := &visibility{p: p, eye: p.Camera.Centre()}
	all := p.hiders()
	for _, w := range p.Walls {
		s.outline = append(s.outline, []Ring{w.Outline})
		s.hiders = append(s.hiders, slices.DeleteFunc(slices.Clone(all), func(h hider) bool { return !h.hidesAny(s.eye, w) }))
	}
	return s
}

// hidesAny looks at places all over a wall, a hundredth of it apart, for one that is hidden.
func (h *hider) hidesAny(eye photo.Vec, w Wall) bool {
	low, high := w.box()
	g := newGrid(low, high, max(1, high.X-low.X, high.Y-low.Y)/100)
	for k := range g.w * g.h {
		if at := g.middle(k); h.hides(eye, w.Plane.At(at.X, at.Y)) {
			return true
		}
	}
	return false
}

// wallAt is the number of the nearest wall that a pixel shows, -1 for none.
func (s *visibility) wallAt(u, v int) int {
	at := photo.Pixel{U: float64(u) + 0.5, V: float64(v) + 0.5}
	best, nearest := -1, math.Inf(1)
	for i := range s.p.Walls {
		w := &s.p.Walls[i]
		x, y, ok := s.p.Camera.OnPlane(at, w.Plane)
		if !ok || !inside(s.outline[i], x, y) {
			continue
		}
		place := w.Plane.At(x, y)
		if t := place.Sub(s.eye).Len(); t < nearest && !anyHides(s.hiders[i], s.eye, place) {
			best, nearest = i, t
		}
	}
	return best
}

// fieldAt is the wall whose field a pixel shows, -1 for none.
func (s *visibility) fieldAt(u, v int) int {
	i := s.wallAt(u, v)
	if i < 0 {
		return -1
	}
	x, y, ok := s.p.Camera.OnPlane(photo.Pixel{U: float64(u) + 0.5, V: float64(v) + 0.5}, s.p.Walls[i].Plane)
	if !ok || !inside(s.p.Walls[i].Field, x, y) {
		return -1
	}
	return i
}

// InField gives what says whether a pixel shows a place of a wall's field.
func (p *Photo) InField() func(u, v int) bool {
	s := p.visibility()
	return func(u, v int) bool { return s.fieldAt(u, v) >= 0 }
}
