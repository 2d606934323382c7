package picture

import (
	"math"

	"coilwright/colour"
	"coilwright/photo"
)

// frontNear is how what stands in front looks near a pixel that it shares with cladding:
// what its share of the pixel is held to. The rest of what a pixel shows beside the old
// cladding's part is the mask's error: a bright rim on leaves where a pale wall was.
type frontNear struct {
	mean, spread colour.Linear
	seen         bool
}

// Bounds of what is near, in pixels, and of how much it may differ: in spreads, and in
// light, for noise (assumed).
const (
	frontReach  = 3
	frontSpread = 1.5
	frontNoise  = 0.01
)

// near looks around pixel (u, v) at what has no cladding, nor has any neighbour: nearer
// pixels count more.
func (c *cutter) near(u, v int, share func(u, v int) uint8) (f frontNear) {
	r := c.p.photo.Image.Rect.Inset(1)
	var square colour.Linear
	n := 0.0
	for y := max(r.Min.Y, v-frontReach); y <= min(r.Max.Y-1, v+frontReach); y++ {
		for x := max(r.Min.X, u-frontReach); x <= min(r.Max.X-1, u+frontReach); x++ {
			if max(share(x, y), share(x-1, y), share(x+1, y), share(x, y-1), share(x, y+1)) > 0 {
				continue
			}
			w := 1 / float64((x-u)*(x-u)+(y-v)*(y-v))
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

// hold keeps a part's front to what is near, more narrowly to the old cladding's side.
// Along the field's own edges what stands in front may be in shadow, all its colours alike:
// there the cladding, casings and the foundation shade one another.
func (f frontNear) hold(p *part, was colour.Linear, edge bool) {
	if !f.seen {
		return
	}
	full := 4095 * (1 - float64(p.share)/255)
	if edge {
		front := colour.Linear{float64(p.front[0]), float64(p.front[1]), float64(p.front[2])}.Scale(1 / full)
		f.mean = f.mean.Scale(min(1, front.Luminance()/max(1e-6, f.mean.Luminance())))
	}
	for k, mean := range f.mean {
		off := frontSpread*f.spread[k] + frontNoise
		low, high := mean-off, mean+off
		if was[k] > mean {
			low -= off
		} else {
			high += off
		}
		p.front[k] = uint16(full * min(high, 1, max(low, 0, float64(p.front[k])/full)))
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
