// Package photo takes sizes from photos: the camera and its lens, the planes of
// walls, and what marks on a picture say of them, every size with its covariance.
//
// Places in the world are decimal inches in a right-handed frame: X to the right
// along the first wall seen from outside, Y away from its viewer, Z up. Places in
// a picture are pixels: (0, 0) is the picture's top left corner, x to the right,
// y down, the centre of the first pixel (0.5, 0.5). Nothing here is cut from: a
// size becomes a measure.Length only where a person reads it.
package photo

import "math"

// Vec is a place or direction in space, in inches where it is a place.
type Vec struct{ X, Y, Z float64 }

// Add gives v + w.
func (v Vec) Add(w Vec) Vec { return Vec{v.X + w.X, v.Y + w.Y, v.Z + w.Z} }

// Sub gives v - w.
func (v Vec) Sub(w Vec) Vec { return Vec{v.X - w.X, v.Y - w.Y, v.Z - w.Z} }

// Scale gives s v.
func (v Vec) Scale(s float64) Vec { return Vec{s * v.X, s * v.Y, s * v.Z} }

// Dot gives the scalar product.
func (v Vec) Dot(w Vec) float64 { return v.X*w.X + v.Y*w.Y + v.Z*w.Z }

// Cross gives the vector product.
func (v Vec) Cross(w Vec) Vec {
	return Vec{v.Y*w.Z - v.Z*w.Y, v.Z*w.X - v.X*w.Z, v.X*w.Y - v.Y*w.X}
}

// Len gives the Euclidean length.
func (v Vec) Len() float64 { return math.Sqrt(v.Dot(v)) }

// Unit gives v at length 1; the zero vector stays zero.
func (v Vec) Unit() Vec {
	if l := v.Len(); l > 0 {
		return v.Scale(1 / l)
	}
	return v
}

// Rotation is a 3 x 3 rotation matrix by rows.
type Rotation [3]Vec

// Apply gives R v.
func (r Rotation) Apply(v Vec) Vec { return Vec{r[0].Dot(v), r[1].Dot(v), r[2].Dot(v)} }

// Back gives R^T v, which undoes Apply.
func (r Rotation) Back(v Vec) Vec {
	return r[0].Scale(v.X).Add(r[1].Scale(v.Y)).Add(r[2].Scale(v.Z))
}

// Pixel is a place in a picture, in pixels.
type Pixel struct{ U, V float64 }

// Lens is what stays the same whichever way the camera looks: focal length and
// principal point in pixels, and radial distortion (the usual polynomial model,
// Brown 1971): a ray through (x, y, 1) meets the picture at
// (Focal x d + CX, Focal y d + CY), with d = 1 + K1 r^2 + K2 r^4, r^2 = x^2 + y^2.
// Pixels are square.
type Lens struct{ Focal, CX, CY, K1, K2 float64 }

// Camera is a lens and where it stands: a place P of the world lies at R P + T in
// the camera's own frame (x to the right, y down, z forward), in inches.
type Camera struct {
	Lens
	R Rotation
	T Vec
}

// Centre gives where the camera stands in the world, in inches.
func (c Camera) Centre() Vec { return c.R.Back(c.T).Scale(-1) }

// Project gives the pixel at which the world's place p (inches) is seen. It is
// not seen (ok false) where it lies behind the camera or so far outside the view
// that the lens model folds over.
func (c Camera) Project(p Vec) (at Pixel, ok bool) {
	q := c.R.Apply(p).Add(c.T)
	if q.Z <= 0 {
		return Pixel{}, false
	}
	return c.image(q.X/q.Z, q.Y/q.Z)
}

// Ray gives the direction in the world (length 1) in which the pixel is seen. It
// undoes Project; ok is false where no ray leads through the pixel.
func (c Camera) Ray(at Pixel) (direction Vec, ok bool) {
	x, y, ok := c.normalised(at)
	return c.R.Back(Vec{x, y, 1}.Unit()), ok
}

// image distorts the direction (x, y, 1) and gives its pixel.
func (l Lens) image(x, y float64) (Pixel, bool) {
	r2 := x*x + y*y
	d := 1 + r2*(l.K1+r2*l.K2)
	return Pixel{l.Focal*x*d + l.CX, l.Focal*y*d + l.CY}, l.unfolded(r2)
}

// unfolded says that the distorted radius r (1 + K1 r^2 + K2 r^4) still grows with
// r everywhere up to r: its derivative has no root there.
func (l Lens) unfolded(r2 float64) bool {
	slope := func(s float64) float64 { return 1 + s*(3*l.K1+5*s*l.K2) }
	if slope(r2) <= 0 {
		return false
	}
	if l.K2 <= 0 || l.K1 >= 0 {
		return true // no dip between 0 and r2
	}
	lowest := -3 * l.K1 / (10 * l.K2)
	return lowest >= r2 || slope(lowest) > 0
}

// normalised undoes image by Newton's method on the radius: the distorted radius
// grows with the true one up to the fold, and what lies beyond it has no ray.
func (l Lens) normalised(at Pixel) (x, y float64, ok bool) {
	x, y = (at.U-l.CX)/l.Focal, (at.V-l.CY)/l.Focal
	seen := math.Hypot(x, y)
	if seen == 0 || l.K1 == 0 && l.K2 == 0 {
		return x, y, true
	}
	r := seen
	for range 50 {
		r2 := r * r
		step := (r*(1+r2*(l.K1+r2*l.K2)) - seen) / (1 + r2*(3*l.K1+5*r2*l.K2))
		r -= step
		if !(math.Abs(step) > 1e-15*seen) {
			break
		}
	}
	x, y = x*r/seen, y*r/seen
	back := r * (1 + r*r*(l.K1+r*r*l.K2))
	return x, y, r > 0 && l.unfolded(r*r) && math.Abs(back-seen) < 1e-9*seen
}

// Undistorted gives where the pixel would lie were the lens free of distortion;
// ok is false where no ray leads through it.
func (l Lens) Undistorted(at Pixel) (Pixel, bool) {
	x, y, ok := l.normalised(at)
	return Pixel{l.Focal*x + l.CX, l.Focal*y + l.CY}, ok
}

// Distorted undoes Undistorted.
func (l Lens) Distorted(at Pixel) (Pixel, bool) {
	return l.image((at.U-l.CX)/l.Focal, (at.V-l.CY)/l.Focal)
}
