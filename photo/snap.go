package photo

import (
	"image"
	"math"
)

func findEdge(img *image.RGBA, from, to, inside Pixel, reach float64) (found, bool) {
	s, ok := newStrip(img, from, to, reach)
	if !ok {
		return found{}, false
	}
	inner := (inside.U-from.U)*s.normal.U + (inside.V-from.V)*s.normal.V
	if inner != 0 {
		inner = math.Copysign(1, inner)
	}
	return s.edge(inner, math.Abs(to.V-from.V) > math.Abs(to.U-from.U))
}

// SnapCorner moves a marked corner to where the picture's own two edges meet: one
// towards each of two other places, usually the next corners. Where only one of
// the edges is found, the corner moves on to that. ok is false where neither is,
// or they meet too far off: then the corner is as given.
func SnapCorner(img *image.RGBA, at, toward, other Pixel, reach float64) (Pixel, bool) {
	a, b, ok := edgeFrom(img, at, toward, other, reach)
	c, d, ok2 := edgeFrom(img, at, other, toward, reach)
	p := at
	switch {
	case ok && ok2:
		if p, ok = crossing(a, b, c, d); !ok {
			return at, false
		}
	case ok:
		p = foot(at, a, b)
	case ok2:
		p = foot(at, c, d)
	default:
		return at, false
	}
	if math.Hypot(p.U-at.U, p.V-at.V) > 1.5*reach {
		return at, false
	}
	return p, true
}

// Beside a corner the edge is looked at once more, for what a casing's foot or a
// sill's end does that its middle does not.
const (
	besideCorner = 14.0 // pixels
	besideReach  = 1.5  // pixels
	besideShare  = 0.6  // of the whole edge's strength
)

// edgeFrom finds the edge that leads from a corner towards a place: by its whole
// length, then beside the corner.
func edgeFrom(img *image.RGBA, at, toward, inside Pixel, reach float64) (a, b Pixel, ok bool) {
	whole, ok := findEdge(img, near(at, toward, reach), far(at, toward), inside, reach)
	if !ok {
		return at, toward, false
	}
	a, b = whole.edge()
	long := math.Hypot(b.U-a.U, b.V-a.V)
	if long < 2*besideCorner {
		return a, b, true
	}
	f := besideCorner / long
	s, ok := newStrip(img, whole.a, Pixel{whole.a.U + f*(b.U-a.U), whole.a.V + f*(b.V-a.V)}, besideReach)
	if !ok {
		return a, b, true
	}
	most, shift := 0.0, 0.0
	for i := 1 - s.offsets; i < s.offsets; i++ {
		o := float64(i)
		if v := s.step(o, o); v > most && v >= s.step(o-1, o-1) && v >= s.step(o+1, o+1) {
			most, shift = v, o
		}
	}
	if most < besideShare*whole.strength {
		return a, b, true
	}
	shift += peak(func(d float64) float64 { return s.step(shift+d, shift+d) })
	return s.shifted(a, shift*searchStep), s.shifted(b, shift*searchStep), true
}

// foot drops a place square on to the line through a and b.
func foot(at, a, b Pixel) Pixel {
	r := Pixel{b.U - a.U, b.V - a.V}
	t := ((at.U-a.U)*r.U + (at.V-a.V)*r.V) / (r.U*r.U + r.V*r.V)
	return Pixel{a.U + t*r.U, a.V + t*r.V}
}

// near starts an edge a little away from its corner, where the other edge does not
// disturb.
func near(at, toward Pixel, reach float64) Pixel {
	long := math.Hypot(toward.U-at.U, toward.V-at.V)
	f := min(reach/2, long/8) / max(long, 1e-9)
	return Pixel{at.U + f*(toward.U-at.U), at.V + f*(toward.V-at.V)}
}

// far ends it before the next corner, and before the lens bends it.
func far(at, toward Pixel) Pixel {
	long := math.Hypot(toward.U-at.U, toward.V-at.V)
	f := min(0.92, longestEdge/max(long, 1e-9))
	return Pixel{at.U + f*(toward.U-at.U), at.V + f*(toward.V-at.V)}
}

// crossing is where the lines through a, b and c, d meet; false where they are
// nearly parallel (less than 5 degrees).
func crossing(a, b, c, d Pixel) (Pixel, bool) {
	r, s := Pixel{b.U - a.U, b.V - a.V}, Pixel{d.U - c.U, d.V - c.V}
	det := r.U*s.V - r.V*s.U
	if math.Abs(det) < 0.087*math.Hypot(r.U, r.V)*math.Hypot(s.U, s.V) {
		return Pixel{}, false
	}
	t := ((c.U-a.U)*s.V - (c.V-a.V)*s.U) / det
	return Pixel{a.U + t*r.U, a.V + t*r.V}, true
}
