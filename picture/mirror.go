package picture

import (
	"math"

	"coilwright/colour"
	"coilwright/photo"
)

// Bounds of what of a photo is taken for clear sky (assumed): how far over the horizon, in
// radians, how much bluer than red and green, how many places looked at must show it.
const (
	skyOver    = 5 * math.Pi / 180
	skyToRed   = 1.4
	skyToGreen = 1.15
	leastSky   = 200
)

// skyTint is how much of the mirrored sky's colour is that of the clear sky shown; the rest
// is clouds and haze elsewhere, of the colour of the shade (assumed; the open scenes are
// met best with most of it).
const skyTint = 0.7

// mirroredSky is the mean light of the sky in front of a wall, as it is mirrored: as bright
// as shaded walls tell, but of the colour of the clear sky that the photo shows, since they
// tell it mixed with what trees and the glow around the sun send. Where the photo shows too
// little of it that mixture has to do.
func (d *daylight) mirroredSky(p *Photo, pixels *decoded) colour.Linear {
	var all []colour.Linear
	b := p.Image.Rect
	step, s := max(1, b.Dx()/200), p.visibility()
	for y := b.Min.Y; y < b.Max.Y && d.towards.Len() > 0; y += step {
		for x := b.Min.X; x < b.Max.X; x += step {
			c := pixels.at(x, y)
			if c[2] < skyToRed*c[0] || c[2] < skyToGreen*c[1] || s.wallAt(x, y) >= 0 {
				continue
			}
			ray, ok := p.Camera.Ray(photo.Pixel{U: float64(x) + 0.5, V: float64(y) + 0.5})
			to := d.wall.local(ray).Unit()
			if el := math.Asin(to.Y); ok && el > skyOver {
				all = append(all, c.Scale(1/(d.dome.unit*radiance(el, to, d.towards))))
			}
		}
	}
	if len(all) < leastSky {
		return d.light.sky
	}
	shown := quantiles(all, 0.5)
	bright := d.light.sky.Luminance()
	return d.light.sky.Scale(1 - skyTint).Plus(shown.Scale(skyTint * bright / max(1e-6, shown.Luminance())))
}
