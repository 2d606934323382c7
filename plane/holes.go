package plane

import (
	"cmp"
	"slices"
)

// Punch gives the outline without the openings (each a simple counter-clockwise
// ring; they may overlap, touch or stick out). An opening that is clear of all
// others and of the outline becomes a hole as it is, and only the rest goes through
// the general booleans. For n edges that overlap little in x the time is
// O(n log n) besides those.
func Punch(outline Ring, openings []Ring) (Region, error) {
	alone := Alone(outline, openings)
	var rest []Polygon
	var holes []Ring
	for i, o := range openings {
		if alone[i] {
			holes = append(holes, o.Reversed())
		} else {
			rest = append(rest, Polygon{Outer: o})
		}
	}
	left := Region{{Outer: outline}}
	if len(rest) > 0 {
		off, err := Union(rest)
		if err != nil {
			return nil, err
		}
		if left, err = Minus(left, off); err != nil {
			return nil, err
		}
	}
	left.addHoles(holes)
	return left, nil
}

// addHoles puts each hole into the polygon around it; the holes cross no ring.
func (g Region) addHoles(holes []Ring) {
	around := make([]int, len(holes))
	for k, h := range holes {
		around[k] = slices.IndexFunc(g, func(p Polygon) bool { return len(g) == 1 || p.encloses(h) })
	}
	for k, h := range holes {
		if p := around[k]; p >= 0 {
			g[p].Holes = append(g[p].Holes, h)
		}
	}
}

// encloses says whether a ring that crosses none of p's lies in p.
func (p Polygon) encloses(r Ring) bool {
	return encloses(p.Outer, r) && !slices.ContainsFunc(p.Holes, func(h Ring) bool { return encloses(h, r) })
}

// Alone says which openings lie inside the outline without meeting it, in boxes
// that no other opening's box meets: these neither stick out nor overlap. Exact for
// simple rings. An opening that is not alone may still be well placed.
func Alone(outline Ring, openings []Ring) []bool {
	type item struct {
		box  Box
		hole int // index of the opening, or -1 for an edge of the outline
		a, b Point
	}
	items := make([]item, 0, len(openings)+len(outline))
	alone := make([]bool, len(openings))
	for i, o := range openings {
		alone[i] = len(o) > 2 && outline.Where(o[0]) == Inside
		items = append(items, item{box: o.Box(), hole: i})
	}
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		items = append(items, item{Ring{a, b}.Box(), -1, a, b})
	}
	slices.SortFunc(items, func(a, b item) int { return cmp.Compare(a.box.Min.X, b.box.Min.X) })
	var active []item
	for _, e := range items {
		keep := active[:0]
		for _, f := range active {
			if f.box.Max.X < e.box.Min.X {
				continue
			}
			keep = append(keep, f)
			switch {
			case !e.box.meets(f.box) || e.hole < 0 && f.hole < 0:
			case e.hole >= 0 && f.hole >= 0:
				alone[e.hole], alone[f.hole] = false, false
			case e.hole >= 0:
				alone[e.hole] = alone[e.hole] && !openings[e.hole].meets(f.a, f.b)
			default:
				alone[f.hole] = alone[f.hole] && !openings[f.hole].meets(e.a, e.b)
			}
		}
		active = append(keep, e)
	}
	return alone
}

// meets says whether the two closed boxes share a point.
func (b Box) meets(c Box) bool {
	return b.Min.X <= c.Max.X && c.Min.X <= b.Max.X && b.Min.Y <= c.Max.Y && c.Min.Y <= b.Max.Y
}

// meets says whether an edge of r shares a point with the segment from a to b.
func (r Ring) meets(a, b Point) bool {
	for i, p := range r {
		if meet(p, r[(i+1)%len(r)], a, b) {
			return true
		}
	}
	return false
}

// setApart takes out of g what lies clear of box: whole polygons, and holes.
func (g Region) setApart(box Box) (near, far Region, holes []Ring) {
	for _, p := range g {
		if !p.Outer.Box().meets(box) {
			far = append(far, p)
			continue
		}
		q := Polygon{Outer: p.Outer}
		for _, h := range p.Holes {
			if h.Box().meets(box) {
				q.Holes = append(q.Holes, h)
			} else {
				holes = append(holes, h)
			}
		}
		near = append(near, q)
	}
	return near, far, holes
}
