// Package picture shows the owner's own photo of a house wearing a scheme: the
// courses that will be cut, each panel's shape under the photo's own sun and sky,
// and whatever stands in front of the wall still in front.
//
// Light is linear throughout. Lengths are decimal inches: nothing here is cut. A
// wall's frame has x to the right, y up, z out of the wall from its sheathing.
package picture

import (
	"math"
	"slices"

	"coilwright/measure"
	"coilwright/steel"
)

// Place is a point of a cross-section: height Y over the lowest butt, depth Z over
// the sheathing, in inches. For a vertical panel Y runs across the wall.
type Place struct{ Y, Z float64 }

// Face is the visible cross-section of a cladding: Points from Y = 0 to Period,
// rising, with two points of one height at a step. It repeats.
type Face struct {
	Period float64
	Points []Place
}

// FaceOf is the visible face of a shop's panel, arcs flattened to 0.002 in; a plain
// face at 0.3 in where the shop has not drawn the panel.
func FaceOf(p steel.Panel) Face {
	f := Face{Period: p.Cover().Inches()}
	for _, at := range p.Face(measure.Inch / 500) {
		f.Points = append(f.Points, Place{at.Height.Inches(), at.Depth.Inches()})
	}
	if len(f.Points) == 0 {
		f.Points = []Place{{0, 0.3}, {f.Period, 0.3}}
	}
	return f
}

func (f Face) equal(g Face) bool { return f.Period == g.Period && slices.Equal(f.Points, g.Points) }

// Bevel is a regular lap: a straight board from its butt's depth to its top's.
func Bevel(exposure, butt, top float64) Face {
	return Face{Period: exposure, Points: []Place{{0, butt}, {exposure, top}}}
}

// front is how far the face stands out at most.
func (f Face) front() float64 {
	_, high := f.Depths()
	return high
}

// edge is one straight stretch of a face in its first period; the last one is the
// step to the next period, where there is one.
type edge struct {
	from, to Place
	ny, nz   float64 // outward normal, length 1
}

// edges lists the stretches of one period.
func (f Face) edges() []edge {
	points := append(append([]Place(nil), f.Points...), Place{f.Period + f.Points[0].Y, f.Points[0].Z})
	var out []edge
	for i := 0; i+1 < len(points); i++ {
		a, b := points[i], points[i+1]
		l := math.Hypot(b.Y-a.Y, b.Z-a.Z)
		if l > 1e-9 {
			out = append(out, edge{a, b, -(b.Z - a.Z) / l, (b.Y - a.Y) / l})
		}
	}
	return out
}

// Depths are the least and the most depth of the face.
func (f Face) Depths() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range f.Points {
		low, high = min(low, p.Z), max(high, p.Z)
	}
	return low, high
}
