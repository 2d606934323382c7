package trim

import (
	"cmp"
	"slices"

	"coilwright/house"
	"coilwright/measure"
)

// joinedEdges lists the edges that a corner of the house names.
func joinedEdges(h house.House) map[house.EdgeRef]bool {
	out := map[house.EdgeRef]bool{}
	for _, c := range h.Corners {
		for _, e := range c.Between {
			out[e] = true
		}
	}
	return out
}

// unjoined is the note of a corner edge that no corner of the house names.
const unjoined = "no other wall is joined here, so it counts on its own; if two walls share the post, join them in house.corners"

// posts counts corner posts: one for each corner of the house, over all heights at
// which either of its two walls is clad or has a frieze; and one for each corner
// edge that no corner names.
func (t *bill) posts() {
	for _, c := range t.h.Corners {
		a, b := c.Between[0], c.Between[1]
		if !t.exists(a) || !t.exists(b) {
			continue
		}
		heights := union(append(t.cladHeights(a), t.cladHeights(b)...))
		t.post(c.Outside, a.Wall, edgeName(t.h, a)+" + "+edgeName(t.h, b), "", heights)
	}
	for i, w := range t.h.Walls {
		for j, kind := range w.Edges[:min(len(w.Edges), len(w.Outline))] {
			e := house.EdgeRef{Wall: i, Edge: j}
			if t.joined[e] || kind != house.OutsideCorner && kind != house.InsideCorner {
				continue
			}
			t.post(kind == house.OutsideCorner, i, edgeName(t.h, e), unjoined, union(t.cladHeights(e)))
		}
	}
}

func (t *bill) exists(e house.EdgeRef) bool {
	if e.Wall < 0 || e.Wall >= len(t.h.Walls) || e.Edge < 0 {
		return false
	}
	w := t.h.Walls[e.Wall]
	return e.Edge < len(w.Outline) && e.Edge < len(w.Edges)
}

// reach is a stretch of heights; walls share one level line.
type reach struct{ low, high measure.Length }

// cladHeights gives where an edge has cladding or frieze beside it.
func (t *bill) cladHeights(e house.EdgeRef) []reach {
	var out []reach
	for _, b := range t.walls[e.Wall] {
		if b.of.thing == wallEdge && b.of.edge == e.Edge {
			p, q := b.point(b.low).Y, b.point(b.high).Y
			out = append(out, reach{min(p, q), max(p, q)})
		}
	}
	return out
}

func union(in []reach) []reach {
	slices.SortFunc(in, func(a, b reach) int { return cmp.Compare(a.low, b.low) })
	var out []reach
	for _, r := range in {
		if n := len(out); n > 0 && r.low-out[n-1].high <= rounding {
			out[n-1].high = max(out[n-1].high, r.high)
			continue
		}
		out = append(out, r)
	}
	return out
}

// post puts one post and its flat embossed strip on the bill; nothing where nothing
// is clad beside it.
func (t *bill) post(outside bool, wall int, from, note string, heights []reach) {
	var runs []measure.Length
	for _, r := range heights {
		if r.high > r.low {
			runs = append(runs, r.high-r.low)
		}
	}
	if len(runs) == 0 {
		return
	}
	k := InsidePost
	if outside {
		k = OutsidePost
	}
	l := t.add(k, wall, from, runs...)
	l.Count = 1
	l.Note = note
	t.flat(wall, from, *l)
}

// flat is the strip that a post is bent from: its length with the laps, so that
// the coil plan takes what is really formed. A brake takes its own length; without
// one the post's stock length stands.
func (t *bill) flat(wall int, from string, post Line) {
	width := t.b.Trim.PostFlat
	if width <= 0 {
		return
	}
	runs := slices.Clone(post.Runs)
	switch brake, lap := t.b.Trim.BrakeLength, t.b.Trim.Lap; {
	case brake > lap && lap >= 0:
		for i, r := range runs {
			_, laps := lapped(r, brake, lap)
			runs[i] += laps
		}
	case post.Laps > 0:
		runs[0] += post.Laps
	}
	l := t.add(PostFlat, wall, from, runs...)
	l.Area = rectangle(l.Length, width)
}
