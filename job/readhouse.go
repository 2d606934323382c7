package job

import (
	"fmt"

	"coilwright/document"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
)

func (r *reader) house(v document.Value) {
	o := v.Object(houseFields)
	before := r.found.Errors()
	walls := o.Need("walls")
	list := walls.List()
	if walls.IsList() && len(list) == 0 {
		walls.Errorf("add a wall", "the house has no walls")
	}
	r.out.sizes = map[owner][2]house.Pedigree{}
	ids := newIDs("wall")
	for i, w := range list {
		r.out.House.Walls = append(r.out.House.Walls, r.wall(w, i, ids))
	}
	r.lettered = r.found.Errors() == before
	for _, c := range o.Get("corners").List() {
		r.out.House.Corners = append(r.out.House.Corners, r.corner(c))
	}
	r.readings(o.Get("readings"))
	r.photos(o.Get("photos"))
	r.out.Wind = windOf(o.Get("site"))
}

// ids finds equal ids in one list.
type ids struct {
	what string
	seen map[string]document.Value
}

func newIDs(what string) ids { return ids{what, map[string]document.Value{}} }

// take reads the id of entry i of a list; one that may be missing and is becomes
// "#1" and so on.
func (s ids) take(o document.Object, i int, needed bool) string {
	v := o.Get("id")
	if !v.Present() {
		if needed {
			o.Need("id")
		}
		return fmt.Sprintf("#%d", i+1)
	}
	id := v.ID()
	if first, twice := s.seen[id]; twice {
		v.Errorf("give each "+s.what+" an id of its own", "the id %q is also that of %s", id, first.Path())
	} else if id != "" {
		s.seen[id] = v
	}
	return id
}

func (r *reader) wall(v document.Value, i int, ids ids) house.Wall {
	o := v.Object(wallFields)
	w := house.Wall{ID: ids.take(o, i, true), Over: house.Substrate}
	w.Measured = r.measured(o.Get("measured"), house.Unstated)
	w.Outline, w.Readings = r.ring(o.Need("outline"), w.Measured)
	w.Edges = r.edges(o.Need("edges"), len(w.Outline))
	if over := o.Get("over"); over.Present() {
		w.Over = house.Over(over.OneOf("surface that sizes are taken over", overNames))
	}
	if f := o.Get("faces_deg"); f.Present() {
		deg := f.Number(0, 360)
		w.FacesDeg = &deg
	}
	w.Overhang = r.overhang(o.Get("overhang"), w.Edges)
	w.Plumb = r.trueEdges(o.Get("plumb"), w.Outline, 0)
	w.Level = r.trueEdges(o.Get("level"), w.Outline, 1)
	openings := newIDs("opening of a wall")
	for j, p := range o.Get("openings").List() {
		w.Openings = append(w.Openings, r.opening(p, i, j, openings, w.Measured))
	}
	return w
}

// edges reads the kinds of a wall's edges; corners is 0 where the outline could
// not be read.
func (r *reader) edges(v document.Value, corners int) []house.EdgeKind {
	var out []house.EdgeKind
	for _, e := range v.List() {
		if !e.Present() {
			e.Errorf("write the edge's kind", "null stands where an edge kind should")
		}
		out = append(out, house.EdgeKind(e.OneOf("edge kind", edgeNames)))
	}
	if v.IsList() && corners > 0 && len(out) != corners {
		v.Errorf("write one kind for each edge, the first for the edge from the first to the second corner",
			"there are %d edges, the outline has %d corners", len(out), corners)
	}
	return out
}

// leans is how far an edge that is plumb or level may be drawn from it, as run over
// rise (assumed): beyond, another edge is meant.
const leans = 0.1

// trueEdges reads the numbers of edges that are plumb (along 0: both ends at one
// place across) or level (along 1).
func (r *reader) trueEdges(v document.Value, outline plane.Ring, along int) []int {
	var out []int
	word := [2]string{"plumb", "level"}[along]
	for _, e := range v.List() {
		if !e.Present() {
			e.Errorf("write the edge's number", "null stands where an edge's number should")
			continue
		}
		before := r.found.Errors()
		i := e.Int(0, 1<<20)
		switch {
		case r.found.Errors() != before || len(outline) == 0:
		case i >= len(outline):
			e.Errorf("count the edges from 0", "the wall has %d edges, there is no edge %d", len(outline), i)
		default:
			a, b := outline[i], outline[(i+1)%len(outline)]
			off, long := (coordinate(b, along) - coordinate(a, along)).Abs(), (coordinate(b, 1-along) - coordinate(a, 1-along)).Abs()
			if off.Inches() > leans*long.Inches() {
				e.Errorf("name an edge that is drawn nearly "+word, "edge %d is drawn %s off %s", i, off.Text(measure.Imperial), word)
				continue
			}
			out = append(out, i)
		}
	}
	return out
}

// overhang reads one depth for all eaves and rakes, or one for each edge.
func (r *reader) overhang(v document.Value, edges []house.EdgeKind) []measure.Length {
	out := make([]measure.Length, len(edges))
	if !v.IsList() {
		depth := v.Length(document.Depth)
		for i, e := range edges {
			if e == house.Eave || e == house.Rake {
				out[i] = depth
			}
		}
		return out
	}
	list := v.List()
	if len(edges) > 0 && len(list) != len(edges) {
		v.Errorf("write one depth for each edge, 0 where there is none, or one for all", "there are %d overhangs for %d edges", len(list), len(edges))
		return out
	}
	for i := range out {
		out[i] = list[i].Length(document.Depth)
	}
	return out
}

func (r *reader) opening(v document.Value, i, j int, ids ids, wall house.Pedigree) house.Opening {
	o := v.Object(openingFields)
	p := house.Opening{ID: ids.take(o, j, false), Kind: house.Other}
	if k := o.Get("kind"); k.Present() {
		p.Kind = house.OpeningKind(k.OneOf("kind of opening", openingNames))
	}
	p.Measured = r.measured(o.Get("measured"), wall)
	boxed := o.Has("at") || o.Has("size")
	switch {
	case boxed && o.Has("outline"):
		o.Errorf("keep one of the two", "an opening has either at and size or an outline, not both")
	case o.Has("outline"):
		p.Outline, p.Readings = r.ring(o.Get("outline"), p.Measured)
	case boxed:
		var sizes [2]house.Pedigree
		p.Outline, p.Readings, sizes = r.box(o.Need("at"), o.Need("size"), p.Measured)
		r.out.sizes[owner{i, j}] = sizes
	case o.Present():
		o.Errorf("add at (its lower left corner) and size, or an outline", "the opening has no place")
	}
	return p
}

// box reads an upright opening from its lower left corner and its size. Its right
// and top follow from two numbers each and are as good as the worse of them; sizes
// are the pedigrees of its width and height themselves.
func (r *reader) box(at, size document.Value, known house.Pedigree) (ring plane.Ring, corners [][2]house.Pedigree, sizes [2]house.Pedigree) {
	ax, ay := at.Pair()
	sx, sy := size.Pair()
	x, px := r.number(ax, document.Anywhere, known)
	y, py := r.number(ay, document.Anywhere, known)
	w, pw := r.number(sx, document.Size, known)
	h, ph := r.number(sy, document.Size, known)
	sizes = [2]house.Pedigree{pw, ph}
	pw, ph = house.Worse(px, pw), house.Worse(py, ph)
	return plane.Ring{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}},
		[][2]house.Pedigree{{px, py}, {pw, py}, {pw, ph}, {px, ph}}, sizes
}

// ring reads an outline: a list of [x, y].
func (r *reader) ring(v document.Value, known house.Pedigree) (ring plane.Ring, readings [][2]house.Pedigree) {
	list := v.List()
	if v.IsList() && len(list) < 3 {
		v.Errorf("write at least three corners", "an outline of %d corners has no area", len(list))
	}
	for _, c := range list {
		if !c.Present() {
			c.Errorf("write [x, y]", "null stands where a corner should")
		}
		cx, cy := c.Pair()
		x, px := r.number(cx, document.Anywhere, known)
		y, py := r.number(cy, document.Anywhere, known)
		ring = append(ring, plane.Point{X: x, Y: y})
		readings = append(readings, [2]house.Pedigree{px, py})
	}
	return ring, readings
}

// number reads a length that may carry a pedigree of its own:
// {"length": L, "measured": {...}}.
func (r *reader) number(v document.Value, in document.Range, known house.Pedigree) (measure.Length, house.Pedigree) {
	if !v.IsObject() {
		return v.Length(in), known
	}
	o := v.Object(numberFields)
	known = r.measured(o.Get("measured"), known)
	return o.Need("length").Length(in), known
}

// measured reads a pedigree. Without "by" the source is that of what holds the
// number; a source that is named anew takes no plus-minus over from it.
func (r *reader) measured(v document.Value, known house.Pedigree) house.Pedigree {
	if !v.Present() {
		return known
	}
	o := v.Object(measuredFields)
	if by := o.Get("by"); by.Present() {
		known = house.Pedigree{By: house.Source(by.OneOf("source of a measurement", sourceNames)), PlusMinus: -1}
	}
	if pm := o.Get("plus_minus"); pm.Present() {
		known.PlusMinus = pm.Length(document.Depth)
	}
	if a := o.Get("adjusted"); a.Present() {
		known.Adjusted = a.Bool()
	}
	return known
}
