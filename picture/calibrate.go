package picture

import (
	"image"
	"math"

	"coilwright/colour"
	"coilwright/photo"
)

// calibrate brings the light to what the references say: shaded ones give the
// ambient light, lit ones, less that, the sun, which is one for all walls but for
// the angle at which it meets them. Without references the cladding's own colour
// has to serve.
func calibrate(p *Photo, pixels *decoded, out []*daylight) {
	lit, shaded := reference(p, pixels, out)
	for c := range 3 {
		amb, ok := shaded.mean(c)
		if !ok { // what the old cladding's colour is off by, its shade is off by too
			amb, ok = lit.full(c)
		}
		if ok {
			for _, d := range out {
				d.light.sky[c] *= amb
				d.light.ground[c] *= amb
			}
		}
	}
	one := oneSun(out)
	for c := range 3 {
		if s, ok := lit.sun(out, c); ok {
			one[c] = s
		}
	}
	for _, d := range out {
		if d.sunny() {
			d.sun = one.Scale(d.towards.Z)
		}
	}
}

// oneSun is the sun square on, the mean over the walls that it reaches by their
// samples' number.
func oneSun(out []*daylight) (one colour.Linear) {
	n := 0.0
	for _, d := range out {
		if d.sunny() {
			w := float64(len(d.shine)) * d.towards.Z
			one = one.Plus(d.sun.Scale(w / d.towards.Z))
			n += w
		}
	}
	return one.Scale(1 / max(1e-9, n))
}

// told is what one reference pixel says: light on white at a place of a wall.
type told struct {
	wall *daylight
	at   XY
	v    colour.Linear
}

type tales []told

// reference sorts the reference pixels into lit and shaded ones.
func reference(p *Photo, pixels *decoded, out []*daylight) (lit, shaded tales) {
	for _, r := range p.References {
		for _, at := range r.Pixels {
			d, x, y := nearestWall(p, out, at)
			if d == nil || !(image.Point{int(at.U), int(at.V)}).In(p.Image.Rect.Inset(1)) {
				continue
			}
			t := told{d, XY{x, y}, pixels.between(at).Over(r.Known)}
			plain := d.plain(x, y)
			full := plain.Plus(d.sun)
			if d.sunny() && t.v.Luminance() > math.Sqrt(full.Luminance()*plain.Luminance()) {
				lit = append(lit, t)
			} else {
				shaded = append(shaded, t)
			}
		}
	}
	return lit, shaded
}

// mean is how bright shaded references are beside the ambient light found.
func (all tales) mean(c int) (float64, bool) {
	var sum float64
	for _, t := range all {
		sum += t.v[c] / max(1e-6, t.wall.plain(t.at.X, t.at.Y)[c])
	}
	return sum / max(1, float64(len(all))), len(all) > 0
}

// full is how bright lit references are beside all the light found.
func (all tales) full(c int) (float64, bool) {
	var told, found float64
	for _, t := range all {
		told += t.v[c]
		found += t.wall.plain(t.at.X, t.at.Y)[c] + t.wall.sun[c]
	}
	return told / max(1e-6, found), len(all) > 0
}

// sun is the sun square on that lit references tell.
func (all tales) sun(out []*daylight, c int) (float64, bool) {
	var sum, n float64
	for _, t := range all {
		sum += max(0, t.v[c]-t.wall.plain(t.at.X, t.at.Y)[c])
		n += t.wall.towards.Z
	}
	return sum / max(1e-9, n), len(all) > 0
}

// nearestWall finds the wall that a pixel shows, casings and boards included.
func nearestWall(p *Photo, out []*daylight, at photo.Pixel) (*daylight, float64, float64) {
	var best *daylight
	var bx, by float64
	nearest := math.Inf(1)
	for _, d := range out {
		x, y, ok := p.Camera.OnPlane(at, d.wall.Plane)
		if !ok || !inside([]Ring{d.wall.Outline}, x, y) {
			continue
		}
		if t := d.wall.Plane.At(x, y).Sub(p.Camera.Centre()).Len(); t < nearest {
			best, bx, by, nearest = d, x, y, t
		}
	}
	return best, bx, by
}
