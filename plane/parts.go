package plane

import (
	"cmp"
	"slices"
)

// outline is a ring, points[from:end] of the sweep, with its box; it begins at the
// lowest of its leftmost points.
type outline struct {
	from, end int
	box       Box
}

// ring gives the outline as its own slices, which an append would copy.
func (s *sweep) ring(o outline) TaggedRing {
	return TaggedRing{s.points[o.from:o.end:o.end], s.tags[o.from:o.end:o.end]}
}

// parts joins the chains band by band.
func (s *sweep) parts() []Part {
	s.bySide()
	s.inBand.group(len(s.closed), len(s.touching), func(i int) int32 { return s.closed[i].band })
	room := len(s.vertices) + 2*len(s.levels)
	s.points, s.tags = emptied(s.points, room), emptied(s.tags, room)
	s.found = emptied(s.found, len(s.chains)/2+len(s.closed))
	for b := range s.touching {
		s.outers, s.holes = s.outers[:0], s.holes[:0]
		switch {
		case s.lines[b] >= s.lines[b+1]:
			continue
		case s.touching[b] || !s.link(2*b) || !s.link(2*b+1):
			s.trace(b)
		default:
			s.join(b)
		}
		s.assemble(b)
	}
	return s.found
}

// join finds the rings of a band in which none touch.
func (s *sweep) join(b int) {
	for _, e := range s.byLine.eventsOn(2*b, 2*b+2) {
		if e.start && !s.chains[e.chain].done {
			s.around(e.chain)
		}
	}
	for _, i := range s.inBand.of(b) {
		c := s.closed[i]
		from := len(s.points)
		for _, v := range s.vertices[c.first:c.end] {
			s.points, s.tags = append(s.points, v.Point), append(s.tags, v.tag)
		}
		s.keep(from, true)
	}
}

// around writes the ring of chain i and those that follow.
func (s *sweep) around(i int32) {
	from, bent := len(s.points), false
	for {
		c := &s.chains[i]
		if c.done {
			break
		}
		c.done = true
		for _, v := range s.vertices[c.first:c.end] {
			s.points, s.tags = append(s.points, v.Point), append(s.tags, v.tag)
		}
		bent = bent || c.end-c.first > 2
		if c.levels[0] < c.levels[1] {
			s.stretch(s.byLine.levels[c.levels[0]:c.levels[1]], s.vertices[s.chains[c.next].first].X, c.floorTo)
		}
		i = c.next
	}
	s.keep(from, bent)
}

// stretch goes from the last point along a line to x, over the level edges there.
func (s *sweep) stretch(levels []level, x Length, up bool) {
	if up {
		for _, l := range levels {
			s.over(l.a, l.b, x, l.tag)
		}
		return
	}
	for i := range levels {
		l := levels[len(levels)-1-i]
		s.over(l.b, l.a, x, l.tag)
	}
}

// over goes on along a line that leads to x: from the last point to a, and from
// there as tag to b.
func (s *sweep) over(a, b, x Length, tag Tag) {
	n := len(s.points) - 1
	at := s.points[n]
	if at.X < x {
		a, b = max(a, at.X), min(b, x)
	} else {
		a, b = min(a, at.X), max(b, x)
	}
	if a == b || (a < b) != (at.X < x) {
		return
	}
	if a == at.X {
		s.tags[n] = tag
	} else {
		s.points, s.tags = append(s.points, Point{a, at.Y}), append(s.tags, tag)
	}
	if b != x {
		s.points, s.tags = append(s.points, Point{b, at.Y}), append(s.tags, Cut)
	}
}

// keep finishes the ring that begins at from: straight runs become one edge, and a
// ring without area is dropped. Only a bent ring can be a hole or have no area:
// one of straight edges from line to line has its stretches as widths.
func (s *sweep) keep(from int, bent bool) {
	p, tags := s.points[from:], s.tags[from:]
	n := straightenInPlace(p, tags)
	sign := 1
	if bent {
		sign = p[:n].turning()
	}
	if sign == 0 {
		n = 0
	}
	s.points, s.tags = s.points[:from+n], s.tags[:from+n]
	if n == 0 {
		return
	}
	o := outline{from, from + n, begin(p[:n], tags[:n])}
	if sign > 0 {
		s.outers = append(s.outers, o)
	} else {
		s.holes = append(s.holes, o)
	}
}

// turning is the sign of the ring's area.
func (r Ring) turning() int {
	a := r.Area()
	return wide{a.Hi, a.Lo}.sign()
}

// begin rotates a ring in place to begin at the lowest of its leftmost points, and
// gives its box.
func begin(p Ring, tags []Tag) Box {
	first, b := 0, Box{p[0], p[0]}
	for i, q := range p {
		if q.X < p[first].X || q.X == p[first].X && q.Y < p[first].Y {
			first = i
		}
		b.Max.X, b.Min.Y, b.Max.Y = max(b.Max.X, q.X), min(b.Min.Y, q.Y), max(b.Max.Y, q.Y)
	}
	b.Min.X = p[first].X
	rotate(p, first)
	rotate(tags, first)
	return b
}

// rotate moves s[k] to the front, those before it to the end.
func rotate[T any](s []T, k int) {
	if k > 0 {
		slices.Reverse(s[:k])
		slices.Reverse(s[k:])
		slices.Reverse(s)
	}
}

// assemble makes the parts of a band: each hole goes to the outer ring around it.
func (s *sweep) assemble(band int) {
	slices.SortFunc(s.outers, func(a, b outline) int {
		if c := comparePoints(a.box.Min, b.box.Min); c != 0 {
			return c
		}
		return comparePoints(s.points[a.from], s.points[b.from])
	})
	first := len(s.found)
	for _, o := range s.outers {
		s.found = append(s.found, Part{Band: band, Outer: s.ring(o)})
	}
	slices.SortFunc(s.holes, func(a, b outline) int { return comparePoints(s.points[a.from], s.points[b.from]) })
	for _, h := range s.holes {
		if i := s.owner(h); i >= 0 {
			p := &s.found[first+i]
			p.Holes = append(p.Holes, s.ring(h))
		}
	}
}

// owner finds the outer ring around a hole: among those that begin left of it the
// one nearest to it first.
func (s *sweep) owner(hole outline) int {
	end, _ := slices.BinarySearchFunc(s.outers, hole.box.Min.X, func(o outline, x Length) int {
		return cmp.Compare(o.box.Min.X, x+1)
	})
	for i := end - 1; i >= 0; i-- {
		b := s.outers[i].box
		if b.Max.X < hole.box.Max.X || b.Min.Y > hole.box.Min.Y || b.Max.Y < hole.box.Max.Y {
			continue
		}
		if encloses(s.ring(s.outers[i]).Points, s.ring(hole).Points) {
			return i
		}
	}
	return -1
}

// encloses says whether a hole that does not cross outer lies inside it.
func encloses(outer, hole Ring) bool {
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
