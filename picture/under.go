package picture

import (
	"math"
	"slices"

	"coilwright/colour"
	"coilwright/cores"
	"coilwright/photo"
)

// Under is the same photo under another sun, towards it in the camera's world; the
// decomposition of the photo is kept, so this is quick.
//
// What changes is what is painted: the shading of the new panels, the shadows that
// their own relief casts, their highlights, and how much sunlight and skylight the
// wall gets beside the hour of the photo. What cannot change is the photo itself: the
// shadows that trees, eaves and neighbours cast stay where they lay, and everything
// beside the cladding keeps the light of its hour, as does the camera's exposure. A
// wall that no sun reached when the photo was taken is lit up to its own overhangs'
// shadow; nobody knows what else would shade it.
func (p *Prepared) Under(towards photo.Vec) *Prepared {
	out := *p
	out.light = make([]*daylight, len(p.light))
	square := p.squareOn()
	exposure := 1.0
	for i, d := range p.light {
		out.light[i] = d.under(p.photo.Sun, towards, square)
		if !d.sunny() && square == (colour.Linear{}) {
			exposure = min(exposure, out.light[i].assumeSun(towards))
		}
	}
	for i, d := range out.light {
		if exposure < 1 {
			d.dim(exposure)
		}
		if !p.light[i].sunny() && d.towards.Z > 0 {
			d.shine = p.photo.underEaves(d)
			d.painted = d.sunTable()
			out.strips = resunned(out.strips, i, d)
		}
	}
	out.strips = slices.Clone(out.strips)
	for i := range out.strips {
		out.strips[i].sides = slices.Clone(out.strips[i].sides)
	}
	out.lightSides()
	out.boards = slices.Clone(out.boards)
	out.lightUnder(out.boards)
	return &out
}

// squareOn is the sunlight of a white surface square to the sun, from the walls that
// it reaches; zero where it reaches none.
func (p *Prepared) squareOn() (out colour.Linear) {
	for _, d := range p.light {
		if s := d.sun.Scale(1 / max(0.05, d.towards.Z)); d.sunny() && s.Luminance() > out.Luminance() {
			out = s
		}
	}
	return out
}

// under is the light of one wall under another sun. Where the photo's sun is known,
// sunlight follows the new one's height and slant.
func (d *daylight) under(from, towards photo.Vec, square colour.Linear) *daylight {
	out := *d
	out.towards = d.wall.local(towards)
	if towards.Len() > 0 {
		out.towards = out.towards.Unit()
	}
	out.underSky()
	out.sun = square.Scale(max(0, out.towards.Z) * beam(towards) / max(0.02, beam(from)))
	return &out
}

// assumeSun lights a wall of a photo without any sun as a clear sky would: sunlight
// square on four times what sky and ground give (assumed). It returns by how much a
// camera would then have closed down.
func (d *daylight) assumeSun(towards photo.Vec) (exposure float64) {
	low, high := d.wall.box()
	plain := d.plain((low.X+high.X)/2, (low.Y+high.Y)/2).Luminance()
	s := 4 * plain * max(0, d.towards.Z) * beam(towards) / beam(photo.Vec{Z: 1})
	d.sun = colour.Linear{s, s, s}
	return plain / max(1e-9, plain+s)
}

// dim takes all light down.
func (d *daylight) dim(by float64) {
	d.sun = d.sun.Scale(by)
	d.light, d.mirror = ambient{d.light.sky.Scale(by), d.light.ground.Scale(by)}, d.mirror.Scale(by)
}

// beam is the sunlight square to the sun, beside that above the air, by its height
// over the horizon: Meinel and Meinel, Applied Solar Energy (1976): 0.7 to the power
// of air mass to 0.678, with the air mass of Kasten and Young, Applied Optics 28
// (1989), 4735-4738. Zero below the horizon.
func beam(towards photo.Vec) float64 {
	if towards.Len() == 0 || towards.Z <= 0 {
		return 0
	}
	sin := min(1, towards.Unit().Z)
	air := 1 / (sin + 0.50572*math.Pow(degrees(math.Asin(sin))+6.07995, -1.6364))
	return math.Pow(0.7, math.Pow(air, 0.678))
}

// resunned are the strips with the sun on one wall's stretches looked at afresh.
func resunned(strips []strip, wall int, d *daylight) []strip {
	m := d.sunMap()
	out := append([]strip(nil), strips...)
	cores.Each(len(out), func(i int) {
		s := &out[i]
		if s.wall != wall {
			return
		}
		s.stretches = append([]stretch(nil), s.stretches...)
		for k := range s.stretches {
			m.light(&s.stretches[k])
		}
	})
	return out
}
