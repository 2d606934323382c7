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

// loops joins t.edges into rings that visit no point twice.
func (t *tracer) loops() []TaggedRing {
	slices.SortFunc(t.edges, func(a, b Edge) int { return comparePoints(a.From, b.From) })
	t.used = resize(t.used, len(t.edges))
	var out []TaggedRing
	for i := range t.edges {
		if !t.used[i] {
			out = appendLoops(out, t.ring(i))
		}
	}
	return out
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

// straighten drops points that lie on a straight run of one tag.
func straighten(r TaggedRing) TaggedRing {
	out := TaggedRing{slices.Clone(r.Points), slices.Clone(r.Tags)}
	n := straightenInPlace(out.Points, out.Tags)
	return TaggedRing{out.Points[:n:n], out.Tags[:n:n]}
}

// straightenInPlace drops points that lie on a straight run of one tag and gives
// how many remain.
func straightenInPlace(p Ring, tags []Tag) int {
	n := len(p)
	if n == 0 {
		return 0
	}
	first := p[0]
	before, tagBefore := p[n-1], tags[n-1]
	kept := 0
	for i := range n {
		at, tag, next := p[i], tags[i], first
		if i+1 < n {
			next = p[i+1]
		}
		if tag != tagBefore || !onward(before, at, next) {
			p[kept], tags[kept] = at, tag
			kept++
		}
		before, tagBefore = at, tag
	}
	return kept
}

// onward says whether q lies on the straight way from p to s.
func onward(p, q, s Point) bool {
	d, e := q.Sub(p), s.Sub(q)
	return cross(d, e).sign() == 0 && dot(d, e).sign() >= 0
}

// appendLoops splits a ring that visits a point twice into rings that do not.
func appendLoops(out []TaggedRing, r TaggedRing) []TaggedRing {
	if !repeats(r.Points) {
		return append(out, r)
	}
	var stack TaggedRing
	place := map[Point]int{}
	for i, p := range r.Points {
		if at, seen := place[p]; seen {
			loop := TaggedRing{slices.Clone(stack.Points[at:]), slices.Clone(stack.Tags[at:])}
			for _, q := range loop.Points {
				delete(place, q)
			}
			out = append(out, loop)
			stack.Points, stack.Tags = stack.Points[:at], stack.Tags[:at]
		}
		place[p] = len(stack.Points)
		stack.Points = append(stack.Points, p)
		stack.Tags = append(stack.Tags, r.Tags[i])
	}
	return append(out, stack)
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
