package plane

import (
	"math"
	"slices"
)

// Tag says where an edge comes from; callers choose the numbers. Tags below zero
// are the package's own.
type Tag int32

// Tags of edges that no source explains: NoTag, and Cut for a line between bands.
const (
	NoTag Tag = -1
	Cut   Tag = -2
)

// Edge is a directed line with the inside on its left.
type Edge struct {
	From, To Point
	Tag      Tag
}

// TaggedRing is a ring of which every edge knows its source: Tags[i] belongs to
// the edge from Points[i] to Points[i+1].
type TaggedRing struct {
	Points Ring
	Tags   []Tag
}

// Edge gives edge i.
func (r TaggedRing) Edge(i int) Edge {
	return Edge{r.Points[i], r.Points[(i+1)%len(r.Points)], r.Tags[i]}
}

// Tagger finds the source of an edge among known ones.
type Tagger struct {
	sources      []Edge
	byFrom, byTo []int32 // indexes of sources, by their first and by their last point
}

// NewTagger prepares sources; where several explain an edge the earlier wins.
func NewTagger(sources []Edge) *Tagger {
	t := &Tagger{sources, make([]int32, len(sources)), make([]int32, len(sources))}
	for i := range sources {
		t.byFrom[i], t.byTo[i] = int32(i), int32(i)
	}
	slices.SortFunc(t.byFrom, func(a, b int32) int { return comparePoints(sources[a].From, sources[b].From) })
	slices.SortFunc(t.byTo, func(a, b int32) int { return comparePoints(sources[a].To, sources[b].To) })
	return t
}

// Tag names the source on which the directed edge from p to q lies, or NoTag.
// Points that were rounded to the grid may stand two nanometres off their line.
func (t *Tagger) Tag(p, q Point) Tag {
	best := int32(len(t.sources))
	at, _ := slices.BinarySearchFunc(t.byFrom, p, func(i int32, p Point) int { return comparePoints(t.sources[i].From, p) })
	for ; at < len(t.byFrom) && t.sources[t.byFrom[at]].From == p; at++ {
		best = t.better(best, t.byFrom[at], p, q)
	}
	at, _ = slices.BinarySearchFunc(t.byTo, q, func(i int32, q Point) int { return comparePoints(t.sources[i].To, q) })
	for ; at < len(t.byTo) && t.sources[t.byTo[at]].To == q; at++ {
		best = t.better(best, t.byTo[at], p, q)
	}
	if int(best) < len(t.sources) {
		return t.sources[best].Tag
	}
	for _, s := range t.sources {
		if onEdge(s, p, q) {
			return s.Tag
		}
	}
	return NoTag
}

func (t *Tagger) better(best, i int32, p, q Point) int32 {
	if i < best && onEdge(t.sources[i], p, q) {
		return i
	}
	return best
}

// Ring tags every edge of r.
func (t *Tagger) Ring(r Ring) TaggedRing {
	out := TaggedRing{r, make([]Tag, len(r))}
	for i, p := range r {
		out.Tags[i] = t.Tag(p, r[(i+1)%len(r)])
	}
	return out
}

// rounding is how far a point rounded to the grid, from a line whose ends were
// rounded too, can stand off that line.
const rounding = 2

// onEdge says whether p to q lies along s and runs the same way.
func onEdge(s Edge, p, q Point) bool {
	d, e := s.To.Sub(s.From), q.Sub(p)
	if dot(d, e).sign() <= 0 {
		return false
	}
	if !nearBox(s, p) || !nearBox(s, q) {
		return false
	}
	if d.X == 0 || d.Y == 0 {
		return true
	}
	long := abs(d.X) + abs(d.Y)
	limit := float64(rounding) * float64(long)
	return math.Abs(Cross(d, p.Sub(s.From))) <= limit && math.Abs(Cross(d, q.Sub(s.From))) <= limit
}

func nearBox(s Edge, p Point) bool {
	return p.X >= min(s.From.X, s.To.X)-rounding && p.X <= max(s.From.X, s.To.X)+rounding &&
		p.Y >= min(s.From.Y, s.To.Y)-rounding && p.Y <= max(s.From.Y, s.To.Y)+rounding
}

func abs(l Length) Length { return l.Abs() }
