package plane

import (
	"cmp"
	"slices"
)

// trace finds the rings of band b edge by edge.
func (s *sweep) trace(b int) {
	for _, r := range s.careful.trace(s.edgesOf(b), s.lines[b], s.lines[b+1]) {
		from := len(s.points)
		s.points, s.tags = append(s.points, r.Points...), append(s.tags, r.Tags...)
		s.keep(from, true)
	}
}

// edgesOf lists the edges of band b, level ones along its lines included.
func (s *sweep) edgesOf(b int) []Edge {
	var out []Edge
	for _, e := range s.byLine.eventsOn(2*b, 2*b+2) {
		if e.start {
			c := s.chains[e.chain]
			out = appendEdges(out, s.vertices[c.first:c.end])
		}
	}
	for _, i := range s.inBand.of(b) {
		v := s.vertices[s.closed[i].first:s.closed[i].end]
		out = append(appendEdges(out, v), Edge{v[len(v)-1].Point, v[0].Point, v[len(v)-1].tag})
	}
	for _, l := range s.byLine.levelsOn(2*b, 2*b+2) {
		e := Edge{Point{l.a, s.lines[b]}, Point{l.b, s.lines[b]}, l.tag}
		if l.side&1 != 0 {
			e = Edge{Point{l.b, s.lines[b+1]}, Point{l.a, s.lines[b+1]}, l.tag}
		}
		out = append(out, e)
	}
	return out
}

func appendEdges(out []Edge, v []vertex) []Edge {
	for i := range len(v) - 1 {
		out = append(out, Edge{v[i].Point, v[i+1].Point, v[i].tag})
	}
	return out
}

// tracer joins the edges of a band in which rings touch in points: at a point where
// several edges meet it goes on by the narrowest left turn. It only keeps its
// memory from one band to the next.
type tracer struct {
	edges  []Edge
	events []tracerEvent
	used   []bool
}

// tracerEvent is an end of an edge on a line: x there, and the edge's other end.
type tracerEvent struct {
	x     Length
	far   Point
	enter bool // going right, the inside begins here
}

func (t *tracer) trace(given []Edge, low, high Length) []TaggedRing {
	t.edges = t.edges[:0]
	var floor, ceiling []Edge
	for _, e := range given {
		switch {
		case e.From.Y == e.To.Y && e.From.Y == low:
			floor = append(floor, e)
		case e.From.Y == e.To.Y && e.From.Y == high:
			ceiling = append(ceiling, e)
		case e.From != e.To:
			t.edges = append(t.edges, e)
		}
	}
	n := len(t.edges)
	t.stretches(t.edges[:n], floor, low, true)
	t.stretches(t.edges[:n], ceiling, high, false)
	return t.loops()
}

// stretches adds the edges along one line: the inside is above it where up.
func (t *tracer) stretches(edges, level []Edge, y Length, up bool) {
	t.events = t.events[:0]
	for _, e := range edges {
		if e.From.Y == y {
			t.events = append(t.events, tracerEvent{e.From.X, e.To, !up})
		}
		if e.To.Y == y {
			t.events = append(t.events, tracerEvent{e.To.X, e.From, up})
		}
	}
	slices.SortFunc(t.events, func(a, b tracerEvent) int {
		if a.x != b.x {
			return cmp.Compare(a.x, b.x)
		}
		return leaning(Point{a.x, y}, a, b, up)
	})
	slices.SortFunc(level, func(a, b Edge) int {
		return cmp.Compare(min(a.From.X, a.To.X), min(b.From.X, b.To.X))
	})
	for i := 0; i+1 < len(t.events); i += 2 {
		level = t.stretch(t.events[i].x, t.events[i+1].x, y, up, level)
	}
}

// leaning orders two events at one point by where their edges go.
func leaning(at Point, a, b tracerEvent, up bool) int {
	turn := Turn(at, b.far, a.far)
	if !up {
		turn = -turn
	}
	if turn > 0 {
		return -1
	}
	if turn < 0 {
		return 1
	}
	if a.enter == b.enter {
		return 0
	}
	if a.enter {
		return 1 // a closing before an opening on the same line leaves nothing between
	}
	return -1
}

// stretch adds one stretch from x1 to x2, tagged by the level edges on it, and
// gives the level edges that remain.
func (t *tracer) stretch(x1, x2, y Length, up bool, level []Edge) []Edge {
	add := func(a, b Length, tag Tag) {
		if a >= b {
			return
		}
		if up {
			t.edges = append(t.edges, Edge{Point{a, y}, Point{b, y}, tag})
		} else {
			t.edges = append(t.edges, Edge{Point{b, y}, Point{a, y}, tag})
		}
	}
	x := x1
	for len(level) > 0 && max(level[0].From.X, level[0].To.X) <= x2 {
		a, b := min(level[0].From.X, level[0].To.X), max(level[0].From.X, level[0].To.X)
		add(x, min(max(a, x), x2), Cut)
		add(max(a, x), b, level[0].Tag)
		x, level = max(x, b), level[1:]
	}
	add(x, x2, Cut)
	return level
}
