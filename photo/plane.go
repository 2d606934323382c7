package photo

// Plane is the face of a wall in the world: its (0, 0) and its directions of x
// (level, to the right seen from outside) and y (up), square to each other and of
// length 1. Wall coordinates are inches, as in a job's outlines.
type Plane struct{ Origin, X, Y Vec }

// At gives the world's place of the wall's (x, y).
func (p Plane) At(x, y float64) Vec { return p.Origin.Add(p.X.Scale(x)).Add(p.Y.Scale(y)) }

// Off gives the place depth inches out of the wall from (x, y): towards the
// viewer where depth is positive, as a panel's butt stands; into it where
// negative.
func (p Plane) Off(x, y, depth float64) Vec { return p.At(x, y).Add(p.Normal().Scale(depth)) }

// Normal points out of the wall, towards whoever looks at it from outside.
func (p Plane) Normal() Vec { return p.X.Cross(p.Y) }

// Place gives the wall coordinates of the world's place, dropped square on to
// the wall.
func (p Plane) Place(at Vec) (x, y float64) {
	d := at.Sub(p.Origin)
	return d.Dot(p.X), d.Dot(p.Y)
}

// OnPlane gives the wall coordinates (inches) of what the pixel shows of the
// wall; ok is false where the pixel's ray does not meet the wall's front.
func (c Camera) OnPlane(at Pixel, wall Plane) (x, y float64, ok bool) {
	ray, ok := c.Ray(at)
	if !ok {
		return 0, 0, false
	}
	centre := c.Centre()
	towards := -ray.Dot(wall.Normal())
	away := centre.Sub(wall.Origin).Dot(wall.Normal())
	if towards <= 0 || away <= 0 {
		return 0, 0, false
	}
	x, y = wall.Place(centre.Add(ray.Scale(away / towards)))
	return x, y, true
}

// Homography is a 3 x 3 map of the plane by rows, up to scale.
type Homography [3]Vec

// Apply maps (x, y); what lies on the horizon comes out infinite or NaN.
func (h Homography) Apply(x, y float64) (float64, float64) {
	p := Vec{x, y, 1}
	w := h[2].Dot(p)
	return h[0].Dot(p) / w, h[1].Dot(p) / w
}

// WallToPicture gives the homography from the wall's coordinates (inches) to
// pixels without distortion: Lens.Distorted leads from there to the picture.
func (c Camera) WallToPicture(wall Plane) Homography {
	x, y, o := c.R.Apply(wall.X), c.R.Apply(wall.Y), c.R.Apply(wall.Origin).Add(c.T)
	row := func(f, centre float64, pick func(Vec) float64) Vec {
		mix := func(v Vec) float64 { return f*pick(v) + centre*v.Z }
		return Vec{mix(x), mix(y), mix(o)}
	}
	return Homography{
		row(c.Focal, c.CX, func(v Vec) float64 { return v.X }),
		row(c.Focal, c.CY, func(v Vec) float64 { return v.Y }),
		{x.Z, y.Z, o.Z},
	}
}
