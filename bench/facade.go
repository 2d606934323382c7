// Package bench holds the inputs on which speed is measured. Timings are shown
// as growth and as ratios to a peer in the same run, never asserted.
package bench

import (
	"math"

	"coilwright/measure"
	"coilwright/plane"
)

// cover of a double 5 panel.
const cover = 10 * measure.Inch

// Facade is an invented gabled front with n openings in a grid of 8 ft by 10 ft
// bays: windows, of which every third carries a pointed head, every seventh an
// eight-sided shape, and every fifth sits a few inches off the grid. Rings run as
// plane.Bands takes them, outline first.
func Facade(n int) []plane.TaggedRing {
	columns := int(math.Ceil(math.Sqrt(2 * float64(n))))
	rows := (n + columns - 1) / columns
	wide, high := measure.Length(columns)*8*measure.Foot, measure.Length(rows)*10*measure.Foot
	rings := []plane.TaggedRing{tagged(plane.Ring{
		{X: 0, Y: 0}, {X: wide, Y: 0}, {X: wide, Y: high}, {X: wide / 2, Y: high + wide/4}, {X: 0, Y: high},
	}, 0)}
	for i := range n {
		at := plane.Point{
			X: measure.Length(i%columns)*8*measure.Foot + 30*measure.Inch,
			Y: measure.Length(i/columns)*10*measure.Foot + 36*measure.Inch,
		}
		if i%5 == 0 {
			at = at.Add(plane.Point{X: 5 * measure.Sixteenth, Y: 3 * measure.Inch})
		}
		rings = append(rings, tagged(opening(i, at).Reversed(), plane.Tag(i+1)))
	}
	return rings
}

// FacadeWithVents is a Facade of n openings of which half are small: beside each
// window a vent of 4 in by 3 in, which lies inside one course, is a diamond now and
// then, and stands in the same bay.
func FacadeWithVents(n int) []plane.TaggedRing {
	rings := Facade((n + 1) / 2)
	for i := range n / 2 {
		at := rings[1+i].Points.Box().Min.Add(plane.Point{X: -12 * measure.Inch})
		at.Y = (at.Y + measure.Inch).FloorTo(cover) + 2*measure.Inch // course lines stand an inch below whole covers
		const w, h = 4 * measure.Inch, 3 * measure.Inch
		vent := plane.Ring{{}, {X: w}, {X: w, Y: h}, {Y: h}}
		if i%4 == 0 {
			vent = plane.Ring{{X: w / 2}, {X: w, Y: h / 2}, {X: w / 2, Y: h}, {Y: h / 2}}
		}
		for k := range vent {
			vent[k] = vent[k].Add(at)
		}
		rings = append(rings, tagged(vent.Reversed(), plane.Tag(len(rings))))
	}
	return rings
}

// opening gives the outline of opening i with its lower left corner at p.
func opening(i int, p plane.Point) plane.Ring {
	const w, h = 36 * measure.Inch, 54 * measure.Inch
	var r plane.Ring
	switch {
	case i%7 == 0:
		const c = 10 * measure.Inch
		r = plane.Ring{{X: c}, {X: w - c}, {X: w, Y: c}, {X: w, Y: h - c}, {X: w - c, Y: h}, {X: c, Y: h}, {Y: h - c}, {Y: c}}
	case i%3 == 0:
		r = plane.Ring{{}, {X: w}, {X: w, Y: h - 12*measure.Inch}, {X: w / 2, Y: h}, {Y: h - 12*measure.Inch}}
	default:
		r = plane.Ring{{}, {X: w}, {X: w, Y: h}, {Y: h}}
	}
	for k := range r {
		r[k] = r[k].Add(p)
	}
	return r
}

func tagged(r plane.Ring, tag plane.Tag) plane.TaggedRing {
	tags := make([]plane.Tag, len(r))
	for i := range tags {
		tags[i] = tag
	}
	return plane.TaggedRing{Points: r, Tags: tags}
}

// Lines gives the level lines of all courses over the rings, from a datum an inch
// below their lowest point.
func Lines(rings []plane.TaggedRing) []plane.Length {
	box := rings[0].Points.Box()
	var lines []plane.Length
	for y := box.Min.Y - measure.Inch; ; y += cover {
		lines = append(lines, y)
		if y >= box.Max.Y {
			return lines
		}
	}
}
