package plane

import (
	"cmp"
	"errors"
	"slices"
)

// ErrNotSimple is matched where a polygon crosses itself, so that no triangles fill it.
var ErrNotSimple = errors.New("the polygon crosses itself")

// Triangles fills a polygon with triangles, counter-clockwise, whose corners are its
// own; their areas sum to its area exactly. Holes may touch the outline in points.
//
// Method: holes are joined to the outline by bridges to a corner that they see, then
// ears are cut (G. H. Meisters, American Mathematical Monthly 82 (1975), 648-651);
// every turn is judged exactly. Time grows as the square of the number of corners.
func (p Polygon) Triangles() ([][3]Point, error) {
	if len(p.Outer) < 3 {
		return nil, nil
	}
	ring, left := p.noded()
	for len(left) > 0 {
		joined, at, ok := spliced(ring, left)
		if !ok {
			at = 0 // the rightmost one left: nothing hides all corners from it
			joined, ok = bridged(ring, left[0].from(rightmost(left[0])), left)
		}
		if !ok {
			return nil, ErrNotSimple
		}
		ring, left = joined, slices.Delete(left, at, at+1)
	}
	return ears(ring)
}

// noded is the outline counter-clockwise and the holes clockwise, the rightmost first;
// a corner of one that lies within another's edge becomes a corner there too.
func (p Polygon) noded() (ring Ring, holes []Ring) {
	all := []Ring{counterClockwise(p.Outer)}
	for _, h := range p.Holes {
		if len(h) > 2 {
			all = append(all, counterClockwise(h).Reversed())
		}
	}
	out := make([]Ring, len(all))
	for i, r := range all {
		for k, a := range r {
			out[i] = append(append(out[i], a), withinEdge(a, r[(k+1)%len(r)], all)...)
		}
	}
	holes = out[1:]
	slices.SortStableFunc(holes, func(a, b Ring) int { return cmp.Compare(b[rightmost(b)].X, a[rightmost(a)].X) })
	return out[0], holes
}

// withinEdge lists the corners of all rings that lie inside the edge from a to b, from a on.
func withinEdge(a, b Point, all []Ring) (out []Point) {
	for _, r := range all {
		for _, c := range r {
			if c != a && c != b && between(a, b, c) {
				out = append(out, c)
			}
		}
	}
	d := b.Sub(a)
	slices.SortFunc(out, func(p, q Point) int { return cmp.Compare(Dot(p.Sub(a), d), Dot(q.Sub(a), d)) })
	return slices.Compact(out)
}

// spliced joins the first hole that touches the ring in a corner, there.
func spliced(ring Ring, left []Ring) (out Ring, at int, ok bool) {
	for at, h := range left {
		for k, m := range h {
			for i, v := range ring {
				if v == m && ring.inCone(i, h[(k+1)%len(h)]) {
					out = append(slices.Clone(ring[:i+1]), h.from(k)[1:]...)
					return append(out, ring[i:]...), at, true
				}
			}
		}
	}
	return nil, 0, false
}

func counterClockwise(r Ring) Ring {
	if r.CounterClockwise() {
		return r
	}
	return r.Reversed()
}

func rightmost(r Ring) int {
	best := 0
	for i, p := range r {
		if p.X > r[best].X || p.X == r[best].X && p.Y < r[best].Y {
			best = i
		}
	}
	return best
}

// from turns a ring so that it starts at corner k.
func (r Ring) from(k int) Ring { return append(slices.Clone(r[k:]), r[:k]...) }

// bridged joins a hole, which starts at its rightmost corner, to the ring by the
// shortest bridge to a corner that it sees past all rings left.
func bridged(ring, hole Ring, left []Ring) (Ring, bool) {
	m := hole[0]
	order := make([]int, len(ring))
	for i := range order {
		order[i] = i
	}
	far := func(i int) float64 { d := ring[i].Sub(m); return Dot(d, d) }
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(far(a), far(b)) })
	for _, i := range order {
		v := ring[i]
		if !ring.inCone(i, m) || ring.blocks(v, m) || slices.ContainsFunc(left, func(r Ring) bool { return r.blocks(v, m) }) {
			continue
		}
		out := append(slices.Clone(ring[:i+1]), hole...)
		return append(append(out, m), ring[i:]...), true
	}
	return nil, false
}

// inCone says whether a line from corner i towards a point starts into the ring.
func (r Ring) inCone(i int, to Point) bool {
	n := len(r)
	before, at, after := r[(i+n-1)%n], r[i], r[(i+1)%n]
	if at == to {
		return true
	}
	if Turn(before, at, after) > 0 {
		return Turn(before, at, to) > 0 && Turn(at, after, to) > 0
	}
	return Turn(before, at, to) > 0 || Turn(at, after, to) > 0
}

// blocks says whether any edge touches the line from a to b but at its ends.
func (r Ring) blocks(a, b Point) bool {
	for i, p := range r {
		q := r[(i+1)%len(r)]
		for _, c := range [2]Point{p, q} {
			if c != a && c != b && between(a, b, c) {
				return true
			}
		}
		if p == a || q == a || p == b || q == b {
			continue
		}
		if Turn(a, b, p)*Turn(a, b, q) < 0 && Turn(p, q, a)*Turn(p, q, b) <= 0 {
			return true
		}
	}
	return false
}

// ears cuts a ring up, ear by ear.
func ears(ring Ring) (out [][3]Point, err error) {
	r := slices.Clone(ring)
	for at, tried := 0, 0; len(r) > 2; {
		n := len(r)
		i, k := (at+n-1)%n, (at+1)%n
		switch turn := Turn(r[i], r[at], r[k]); {
		case turn == 0:
		case turn > 0 && r.isEar(i, at, k):
			out = append(out, [3]Point{r[i], r[at], r[k]})
		default:
			if tried++; tried > n {
				return nil, ErrNotSimple
			}
			at = k
			continue
		}
		r, tried = slices.Delete(r, at, at+1), 0
		at = (at + 1) % len(r) // the next corner but one: ears in turn keep triangles stout
	}
	return out, nil
}

// isEar says whether no corner but the triangle's own lies in it or on it.
func (r Ring) isEar(i, at, k int) bool {
	a, b, c := r[i], r[at], r[k]
	low := Point{min(a.X, b.X, c.X), min(a.Y, b.Y, c.Y)}
	high := Point{max(a.X, b.X, c.X), max(a.Y, b.Y, c.Y)}
	for _, p := range r {
		if p.X < low.X || p.X > high.X || p.Y < low.Y || p.Y > high.Y || p == a || p == b || p == c {
			continue
		}
		if Turn(a, b, p) >= 0 && Turn(b, c, p) >= 0 && Turn(c, a, p) >= 0 {
			return false
		}
	}
	return true
}
