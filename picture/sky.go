package picture

import (
	"math"

	"coilwright/colour"
	"coilwright/photo"
)

// angles is how many profile angles the light around a wall is gathered into.
// A profile angle is a direction dropped on to a cross-section: -90 degrees straight
// down along the wall, 0 square out of it, 90 straight up.
const angles = 60

// profileAngle is the middle of bin k, in radians.
func profileAngle(k int) float64 { return (float64(k)+0.5)/angles*math.Pi - math.Pi/2 }

// dome is the light around a wall by profile angle: for a strip that is the same
// all along, the irradiance on a normal at angle a is the sum over the visible bins
// of cos(angle - a) x what stands here. Sky and Ground are for radiance of mean 1.
type dome struct {
	sky, ground           [angles]float64
	plainSky, plainGround [angles + 1]float64 // sums below bin k for a plain wall
	towards               photo.Vec
	unit                  float64 // brings the sky's mean to 1
	rough                 []lobe  // the half space in coarse steps, for what is mirrored
}

// lobe is a direction in front of a wall: its light for radiance of mean 1, sky or
// ground.
type lobe struct {
	to         photo.Vec
	light      float64
	solid      float64
	fromGround bool
}

// skyDome gathers a sky over the half space in front of a wall. towards is the sun in
// the wall's frame (x right, y up, z out), zero for an overcast sky. across is the
// axis along which the cross-section repeats: false for courses (x), true for
// vertical panels (y).
//
// The sky is the CIE standard clear sky, low turbidity (CIE S 011 / ISO 15469, type
// 12), or the standard overcast sky (type 1); the ground is even.
func skyDome(towards photo.Vec, vertical bool) *dome {
	var d dome
	var total, level float64
	hemisphere(90, func(el float64, v photo.Vec, solid float64) {
		along := v.Y
		if vertical {
			along = v.X
		}
		length := math.Hypot(along, v.Z)
		k := min(angles-1, int((math.Atan2(along, v.Z)/math.Pi+0.5)*angles))
		if el < 0 {
			d.ground[k] += length * solid / math.Pi
			return
		}
		l := radiance(el, v, towards)
		d.sky[k] += l * length * solid / math.Pi
		total += l * solid
		level += solid
	})
	d.unit = level / total
	for k := range d.sky {
		d.sky[k] *= d.unit
	}
	d.towards = towards
	rim := 0.0
	if towards.Len() == 0 {
		rim = skyline
	}
	hemisphere(16, func(el float64, v photo.Vec, solid float64) {
		p := lobe{to: v, solid: solid, fromGround: el < rim}
		if el >= rim {
			p.light = d.unit * radiance(el, v, towards)
		}
		d.rough = append(d.rough, p)
	})
	d.sum()
	return &d
}

// skyline is how far up trees and neighbours stand before an overcast sky that a wall
// mirrors, in radians; they are about as bright as the ground (assumed: some 15 degrees).
const skyline = 15 * math.Pi / 180

// hemisphere calls do for directions in front of a wall, each with its elevation and
// solid angle.
func hemisphere(n int, do func(el float64, v photo.Vec, solid float64)) {
	for i := range n { // elevation
		for j := range 2 * n { // azimuth, the half in front
			el := (float64(i)+0.5)/float64(n)*math.Pi - math.Pi/2
			az := (float64(j)+0.5)/float64(2*n)*math.Pi - math.Pi/2
			v := photo.Vec{X: math.Cos(el) * math.Sin(az), Y: math.Sin(el), Z: math.Cos(el) * math.Cos(az)}
			do(el, v, math.Cos(el)*math.Pi/float64(n)*math.Pi/float64(2*n))
		}
	}
}

// mirrored is what a dull mirror in the wall's plane shows a viewer, under an overhang
// whose edge stands at profile angle eave: the shares of sky and ground around the
// mirrored direction, for radiance of mean 1. The lobe is about that of a roughness of
// one half.
func (d *dome) mirrored(to photo.Vec, eave float64) (sky, ground float64) {
	mirror := photo.Vec{X: -to.X, Y: -to.Y, Z: to.Z}
	up, out := math.Sincos(min(eave, open))
	var all float64
	for i := range d.rough {
		p := &d.rough[i]
		w := max(0, p.to.Dot(mirror))
		w *= w
		w *= w
		w *= w * p.solid
		all += w
		if p.fromGround {
			ground += w
		} else if p.to.Y*out > p.to.Z*up {
			ground += soffit * w
		} else {
			sky += w * p.light
		}
	}
	return sky / all, ground / all
}

// radiance is the relative luminance of the sky at elevation el, direction v.
func radiance(el float64, v, sun photo.Vec) float64 {
	if sun.Len() == 0 { // type 1: a 4, b -0.7, no scattering
		return 1 + 4*math.Exp(-0.7/math.Sin(max(el, 0.01)))
	}
	gradation := 1 - math.Exp(-0.32/math.Sin(max(el, 0.01)))
	cos := max(-1, min(1, v.Unit().Dot(sun.Unit())))
	away := math.Acos(cos)
	return gradation * (1 + 10*(math.Exp(-3*away)-math.Exp(-3*math.Pi/2)) + 0.45*cos*cos)
}

// ambient is the light of sky and ground: the radiance of a white surface that saw
// nothing but sky, or nothing but ground.
type ambient struct{ sky, ground colour.Linear }

// soffit is how bright an overhang's underside is beside the ground that lights it:
// half the world it sees is ground, and it is white (assumed).
const soffit = 0.4

// flat is the light on a plain wall under an overhang whose edge stands at profile
// angle eave: the shares of sky and ground.
func (d *dome) flat(eave float64) (sky, ground float64) {
	const width = math.Pi / angles
	at := (min(eave, open) + open) / width
	k := min(angles-1, max(0, int(at)))
	part := at - float64(k)
	sky = d.plainSky[k] + part*(d.plainSky[k+1]-d.plainSky[k])
	ground = d.plainGround[k] + part*(d.plainGround[k+1]-d.plainGround[k])
	return sky, ground + soffit/2*(1-math.Sin(min(eave, open)))
}

// sum fills the running sums for a plain wall.
func (d *dome) sum() {
	for k := range angles {
		c := math.Cos(profileAngle(k))
		d.plainSky[k+1] = d.plainSky[k] + c*d.sky[k]
		d.plainGround[k+1] = d.plainGround[k] + c*d.ground[k]
	}
}
