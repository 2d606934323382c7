package trim

import (
	"cmp"
	"math"
	"slices"

	"coilwright/course"
	"coilwright/measure"
	"coilwright/plane"
)

// rounding is how far apart, in nanometres, two points of one place may lie: each
// region's corner was rounded to the grid from edges whose ends were rounded too
// (see plane.Tagger), and both sides of a border were.
const rounding measure.Length = 4

// sort of thing that stands beside cladding.
type thing int

const (
	wallEdge thing = iota
	openingEdge
	friezeLine
	zoneLine
)

// source is an edge of something that stands beside cladding, directed with the
// cladding on its left. Index and edge number the wall's edge (index 0), the
// opening and the edge of its reversed outline, the frieze's or zone's place in
// its list.
type source struct {
	thing       thing
	index, edge int
	from, to    plane.Point
}

// length is the source's own.
func (s source) length() measure.Length { return distance(s.from, s.to) }

// border is where a part of a wall (a zone of Layout.Zones; or the frieze) meets
// a source: the stretch from low to high along the source.
type border struct {
	zone      int // index into Layout.Zones, or noZone for the frieze board
	of        source
	low, high measure.Length
}

const noZone = -1

func (b border) length() measure.Length { return b.high - b.low }

// point is the place on the border's source at the given distance from its start,
// rounded to the nearest nanometre.
func (b border) point(at measure.Length) plane.Point {
	whole := b.of.length()
	if at <= 0 || whole <= 0 {
		return b.of.from
	}
	if at >= whole {
		return b.of.to
	}
	d, f := b.of.to.Sub(b.of.from), float64(at)/float64(whole)
	return b.of.from.Add(plane.Point{X: nearest(float64(d.X) * f), Y: nearest(float64(d.Y) * f)})
}

func nearest(f float64) measure.Length { return measure.Length(math.Round(f)) }

func distance(a, b plane.Point) measure.Length {
	d := b.Sub(a)
	return nearest(math.Hypot(float64(d.X), float64(d.Y)))
}

// level says whether an edge runs along the courses.
func (s source) level() bool { return (s.to.Y - s.from.Y).Abs() <= rounding }

// facesUp and facesDown say that cladding ends at the top, or begins at the
// bottom, along the source, rather than at its side (ties: side).
func (s source) facesUp() bool   { d := s.to.Sub(s.from); return d.X < 0 && -d.X > d.Y.Abs() }
func (s source) facesDown() bool { d := s.to.Sub(s.from); return d.X > 0 && d.X > d.Y.Abs() }

// span is an edge in the sweep: an edge of a region, or a source.
type span struct {
	isSource bool
	zone     int
	of       source
}

// bordersOf finds everything that stands beside the zones and the frieze of a wall.
// Edges that run more along x and those that run more along y are looked at apart,
// each in groups that lie on one line or near it, so that the work stays close to
// n log n for walls of level and upright edges.
func (t *bill) bordersOf(wall int) []border {
	var flat, steep []span
	for _, s := range t.spansOf(wall) {
		d := s.of.to.Sub(s.of.from)
		x, y := d.X.Abs(), d.Y.Abs()
		// A source near the diagonal counts as both, since the rounding of its
		// ends may turn an edge along it.
		if x >= y || s.isSource && 2*x > y {
			flat = append(flat, s)
		}
		if x < y || s.isSource && 2*y > x {
			steep = append(steep, s)
		}
	}
	return joinUp(append(sweep(flat, false), sweep(steep, true)...))
}

// extent is the reach of a span along x, or along y.
func (s span) extent(upright bool) (low, high measure.Length) {
	if upright {
		return min(s.of.from.Y, s.of.to.Y), max(s.of.from.Y, s.of.to.Y)
	}
	return min(s.of.from.X, s.of.to.X), max(s.of.from.X, s.of.to.X)
}

// sweep finds where edges of regions meet sources, all running along y (upright) or
// along x: groups apart across that direction, then a sweep along it.
func sweep(spans []span, upright bool) []border {
	sortBy(spans, !upright)
	var out []border
	first, reach := 0, measure.Length(0)
	for i, s := range spans {
		low, high := s.extent(!upright)
		if i > first && low > reach+rounding {
			out = append(out, sweepGroup(spans[first:i], upright)...)
			first = i
		}
		if i == first {
			reach = high
		}
		reach = max(reach, high)
	}
	return append(out, sweepGroup(spans[first:], upright)...)
}

func sweepGroup(spans []span, upright bool) []border {
	sortBy(spans, upright)
	var out []border
	var edges, sources []span // that reach as far as the sweep has come
	for _, s := range spans {
		low, _ := s.extent(upright)
		past := func(o span) bool { _, high := o.extent(upright); return high <= low }
		if s.isSource {
			edges = slices.DeleteFunc(edges, past)
			sources = append(sources, s)
			for _, e := range edges {
				out = appendMeeting(out, e, s)
			}
			continue
		}
		sources = slices.DeleteFunc(sources, past)
		edges = append(edges, s)
		for _, o := range sources {
			out = appendMeeting(out, s, o)
		}
	}
	return out
}

func sortBy(spans []span, upright bool) {
	slices.SortStableFunc(spans, func(a, b span) int {
		x, _ := a.extent(upright)
		y, _ := b.extent(upright)
		return cmp.Compare(x, y)
	})
}

func appendMeeting(out []border, edge, of span) []border {
	if b, ok := meet(edge, of); ok {
		return append(out, b)
	}
	return out
}

// spansOf lists a wall's edges of regions and of sources.
func (t *bill) spansOf(wall int) []span {
	var out []span
	w := t.h.Walls[wall]
	for i := range w.Edges[:min(len(w.Edges), len(w.Outline))] {
		from, to := w.Edge(i)
		out = append(out, span{true, noZone - 1, source{wallEdge, 0, i, from, to}})
	}
	for j, o := range w.Openings {
		out = appendRings(out, source{thing: openingEdge, index: j}, noZone-1, plane.Region{{Outer: o.Outline}}, true)
	}
	for i, f := range t.l.Friezes {
		if f.Wall == wall {
			out = appendRings(out, source{thing: friezeLine, index: i}, noZone, f.Region, false)
			out = appendRings(out, source{thing: friezeLine, index: i}, noZone, f.Region, true)
		}
	}
	for i, z := range t.l.Zones {
		if z.Wall == wall {
			out = appendRings(out, source{thing: zoneLine, index: i}, i, z.Region, false)
			out = appendRings(out, source{thing: zoneLine, index: i}, i, z.Region, true)
		}
	}
	return out
}

// appendRings adds the edges of a region, reversed where it is a source.
func appendRings(out []span, of source, zone int, g plane.Region, isSource bool) []span {
	for _, r := range g.Rings() {
		if isSource {
			r = r.Reversed()
		}
		for i, p := range r {
			of.from, of.to = p, r[(i+1)%len(r)]
			out = append(out, span{isSource, zone, of})
			of.edge++
		}
	}
	return out
}

// meet is the stretch that an edge of a region and a source share, if they run the
// same way on one line.
func meet(edge, of span) (border, bool) {
	if edge.zone == of.zone {
		return border{}, false
	}
	e, s := edge.of, of.of
	d := s.to.Sub(s.from)
	turned := d.Y.Abs() > d.X.Abs()
	a, b, p, q := along(s.from, turned), along(s.to, turned), along(e.from, turned), along(e.to, turned)
	if a.X == b.X || (b.X > a.X) != (q.X > p.X) || p.X == q.X {
		return border{}, false
	}
	low, high := max(min(a.X, b.X), min(p.X, q.X)), min(max(a.X, b.X), max(p.X, q.X))
	if high-low <= rounding || !near(a, b, p, q, low) || !near(a, b, p, q, high) {
		return border{}, false
	}
	scale := math.Hypot(float64(d.X), float64(d.Y)) / float64((b.X - a.X).Abs())
	if b.X < a.X {
		low, high = -high, -low
		a.X = -a.X
	}
	return border{edge.zone, s, nearest(float64(low-a.X) * scale), nearest(float64(high-a.X) * scale)}, true
}

// along turns a point so that X runs along the longer side of a source.
func along(p plane.Point, turned bool) plane.Point {
	if turned {
		return plane.Point{X: p.Y, Y: p.X}
	}
	return p
}

// near says whether lines ab and pq pass x within the rounding of each other.
func near(a, b, p, q plane.Point, x measure.Length) bool {
	return math.Abs(crossingAt(a, b, x)-crossingAt(p, q, x)) <= float64(rounding)
}

func crossingAt(a, b plane.Point, x measure.Length) float64 {
	return float64(a.Y) + float64(b.Y-a.Y)*(float64(x-a.X)/float64(b.X-a.X))
}

// joinUp sorts borders by source and zone and joins those that follow each other.
func joinUp(in []border) []border {
	slices.SortFunc(in, func(a, b border) int {
		return cmp.Or(cmp.Compare(a.of.thing, b.of.thing), cmp.Compare(a.of.index, b.of.index),
			cmp.Compare(a.zone, b.zone), cmp.Compare(a.of.edge, b.of.edge), cmp.Compare(a.low, b.low))
	})
	var out []border
	for _, b := range in {
		if n := len(out); n > 0 && out[n-1].zone == b.zone && out[n-1].of == b.of && b.low-out[n-1].high <= rounding {
			out[n-1].high = max(out[n-1].high, b.high)
			continue
		}
		out = append(out, b)
	}
	return out
}

// upright says whether a zone hangs panels that stand.
func upright(z course.ZoneOnWall) bool { return z.Vertical && !z.Counted }
