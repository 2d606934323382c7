// Package plane is the geometry of a wall's face: points on the nanometre grid,
// rings, polygons with holes, exact predicates, and regions cut into bands.
//
// Coordinates are integers, so turning, comparing and adding are exact; a float
// appears only where a slanted line meets another line, and its result is rounded
// once, to the nearest nanometre.
package plane

import (
	"math"
	"math/bits"

	"coilwright/measure"
)

// Length is measure.Length, the only kind of coordinate.
type Length = measure.Length

// Point is a place on a wall's face: X to the right, Y up.
type Point struct{ X, Y Length }

// Add moves p by q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub is the vector from q to p.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Ring is a closed line through its points, the last joined to the first.
// Counter-clockwise rings bound from outside, clockwise ones are holes.
type Ring []Point

// Polygon is one connected face with holes. The zero value is empty.
type Polygon struct {
	Outer Ring
	Holes []Ring
}

// Region is polygons whose interiors do not meet.
type Region []Polygon

// Box is an upright rectangle from Min to Max.
type Box struct{ Min, Max Point }

// Width and Height of the box.
func (b Box) Width() Length  { return b.Max.X - b.Min.X }
func (b Box) Height() Length { return b.Max.Y - b.Min.Y }

// Overlaps says whether the two boxes share inner points.
func (b Box) Overlaps(c Box) bool {
	return b.Min.X < c.Max.X && c.Min.X < b.Max.X && b.Min.Y < c.Max.Y && c.Min.Y < b.Max.Y
}

// Box is the smallest upright rectangle around r; the zero box for no points.
func (r Ring) Box() Box {
	if len(r) == 0 {
		return Box{}
	}
	b := Box{r[0], r[0]}
	for _, p := range r[1:] {
		b.Min.X, b.Max.X = min(b.Min.X, p.X), max(b.Max.X, p.X)
		b.Min.Y, b.Max.Y = min(b.Min.Y, p.Y), max(b.Max.Y, p.Y)
	}
	return b
}

// Box is the smallest upright rectangle around all of g.
func (g Region) Box() Box {
	var b Box
	for i, p := range g {
		c := p.Outer.Box()
		if i == 0 {
			b = c
			continue
		}
		b.Min.X, b.Max.X = min(b.Min.X, c.Min.X), max(b.Max.X, c.Max.X)
		b.Min.Y, b.Max.Y = min(b.Min.Y, c.Min.Y), max(b.Max.Y, c.Max.Y)
	}
	return b
}

// wide is a signed 128-bit integer: a product of two lengths and sums of such.
type wide struct {
	hi int64
	lo uint64
}

func product(a, b Length) wide {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	h := int64(hi)
	if a < 0 {
		h -= int64(b)
	}
	if b < 0 {
		h -= int64(a)
	}
	return wide{h, lo}
}

func (a wide) add(b wide) wide {
	lo, carry := bits.Add64(a.lo, b.lo, 0)
	return wide{a.hi + b.hi + int64(carry), lo}
}

func (a wide) sub(b wide) wide {
	lo, borrow := bits.Sub64(a.lo, b.lo, 0)
	return wide{a.hi - b.hi - int64(borrow), lo}
}

func (a wide) sign() int {
	switch {
	case a.hi < 0:
		return -1
	case a.hi == 0 && a.lo == 0:
		return 0
	}
	return 1
}

func (a wide) float() float64 { return float64(a.hi)*math.Exp2(64) + float64(a.lo) }

// cross is the exact vector product a x b.
func cross(a, b Point) wide { return product(a.X, b.Y).sub(product(a.Y, b.X)) }

// dot is the exact scalar product.
func dot(a, b Point) wide { return product(a.X, b.X).add(product(a.Y, b.Y)) }

// Turn is +1 where a, b, c turn left, -1 where they turn right, 0 on a line.
// Exact for every length that a job may hold.
func Turn(a, b, c Point) int { return cross(b.Sub(a), c.Sub(a)).sign() }

// Cross is a x b in square nanometres, to float64 precision.
func Cross(a, b Point) float64 { return cross(a, b).float() }

// Area is the ring's signed area, exact: positive counter-clockwise.
func (r Ring) Area() measure.Area {
	var sum wide
	for i, p := range r {
		sum = sum.add(cross(p.Sub(r[0]), r[(i+1)%len(r)].Sub(r[0])))
	}
	return measure.Area{Hi: sum.hi, Lo: sum.lo}
}

// CounterClockwise says which way r runs; false for a ring without area.
func (r Ring) CounterClockwise() bool {
	a := r.Area()
	return wide{a.Hi, a.Lo}.sign() > 0
}

// AddAreas sums exactly.
func AddAreas(a, b measure.Area) measure.Area {
	s := wide{a.Hi, a.Lo}.add(wide{b.Hi, b.Lo})
	return measure.Area{Hi: s.hi, Lo: s.lo}
}

// Area is the polygon's area less its holes.
func (p Polygon) Area() measure.Area {
	a := p.Outer.Area()
	for _, h := range p.Holes {
		a = AddAreas(a, h.Area())
	}
	return a
}

// Area is the sum over the polygons.
func (g Region) Area() measure.Area {
	var a measure.Area
	for _, p := range g {
		a = AddAreas(a, p.Area())
	}
	return a
}

// Reversed runs the other way round.
func (r Ring) Reversed() Ring {
	out := make(Ring, len(r))
	for i, p := range r {
		out[len(r)-1-i] = p
	}
	return out
}

// Rings lists outer rings and holes.
func (g Region) Rings() []Ring {
	var out []Ring
	for _, p := range g {
		out = append(append(out, p.Outer), p.Holes...)
	}
	return out
}
