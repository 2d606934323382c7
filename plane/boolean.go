package plane

import (
	"fmt"
	"math"

	"github.com/peterstace/simplefeatures/geom"
)

// Union, Minus and Common are the general booleans of regions. They go through a
// well-kept library that works in floats, exact for coordinates on the grid; where
// slanted edges cross, the new corner is rounded to the nearest nanometre.

// What lies clear of b's box is set apart and does not go through the library: it
// stays as it is in a without b, and has no part in what both share.

// Minus gives a without b.
func Minus(a, b Region) (Region, error) {
	if len(a) == 0 || len(b) == 0 {
		return a, nil
	}
	near, out, holes := a.setApart(b.Box())
	if len(near) > 0 {
		left, err := overlay(geom.Difference, near, b)
		if err != nil {
			return nil, err
		}
		out = append(out, left...)
	}
	out.addHoles(holes)
	return out, nil
}

// Common gives what lies in both a and b.
func Common(a, b Region) (Region, error) {
	if len(a) == 0 || len(b) == 0 {
		return nil, nil
	}
	near, _, _ := a.setApart(b.Box())
	if len(near) == 0 {
		return nil, nil
	}
	return overlay(geom.Intersection, near, b)
}

// Union gives what lies in any of the polygons, which may overlap.
func Union(polygons []Polygon) (Region, error) {
	gs := make([]geom.Geometry, len(polygons))
	for i, p := range polygons {
		gs[i] = toLibrary(p).AsGeometry()
	}
	g, err := geom.UnionMany(gs)
	if err != nil {
		return nil, fmt.Errorf("union of polygons: %w", err)
	}
	return fromLibrary(g), nil
}

func overlay(op func(a, b geom.Geometry) (geom.Geometry, error), a, b Region) (Region, error) {
	g, err := op(collect(a), collect(b))
	if err != nil {
		return nil, fmt.Errorf("overlay of regions: %w", err)
	}
	return fromLibrary(g), nil
}

func collect(r Region) geom.Geometry {
	ps := make([]geom.Polygon, len(r))
	for i, p := range r {
		ps[i] = toLibrary(p)
	}
	if len(ps) == 1 {
		return ps[0].AsGeometry()
	}
	return geom.NewMultiPolygon(ps).AsGeometry()
}

func toLibrary(p Polygon) geom.Polygon {
	rings := make([][]float64, 0, 1+len(p.Holes))
	for _, r := range append([]Ring{p.Outer}, p.Holes...) {
		c := make([]float64, 0, 2*len(r)+2)
		for i := 0; i <= len(r); i++ {
			q := r[i%len(r)]
			c = append(c, float64(q.X), float64(q.Y))
		}
		rings = append(rings, c)
	}
	return geom.NewPolygonXY(rings...)
}

func fromLibrary(g geom.Geometry) Region {
	var out Region
	for _, d := range g.Dump() {
		if !d.IsPolygon() {
			continue // lines and points that two regions share have no area
		}
		p := d.MustAsPolygon()
		outer := fromRing(p.ExteriorRing(), true)
		if outer == nil {
			continue
		}
		q := Polygon{Outer: outer}
		for i := range p.NumInteriorRings() {
			if h := fromRing(p.InteriorRingN(i), false); h != nil {
				q.Holes = append(q.Holes, h)
			}
		}
		out = append(out, q)
	}
	return out
}

// fromRing rounds to the grid and turns the ring the right way; nil where
// nothing is left of it.
func fromRing(l geom.LineString, ccw bool) Ring {
	c := l.Coordinates()
	var r Ring
	for i := range c.Length() - 1 {
		xy := c.GetXY(i)
		p := Point{Length(math.Round(xy.X)), Length(math.Round(xy.Y))}
		if len(r) == 0 || r[len(r)-1] != p {
			r = append(r, p)
		}
	}
	for len(r) > 1 && r[0] == r[len(r)-1] {
		r = r[:len(r)-1]
	}
	a := r.Area()
	s := wide{a.Hi, a.Lo}.sign()
	if len(r) < 3 || s == 0 {
		return nil
	}
	if (s > 0) != ccw {
		return r.Reversed()
	}
	return r
}
