package picture

import (
	"math"

	"coilwright/colour"
	"coilwright/photo"
)

// frontNear is how what stands in front looks near a pixel that it shares with cladding.
// The rest of what a pixel shows beside the old cladding's part is the front's own, but for
// the photo's noise and the mask's error: a bright rim on leaves where a pale wall was.
type frontNear struct {
	mean, spread colour.Linear
	seen         bool
	edge         bool // nothing but cladding is near as well: a clear edge of what stands in front
}

// frontReach is how far what is near may lie, in pixels, and frontDeviation that of the
// Gaussian by which nearer pixels count more.
const (
	frontReach     = 3
	frontDeviation = 1.5
)

// near looks around pixel (u, v) at what has no cladding.
func (c *cutter) near(u, v int, share func(u, v int) uint8) (f frontNear) {
	r := c.p.photo.Image.Rect
	var square colour.Linear
	n := 0.0
	for y := max(r.Min.Y, v-frontReach); y <= min(r.Max.Y-1, v+frontReach); y++ {
		for x := max(r.Min.X, u-frontReach); x <= min(r.Max.X-1, u+frontReach); x++ {
			if k := share(x, y); k > 0 {
				f.edge = f.edge || k == 255 && max(x-u, u-x, y-v, v-y) < frontReach
				continue
			}
			w := math.Exp(-float64((x-u)*(x-u)+(y-v)*(y-v)) / (2 * frontDeviation * frontDeviation))
			n += w
			for k, l := range c.pixels.at(x, y) {
				f.mean[k] += w * l
				square[k] += w * l * l
			}
		}
	}
	if n == 0 {
		return f
	}
	for k := range f.mean {
		f.mean[k] /= n
		f.spread[k] = math.Sqrt(max(0, square[k]/n-f.mean[k]*f.mean[k]))
	}
	f.seen = true
	return f
}

// Errors of light: of the old cladding's as it was found, of the front's mean beside its
// spread, as shares, and of the photo's pixel (assumed).
const (
	wasError   = 0.2
	meanError  = 0.1
	pixelError = 0.02
)

// weigh takes the mean of two guesses at a part's front, what the pixel shows beside the
// old cladding's part and what is near, by the inverse of the squares of their errors.
func (f frontNear) weigh(p *part, was colour.Linear) {
	if !f.seen {
		return
	}
	clad := float64(p.share) / 255
	square := func(a, b float64) float64 { return a*a + b*b }
	for k, mean := range f.mean {
		shown, near := square(wasError*clad*was[k], pixelError), (1-clad)*(1-clad)*square(f.spread[k], meanError*mean)
		w := shown / (shown + near)
		p.front[k] = uint16((1-w)*float64(p.front[k]) + w*4095*(1-clad)*min(1, mean))
	}
}

// Bounds of how much brighter a front may be than what is near: in spreads, and in light,
// for noise (assumed).
const (
	frontSpread = 1.5
	frontNoise  = 0.01
)

// hold keeps a part's front from being brighter than what is near, more narrowly where the
// old cladding is brighter than that, and gives it the colours of what is near: in a photo's file
// they run from the old cladding into it. It may be in shadow: inside a shrub, or along the
// field's own edges, where the cladding, casings and the foundation shade one another.
func (f frontNear) hold(p *part, was colour.Linear) {
	mean := f.mean.Luminance()
	if !f.seen || mean < 1e-4 {
		return
	}
	off := frontSpread*f.spread.Luminance() + frontNoise
	if was.Luminance() < mean {
		off *= 2
	}
	full := 4095 * (1 - float64(p.share)/255)
	shown := colour.Linear{float64(p.front[0]), float64(p.front[1]), float64(p.front[2])}.Luminance()
	by := min(shown, full*(mean+off)) / mean
	for k, v := range f.mean {
		p.front[k] = uint16(min(full, by*v))
	}
}

// along says whether a pixel lies within two pixels of an edge of a wall's field.
func (c *cutter) along(d *daylight, u, v int) bool {
	at := func(u, v float64) XY {
		x, y, _ := c.p.photo.Camera.OnPlane(photo.Pixel{U: u, V: v}, d.wall.Plane)
		return XY{x, y}
	}
	p := at(float64(u)+0.5, float64(v)+0.5)
	right, down := at(float64(u)+1.5, float64(v)+0.5), at(float64(u)+0.5, float64(v)+1.5)
	for _, r := range d.wall.Field {
		for k, a := range r {
			b := r[(k+1)%len(r)]
			e := unit(a, b)
			across := func(q XY) float64 { return (q.X-a.X)*e.Y - (q.Y-a.Y)*e.X }
			far := 2 * math.Hypot(across(right)-across(p), across(down)-across(p))
			s := (p.X-a.X)*e.X + (p.Y-a.Y)*e.Y
			if math.Abs(across(p)) < far+d.wall.Standoff && s > -far && s < math.Hypot(b.X-a.X, b.Y-a.Y)+far {
				return true
			}
		}
	}
	return false
}
