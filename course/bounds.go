package course

import (
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/steel"
)

// bound is what stands along an edge of a region: a wall's edge, an opening's, the
// frieze's lower line, another zone, or a planned joint.
type bound struct {
	receiver string // key of the shop's receivers, or Joint
	opening  int    // index into the wall's openings, -1 for none
	edge     int    // index of the wall's or opening's edge, -1 for none
}

// Tags of bounds that every wall has.
const (
	zoneTag  plane.Tag = 0
	jointTag plane.Tag = 1
)

// outline is one wall's bounds: tags index into list.
type outline struct {
	list   []bound
	tagger *plane.Tagger
}

// newOutline collects where a wall's receivers stand. The lines under the frieze
// take the receiver of the eave or rake that the frieze follows.
func newOutline(w house.Wall, frieze []friezeStrip) *outline {
	o := &outline{list: []bound{{steel.ZoneEdge, -1, -1}, {Joint, -1, -1}}}
	var sources []plane.Edge
	add := func(from, to plane.Point, b bound) {
		sources = append(sources, plane.Edge{From: from, To: to, Tag: plane.Tag(len(o.list))})
		o.list = append(o.list, b)
	}
	for j, op := range w.Openings {
		n := len(op.Outline)
		for i, p := range op.Outline {
			q := op.Outline[(i+1)%n]
			add(q, p, bound{openingSide(q.Sub(p)), j, i})
		}
	}
	for i, kind := range w.Edges {
		from, to := w.Edge(i)
		add(from, to, bound{string(kind), -1, i})
	}
	for _, f := range frieze {
		add(f.from, f.to, bound{string(w.Edges[f.edge]), -1, f.edge})
	}
	o.tagger = plane.NewTagger(sources)
	return o
}

// openingSide names the receiver of an opening's edge that runs along d, the
// opening on its left: head, sill or side by the axis nearest to its normal.
func openingSide(d plane.Point) string {
	switch {
	case d.Y.Abs() >= d.X.Abs():
		return steel.OpeningSide
	case d.X < 0:
		return steel.OpeningHead
	}
	return steel.OpeningSill
}

// rings tags a region's rings; what no source explains is another zone's edge.
func (o *outline) rings(g plane.Region) []plane.TaggedRing {
	var out []plane.TaggedRing
	for _, r := range g.Rings() {
		t := o.tagger.Ring(r)
		for i, tag := range t.Tags {
			if tag == plane.NoTag {
				t.Tags[i] = zoneTag
			}
		}
		out = append(out, t)
	}
	return out
}

// at gives the bound of an edge; a line between courses has none.
func (o *outline) at(t plane.Tag) (bound, bool) {
	if t < 0 {
		return bound{receiver: Lock, opening: -1, edge: -1}, false
	}
	return o.list[t], true
}

// turned turns rings clockwise by a quarter: (x, y) becomes (y, -x), so that a
// vertical panel's strip runs along x.
func turned(rings []plane.TaggedRing) []plane.TaggedRing {
	out := make([]plane.TaggedRing, len(rings))
	for i, r := range rings {
		out[i] = plane.TaggedRing{Points: make(plane.Ring, len(r.Points)), Tags: r.Tags}
		for j, p := range r.Points {
			out[i].Points[j] = plane.Point{X: p.Y, Y: -p.X}
		}
	}
	return out
}

// span gives the least and greatest y of rings.
func span(rings []plane.TaggedRing) (low, high measure.Length) {
	for i, r := range rings {
		b := r.Points.Box()
		if i == 0 {
			low, high = b.Min.Y, b.Max.Y
		}
		low, high = min(low, b.Min.Y), max(high, b.Max.Y)
	}
	return low, high
}
