package plane

import "math"

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
	sources []Edge
	starts  map[Point][]int
	ends    map[Point][]int
}

// NewTagger prepares sources; where several explain an edge the earlier wins.
func NewTagger(sources []Edge) *Tagger {
	t := &Tagger{sources, make(map[Point][]int, len(sources)), make(map[Point][]int, len(sources))}
	for i, s := range sources {
		t.starts[s.From] = append(t.starts[s.From], i)
		t.ends[s.To] = append(t.ends[s.To], i)
	}
	return t
}

// Tag names the source on which the directed edge from p to q lies, or NoTag.
// Points that were rounded to the grid may stand two nanometres off their line.
func (t *Tagger) Tag(p, q Point) Tag {
	best := -1
	for _, list := range [2][]int{t.starts[p], t.ends[q]} {
		for _, i := range list {
			if (best < 0 || i < best) && onEdge(t.sources[i], p, q) {
				best = i
			}
		}
	}
	if best >= 0 {
		return t.sources[best].Tag
	}
	for _, s := range t.sources {
		if onEdge(s, p, q) {
			return s.Tag
		}
	}
	return NoTag
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
