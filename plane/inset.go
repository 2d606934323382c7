package plane

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Inset draws every edge of a part back into it, square to the edge, by its own
// distance (never negative), and gives what is left: nothing, one part or several.
// Neighbouring edges meet where their drawn-back lines meet, so that a cut-out
// keeps sharp corners; where two edges on one straight line differ, a step stands
// at their common point.
//
// Level and upright edges move exactly; a corner on a slanted edge is rounded to
// the nearest nanometre. Where a whole edge vanishes or boundaries meet, the
// strips that the edges sweep are taken off by the general booleans.
func Inset(p Part, distance func(Edge) Length) ([]Part, error) {
	rings := []drawn{drawBack(p.Outer, distance)}
	for _, h := range p.Holes {
		rings = append(rings, drawBack(h, distance))
	}
	for _, r := range rings {
		if !r.keepsEdges() {
			return sweepOff(p, distance)
		}
	}
	if touching(rings) {
		return sweepOff(p, distance)
	}
	out := Part{Band: p.Band, Outer: straighten(rings[0].TaggedRing)}
	for _, h := range rings[1:] {
		out.Holes = append(out.Holes, straighten(h.TaggedRing))
	}
	return []Part{out}, nil
}

// drawn is a ring after drawing back; was[i] is the direction of edge i before
// (of a step: as it is now).
type drawn struct {
	TaggedRing
	was []Point
}

func drawBack(r TaggedRing, distance func(Edge) Length) drawn {
	var out drawn
	n := len(r.Points)
	out.Points, out.Tags, out.was = make(Ring, 0, n+2), make([]Tag, 0, n+2), make([]Point, 0, n+2)
	add := func(p Point, tag Tag, was Point) {
		out.Points, out.Tags, out.was = append(out.Points, p), append(out.Tags, tag), append(out.was, was)
	}
	for i := range n {
		in, leave := r.Edge((i+n-1)%n), r.Edge(i)
		a, b := distance(in), distance(leave)
		first, second := mitre(in, leave, a, b)
		if first != second {
			tag := in.Tag
			if b > a {
				tag = leave.Tag
			}
			add(first, tag, second.Sub(first))
		}
		add(second, leave.Tag, leave.To.Sub(leave.From))
	}
	return out
}

// keepsEdges says whether every edge still runs the way it did.
func (d drawn) keepsEdges() bool {
	for i := range d.Points {
		e := d.Edge(i)
		if dot(e.To.Sub(e.From), d.was[i]).sign() <= 0 {
			return false
		}
	}
	return true
}

// mitre gives where the drawn-back lines of two neighbouring edges meet, twice;
// for edges on one straight line with unequal distances the ends of the step.
func mitre(in, leave Edge, a, b Length) (first, second Point) {
	v := leave.From
	d, e := in.To.Sub(in.From), leave.To.Sub(leave.From)
	if cross(d, e).sign() == 0 {
		return v.Add(Normal(d, a)), v.Add(Normal(e, b))
	}
	dx, dy := unit(d)
	ex, ey := unit(e)
	// v + (x, y) lies a inside the first line and b inside the second.
	c := dx*ey - dy*ex
	x := (float64(a)*ex - float64(b)*dx) / c
	y := (float64(a)*ey - float64(b)*dy) / c
	p := v.Add(Point{Length(math.Round(x)), Length(math.Round(y))})
	return p, p
}

func unit(d Point) (x, y float64) {
	if d.Y == 0 {
		return math.Copysign(1, float64(d.X)), 0
	}
	if d.X == 0 {
		return 0, math.Copysign(1, float64(d.Y))
	}
	l := math.Hypot(float64(d.X), float64(d.Y))
	return float64(d.X) / l, float64(d.Y) / l
}

// Normal is the vector of length s to the left of direction d, square to it:
// inward from an edge that runs along d.
func Normal(d Point, s Length) Point {
	x, y := unit(d)
	return Point{Length(math.Round(-y * float64(s))), Length(math.Round(x * float64(s)))}
}

// drawnEdge is edge at of ring in a list of drawn rings.
type drawnEdge struct {
	a, b     Point
	ring, at int
}

// touching says whether edges of the rings meet elsewhere than at the corner that
// two neighbours share.
func touching(rings []drawn) bool {
	n := 0
	for _, r := range rings {
		n += len(r.Points)
	}
	edges := make([]drawnEdge, 0, n)
	for k, r := range rings {
		for i := range r.Points {
			e := r.Edge(i)
			edges = append(edges, drawnEdge{e.From, e.To, k, i})
		}
	}
	slices.SortFunc(edges, func(a, b drawnEdge) int { return cmp.Compare(min(a.a.X, a.b.X), min(b.a.X, b.b.X)) })
	active := edges[:0] // takes the place of edges that were looked at
	for _, e := range edges {
		keep := active[:0]
		for _, f := range active {
			if max(f.a.X, f.b.X) < min(e.a.X, e.b.X) {
				continue
			}
			keep = append(keep, f)
			if e.ring == f.ring {
				if rings[e.ring].Points.conflict(e.at, f.at) {
					return true
				}
			} else if meet(e.a, e.b, f.a, f.b) {
				return true
			}
		}
		active = append(keep, e)
	}
	return false
}

// sweepOff takes the strip that each edge sweeps off the part.
func sweepOff(p Part, distance func(Edge) Length) ([]Part, error) {
	whole := Polygon{Outer: p.Outer.Points}
	strips, sources := sweptBy(p.Outer, distance)
	for _, h := range p.Holes {
		whole.Holes = append(whole.Holes, h.Points)
		s, t := sweptBy(h, distance)
		strips, sources = append(strips, s...), append(sources, t...)
	}
	if len(strips) == 0 {
		return []Part{p}, nil
	}
	off, err := Union(strips)
	if err != nil {
		return nil, fmt.Errorf("drawing edges back: %w", err)
	}
	left, err := Minus(Region{whole}, off)
	if err != nil {
		return nil, fmt.Errorf("drawing edges back: %w", err)
	}
	return left.parts(p.Band, NewTagger(sources)), nil
}

// parts tags a region's polygons, from left to right.
func (g Region) parts(band int, t *Tagger) []Part {
	var out []Part
	for _, q := range g {
		if q.Thinner(2 * rounding) {
			continue
		}
		part := Part{Band: band, Outer: straighten(t.Ring(q.Outer))}
		for _, h := range q.Holes {
			part.Holes = append(part.Holes, straighten(t.Ring(h)))
		}
		out = append(out, part)
	}
	slices.SortStableFunc(out, func(a, b Part) int {
		return comparePoints(a.Outer.Points.Box().Min, b.Outer.Points.Box().Min)
	})
	return out
}

// Thinner says whether p is only a trace of rounding: its area is no more than a
// band of that width along the two sides of its box would have.
func (p Polygon) Thinner(width Length) bool {
	b, a := p.Outer.Box(), p.Area()
	return wide{a.Hi, a.Lo}.float() <= 2*float64(width)*float64(b.Width()+b.Height())
}

// sweptBy gives the strip of each edge that moves, and where all edges then lie.
func sweptBy(r TaggedRing, distance func(Edge) Length) (strips []Polygon, sources []Edge) {
	n := len(r.Points)
	for i := range n {
		e := r.Edge(i)
		s := distance(e)
		if s == 0 {
			sources = append(sources, e)
			continue
		}
		before, after := r.Edge((i+n-1)%n), r.Edge((i+1)%n)
		_, from := mitre(before, e, distance(before), s)
		to, _ := mitre(e, after, s, distance(after))
		strip := Ring{e.From, e.To, to, from}
		if dot(to.Sub(from), e.To.Sub(e.From)).sign() <= 0 {
			strip = Ring{e.From, e.To, Crossing(e.From, from, e.To, to)}
		} else {
			sources = append(sources, Edge{from, to, e.Tag})
		}
		if strip = distinct(strip); strip.CounterClockwise() {
			strips = append(strips, Polygon{Outer: strip})
		}
	}
	return strips, sources
}

func distinct(r Ring) Ring {
	var out Ring
	for i, p := range r {
		if p != r[(i+1)%len(r)] {
			out = append(out, p)
		}
	}
	return out
}

// Crossing is where the lines ab and cd cross, b if they do not.
func Crossing(a, b, c, d Point) Point {
	u, v := b.Sub(a), d.Sub(c)
	w := Cross(u, v)
	if w == 0 {
		return b
	}
	t := Cross(c.Sub(a), v) / w
	return a.Add(Point{Length(math.Round(t * float64(u.X))), Length(math.Round(t * float64(u.Y)))})
}

// Mitre gives where the lines of two neighbouring edges meet once drawn back by a
// and b; the edges must not lie on one straight line.
func Mitre(in, leave Edge, a, b Length) Point {
	_, p := mitre(in, leave, a, b)
	return p
}

// Dot is the scalar product in square nanometres, to float64 precision.
func Dot(a, b Point) float64 { return dot(a, b).float() }
