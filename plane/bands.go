package plane

import (
	"cmp"
	"math/bits"
	"slices"
)

// Part is one connected piece of a region inside one band. Parts that meet only
// in points are separate. Outer runs counter-clockwise, Holes clockwise.
type Part struct {
	Band  int // between lines[Band] and lines[Band+1]
	Outer TaggedRing
	Holes []TaggedRing
}

// Bands cuts a region, given as rings with the inside on their left, at level
// lines (ascending) into the connected parts of each band, in order of band and
// then from left to right. What lies below the first or above the last line is
// left out. New edges along lines carry the tag Cut; all others keep theirs.
//
// The parts tile the region: a crossing of a slanted edge with a line is rounded
// to the nearest nanometre once, the same for both bands that share it, so no gap
// and no overlap can arise; an edge moves by half a nanometre at most.
//
// Method: every edge is split at the lines that it crosses; along each line the
// crossings sorted by x pair up into stretches with the inside above, or below;
// edges and stretches of a band chain into rings, at a point where several meet
// by the narrowest left turn. For n edges and k crossings of lines the time is
// O((n + k) log (n + k)).
func Bands(rings []TaggedRing, lines []Length) []Part {
	if len(lines) < 2 {
		return nil
	}
	s := newStrips(rings, lines)
	var t tracer
	var parts []Part
	for b := range s.bands {
		parts = t.trace(parts, b, s.band(b), lines[b], lines[b+1])
	}
	return parts
}

// strips holds the edges of all bands, band by band.
type strips struct {
	edges []Edge
	bands [][2]int // first and end index into edges
}

func (s *strips) band(b int) []Edge { return s.edges[s.bands[b][0]:s.bands[b][1]] }

// newStrips splits every edge at the lines.
func newStrips(rings []TaggedRing, lines []Length) *strips {
	n := len(lines) - 1
	s := &strips{bands: make([][2]int, n)}
	count := make([]int, n+1)
	each(rings, lines, func(b int, _ Edge) { count[b]++ })
	total := 0
	for b := range n {
		s.bands[b] = [2]int{total, total}
		total += count[b]
	}
	s.edges = make([]Edge, total)
	each(rings, lines, func(b int, e Edge) {
		s.edges[s.bands[b][1]] = e
		s.bands[b][1]++
	})
	return s
}

// each calls f for every stretch of every edge in every band. A level edge on a
// line belongs to the band on its inner side.
func each(rings []TaggedRing, lines []Length, f func(b int, e Edge)) {
	for _, r := range rings {
		for i := range r.Points {
			e := r.Edge(i)
			if e.From.Y == e.To.Y {
				if b := levelBand(e, lines); b >= 0 && b < len(lines)-1 && e.From != e.To {
					f(b, e)
				}
				continue
			}
			split(e, lines, f)
		}
	}
}

func levelBand(e Edge, lines []Length) int {
	at, on := slices.BinarySearch(lines, e.From.Y)
	if on && e.To.X > e.From.X {
		return at
	}
	return at - 1
}

// split cuts a slanted or upright edge at the lines between its ends.
func split(e Edge, lines []Length, f func(b int, e Edge)) {
	low, high := e.From, e.To
	up := high.Y > low.Y
	if !up {
		low, high = high, low
	}
	b, on := slices.BinarySearch(lines, low.Y)
	if !on {
		b--
	}
	from := low
	for from.Y < high.Y {
		to := high
		if b+1 < len(lines) && lines[b+1] < high.Y {
			to = Point{AtHeight(low, high, lines[b+1]), lines[b+1]}
		}
		if b >= 0 && b < len(lines)-1 {
			if up {
				f(b, Edge{from, to, e.Tag})
			} else {
				f(b, Edge{to, from, e.Tag})
			}
		}
		from = to
		b++
	}
}

// AtHeight gives the x of the line through low and high (low.Y < high.Y) at y,
// which lies between them, rounded to the nearest nanometre (halves up).
func AtHeight(low, high Point, y Length) Length {
	dx, dy, t := high.X-low.X, uint64(high.Y-low.Y), uint64(y-low.Y)
	if dx == 0 {
		return low.X
	}
	negative := dx < 0
	hi, lo := bits.Mul64(uint64(abs(dx)), t)
	half := dy / 2
	if negative {
		half = (dy - 1) / 2 // so that halves go up, not away from zero
	}
	lo, carry := bits.Add64(lo, half, 0)
	q, _ := bits.Div64(hi+carry, lo, dy)
	if negative {
		return low.X - Length(q)
	}
	return low.X + Length(q)
}

// tracer chains the edges of one band after another into rings; it only keeps
// its memory between them.
type tracer struct {
	edges  []Edge
	events []event
	used   []bool
}

// event is an end of an edge on a line: x there, and the edge's other end.
type event struct {
	x     Length
	far   Point
	enter bool // going right, the inside begins here
}

func (t *tracer) trace(parts []Part, band int, given []Edge, low, high Length) []Part {
	if len(given) == 0 && low >= high {
		return parts
	}
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
	return t.chain(parts, band)
}

// stretches adds the edges along one line: the inside is above it where up.
func (t *tracer) stretches(edges, level []Edge, y Length, up bool) {
	t.events = t.events[:0]
	for _, e := range edges {
		if e.From.Y == y {
			t.events = append(t.events, event{e.From.X, e.To, !up})
		}
		if e.To.Y == y {
			t.events = append(t.events, event{e.To.X, e.From, up})
		}
	}
	slices.SortFunc(t.events, func(a, b event) int {
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
func leaning(at Point, a, b event, up bool) int {
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
