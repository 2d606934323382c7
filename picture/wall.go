package picture

import (
	"math"

	"coilwright/photo"
)

// XY is a place on a wall in inches: x to the right seen from outside, y up.
type XY struct{ X, Y float64 }

// Ring is a closed line of places.
type Ring []XY

// Wall is one wall of the photo.
type Wall struct {
	ID string
	// Plane is the wall's face plane in the camera's world: what was marked.
	Plane photo.Plane
	// Standoff is how far that plane lies over the sheathing: the thickness of the
	// casings and corner boards whose corners were marked.
	Standoff float64
	// Outline bounds the wall; Field is where cladding hangs, as rings of which a
	// place lies inside an odd number.
	Outline Ring
	Field   []Ring
	// Overhangs shade the wall from above.
	Overhangs []Overhang
	// Lean is how the lines of old courses rise where the marks have the wall aslant.
	Lean Lean
}

// Lean is a rise along a wall: by Tilt + Skew y for an inch to the right.
type Lean struct{ Tilt, Skew float64 }

// at is how far a line has risen at a place.
func (l Lean) at(x, y float64) float64 { return x * (l.Tilt + l.Skew*y) }

// Overhang is a soffit along an edge of the outline, Depth inches deep.
type Overhang struct {
	From, To XY
	Depth    float64
}

// inside says whether a place lies inside an odd number of the rings.
func inside(rings []Ring, x, y float64) bool {
	in := false
	for _, r := range rings {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			if (a.Y > y) != (b.Y > y) && x < a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y) {
				in = !in
			}
		}
	}
	return in
}

// box bounds the outline.
func (w Wall) box() (low, high XY) {
	low, high = XY{math.Inf(1), math.Inf(1)}, XY{math.Inf(-1), math.Inf(-1)}
	for _, p := range w.Outline {
		low = XY{min(low.X, p.X), min(low.Y, p.Y)}
		high = XY{max(high.X, p.X), max(high.Y, p.Y)}
	}
	return low, high
}

// open is the profile angle of a sky that nothing hides.
const open = math.Pi / 2

// eave is the profile angle, at a place on the wall, of the lowest overhang over it.
func (w Wall) eave(x, y float64) float64 {
	low := open
	for _, o := range w.Overhangs {
		left, right := o.From, o.To
		if left.X > right.X {
			left, right = right, left
		}
		if right.X-left.X < 1e-9 || x < left.X || x > right.X || o.Depth <= 0 {
			continue
		}
		top := left.Y + (right.Y-left.Y)*(x-left.X)/(right.X-left.X)
		low = min(low, math.Atan2(max(0, top-y), o.Depth))
	}
	return low
}

// local turns a direction of the world into the wall's frame: x right, y up, z out.
func (w Wall) local(v photo.Vec) photo.Vec {
	return photo.Vec{X: v.Dot(w.Plane.X), Y: v.Dot(w.Plane.Y), Z: v.Dot(w.Plane.Normal())}
}

// eye is the camera's place in the wall's frame, z over the sheathing.
func (w Wall) eye(c photo.Camera) photo.Vec {
	at := w.local(c.Centre().Sub(w.Plane.Origin))
	at.Z += w.Standoff
	return at
}

// at is the plane that lies depth inches over the sheathing.
func (w Wall) at(depth float64) photo.Plane {
	p := w.Plane
	p.Origin = p.Off(0, 0, depth-w.Standoff)
	return p
}
