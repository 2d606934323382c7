package picture

import (
	"math"

	"coilwright/colour"
	"coilwright/photo"
)

// relief is a face under one wall's light: what every point along its cross-section
// receives, found by ray tracing in the cross-section.
type relief struct {
	*trace
	spots []spot // with their light
}

// spot is a point along the cross-section. Irradiances are in units of the plain
// wall's: sun of its sun, sky and ground as dome counts them, summed up over the
// profile angles from below, so that an overhang can cut them off.
type spot struct {
	*facet
	sun         float64 // 0 in the face's own shade
	lit         bool
	sky, ground [angles + 1]float32 // sums of bins below k
	fromSun     float64             // light of the sun by way of the face itself, for reflectance 1
	fromAmbient float64
}

// spacing of spots along the cross-section, in inches.
const spacing = 1.0 / 40

// leastStep is how far from its own start a ray may be stopped.
const leastStep = 1e-6

// newRelief traces a face. towards is the sun in the wall's frame, its z above 0
// where the sun reaches the wall; vertical panels give x for y.
func newRelief(f Face, d *dome, towards photo.Vec, vertical bool) *relief {
	return newTrace(f).under(d, towards, vertical)
}

// under is a traced face under a light.
func (t *trace) under(d *dome, towards photo.Vec, vertical bool) *relief {
	r := &relief{t, make([]spot, len(t.facets))}
	up := towards.Y
	if vertical {
		up = towards.X
	}
	for i := range r.spots {
		r.spots[i].facet = &t.facets[i]
		r.spots[i].direct(t, up, towards.Z)
		r.spots[i].ambient(d)
	}
	for i := range r.spots {
		r.spots[i].bounce(r, d)
	}
	return r
}

// direct finds the sun's share, the sun at (up, out) in the cross-section.
func (s *spot) direct(t *trace, up, out float64) {
	c := s.ny*up + s.nz*out
	if out <= 0 || c <= 0 {
		return
	}
	if _, _, hidden := t.hit(s.y, s.z, up, out, leastStep); !hidden {
		s.lit, s.sun = true, c/out
	}
}

// ambient sums sky and ground up by profile angle.
func (s *spot) ambient(d *dome) {
	var sky, ground float64
	for k := range angles {
		c := float64(s.above[k] - s.above[k+1])
		sky, ground = sky+c*d.sky[k], ground+c*d.ground[k]
		s.sky[k+1], s.ground[k+1] = float32(sky), float32(ground)
	}
}

// bounce gathers what the face itself sends on, once.
func (s *spot) bounce(r *relief, d *dome) {
	sky, ground := d.flat(math.Pi / 2)
	for _, to := range s.sees {
		from := &r.spots[to.spot]
		share := float64(to.cos) * math.Pi / angles / 2
		s.fromSun += share * from.sun
		s.fromAmbient += share * float64(from.sky[angles]+from.ground[angles]) / (sky + ground)
	}
}

// under gives the shares of sky and ground under an overhang at profile angle eave.
func (s *spot) under(d *dome, eave float64) (sky, ground float64) {
	const width = math.Pi / angles
	at := (eave + math.Pi/2) / width
	k := min(angles-1, max(0, int(at)))
	part := min(1, max(0, at-float64(k)))
	sky = float64(s.sky[k]) + part*float64(s.sky[k+1]-s.sky[k])
	ground = float64(s.ground[k]) + part*float64(s.ground[k+1]-s.ground[k])
	hidden := float64(s.above[k+1]) + (1-part)*float64(s.above[k]-s.above[k+1])
	return sky, ground + hidden*soffit*width/2
}

// glow is what leaves one height of the face towards the viewer, in units of the
// plain wall's light: sun of its sunlight, ambient of its ambient light; z is the
// depth of what is seen.
type glow struct {
	sun, ambient colour.Linear
	z            float64
}

// view is how a wall is seen and lit at one height.
type view struct {
	over   overhung
	sun    photo.Vec // to the sun, length 1, in the wall's frame
	light  ambient
	mirror colour.Linear // the sky's mean light as it is mirrored
	// shares of sky and ground that the plain wall mirrors to the viewer
	mirrorSky, mirrorGround float64
	sheens                  *sheens // of the finish
}

// overhung is the ambient light under an overhang at a profile angle: a share of the sky,
// of the ground and of the mirrored sky beside all that the plain wall gets there.
type overhung struct {
	eave                float64
	dome                *dome
	sky, ground, mirror colour.Linear
}

// under an overhang the view is lit so.
func (v *view) under(d *dome, eave float64) overhung {
	out := overhung{eave: eave, dome: d}
	sky, ground := d.flat(eave)
	for c := range out.sky {
		plain := 1 / max(1e-9, v.light.sky[c]*sky+v.light.ground[c]*ground)
		out.sky[c], out.ground[c], out.mirror[c] = v.light.sky[c]*plain, v.light.ground[c]*plain, v.mirror[c]*plain
	}
	return out
}

// gleam is what a surface mirrors: the share of an even light, and of the sun beside what
// the plain wall gets of it.
type gleam struct{ mirror, shine float64 }

// gleam towards a viewer of a surface in the sun, by its normal.
func (v *view) gleam(normal, to photo.Vec, f *Finish) gleam {
	out := gleam{mirror: v.sheens.at(normal.Dot(to))}
	if v.sun.Z > 0 {
		out.shine = f.highlight(normal, v.sun, to) * normal.Dot(v.sun) / v.sun.Z
	}
	return out
}

// base is what one height of a face sends out, but for what it mirrors.
type base struct {
	matt glow
	lit  bool
	own  colour.Linear // the share of the plain wall's ambient light that reaches this height
}

// base works out the matt light of a finish at a spot, seen at depth z.
func (r *relief) base(spot int, z float64, v *view, f *Finish) (out base) {
	s, o := &r.spots[spot], &v.over
	out.matt.z, out.lit = z, s.lit
	sky, ground := s.under(o.dome, o.eave)
	for c, albedo := range f.Colour {
		out.own[c] = sky*o.sky[c] + ground*o.ground[c]
		out.matt.sun[c] = albedo * (s.sun + albedo*s.fromSun)
		out.matt.ambient[c] = albedo*out.own[c] + albedo*albedo*s.fromAmbient
	}
	return out
}

// glow adds what the finish mirrors to a viewer.
func (b *base) glow(v *view, g gleam) glow {
	out := b.matt
	for c := range 3 {
		if b.lit {
			out.sun[c] += g.shine
		}
		out.ambient[c] += g.mirror * b.own[c] * (v.over.mirror[c]*v.mirrorSky + v.over.ground[c]*v.mirrorGround)
	}
	return out
}
