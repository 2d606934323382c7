package plane

import (
	"cmp"
	"slices"
)

func comparePoints(a, b Point) int {
	if a.X != b.X {
		return cmp.Compare(a.X, b.X)
	}
	return cmp.Compare(a.Y, b.Y)
}

// chain joins t.edges into rings and the rings into parts.
func (t *tracer) chain(parts []Part, band int) []Part {
	if len(t.edges) == 0 {
		return parts
	}
	slices.SortFunc(t.edges, func(a, b Edge) int { return comparePoints(a.From, b.From) })
	t.used = resize(t.used, len(t.edges))
	var outers, holes []TaggedRing
	for i := range t.edges {
		if t.used[i] {
			continue
		}
		for _, r := range loops(t.ring(i)) {
			switch a := r.Points.Area(); (wide{a.Hi, a.Lo}).sign() {
			case 1:
				outers = append(outers, r)
			case -1:
				holes = append(holes, r)
			}
		}
	}
	return assemble(parts, band, outers, holes)
}

func resize(b []bool, n int) []bool {
	if cap(b) < n {
		return make([]bool, n)
	}
	b = b[:n]
	clear(b)
	return b
}

// ring follows edges from edge i until it is back.
func (t *tracer) ring(i int) TaggedRing {
	var r TaggedRing
	first := i
	for {
		t.used[i] = true
		r.Points = append(r.Points, t.edges[i].From)
		r.Tags = append(r.Tags, t.edges[i].Tag)
		next := t.after(t.edges[i])
		if next < 0 || t.used[next] || next == first {
			return r
		}
		i = next
	}
}

// after gives the unused edge that leaves where e ends, by the narrowest left
// turn, so that a ring never runs through a point into another part.
func (t *tracer) after(e Edge) int {
	at, _ := slices.BinarySearchFunc(t.edges, e.To, func(a Edge, p Point) int { return comparePoints(a.From, p) })
	best := -1
	for ; at < len(t.edges) && t.edges[at].From == e.To; at++ {
		if t.used[at] {
			continue
		}
		if best < 0 || narrower(e, t.edges[at].To, t.edges[best].To) {
			best = at
		}
	}
	return best
}

// narrower says whether turning from e to a encloses less on the left than to b.
func narrower(e Edge, a, b Point) bool {
	back, u, v := e.From.Sub(e.To), a.Sub(e.To), b.Sub(e.To)
	return clockwiseBefore(back, u, v)
}

// clockwiseBefore says whether, turning clockwise from base, u comes before v.
func clockwiseBefore(base, u, v Point) bool {
	hu, hv := half(base, u), half(base, v)
	if hu != hv {
		return hu < hv
	}
	return cross(u, v).sign() < 0
}

// half is 0 for directions less than half a turn clockwise of base, 1 for the
// opposite and what lies beyond, 2 for base itself.
func half(base, u Point) int {
	switch c := cross(base, u).sign(); {
	case c < 0:
		return 0
	case c == 0 && dot(base, u).sign() > 0:
		return 2
	}
	return 1
}

// loops splits a ring that visits a point twice into rings that do not, and
// joins straight runs of one tag.
func loops(r TaggedRing) []TaggedRing {
	if !repeats(r.Points) {
		return []TaggedRing{straighten(r)}
	}
	var out []TaggedRing
	var stack TaggedRing
	place := map[Point]int{}
	for i, p := range r.Points {
		if at, seen := place[p]; seen {
			loop := TaggedRing{slices.Clone(stack.Points[at:]), slices.Clone(stack.Tags[at:])}
			for _, q := range loop.Points {
				delete(place, q)
			}
			out = append(out, straighten(loop))
			stack.Points, stack.Tags = stack.Points[:at], stack.Tags[:at]
		}
		place[p] = len(stack.Points)
		stack.Points = append(stack.Points, p)
		stack.Tags = append(stack.Tags, r.Tags[i])
	}
	return append(out, straighten(stack))
}

func repeats(r Ring) bool {
	if len(r) <= 12 {
		for i, p := range r {
			if slices.Contains(r[:i], p) {
				return true
			}
		}
		return false
	}
	s := slices.Clone(r)
	slices.SortFunc(s, comparePoints)
	for i := 1; i < len(s); i++ {
		if s[i] == s[i-1] {
			return true
		}
	}
	return false
}

// straighten drops points that lie on a straight run of one tag.
func straighten(r TaggedRing) TaggedRing {
	n := len(r.Points)
	keep := func(i int) bool {
		h := (i + n - 1) % n
		p, q, s := r.Points[h], r.Points[i], r.Points[(i+1)%n]
		return r.Tags[h] != r.Tags[i] || Turn(p, q, s) != 0 || dot(q.Sub(p), s.Sub(q)).sign() < 0
	}
	drop := false
	for i := range n {
		if !keep(i) {
			drop = true
			break
		}
	}
	if !drop {
		return r
	}
	var out TaggedRing
	for i := range n {
		if keep(i) {
			out.Points = append(out.Points, r.Points[i])
			out.Tags = append(out.Tags, r.Tags[i])
		}
	}
	return out
}

// assemble gives each hole to the outer ring around it.
func assemble(parts []Part, band int, outers, holes []TaggedRing) []Part {
	first := len(parts)
	for _, o := range outers {
		parts = append(parts, Part{Band: band, Outer: o})
	}
	mine := parts[first:]
	slices.SortFunc(mine, func(a, b Part) int {
		p, q := a.Outer.Points.Box().Min, b.Outer.Points.Box().Min
		if c := comparePoints(p, q); c != 0 {
			return c
		}
		return comparePoints(a.Outer.Points[0], b.Outer.Points[0])
	})
	for _, h := range holes {
		if i := owner(mine, h.Points); i >= 0 {
			mine[i].Holes = append(mine[i].Holes, h)
		}
	}
	return parts
}

// owner finds the part around a hole: among those that begin left of it the one
// nearest to it first.
func owner(parts []Part, hole Ring) int {
	box := hole.Box()
	end, _ := slices.BinarySearchFunc(parts, box.Min.X, func(p Part, x Length) int {
		return cmp.Compare(p.Outer.Points.Box().Min.X, x+1)
	})
	for i := end - 1; i >= 0; i-- {
		outer := parts[i].Outer.Points
		if b := outer.Box(); b.Max.X < box.Max.X || b.Min.Y > box.Min.Y || b.Max.Y < box.Max.Y {
			continue
		}
		if around(outer, hole) {
			return i
		}
	}
	return -1
}

// around says whether a hole that does not cross outer lies inside it.
func around(outer, hole Ring) bool {
	for _, p := range hole {
		switch outer.Where(p) {
		case Inside:
			return true
		case Outside:
			return false
		}
	}
	return true // every corner lies on the outer ring
}
