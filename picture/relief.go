package picture

import (
	"math"

	"coilwright/colour"
	"coilwright/photo"
)

// relief is a face under one wall's light: what every point along its cross-section
// receives, found by ray tracing in the cross-section.
type relief struct {
	face   Face
	edges  []edge
	spots  []spot
	starts []int // first spot of each edge, and the end
}

// spot is a point along the cross-section. Irradiances are in units of the plain
// wall's: sun of its sun, sky and ground as dome counts them, summed up over the
// profile angles from below, so that an overhang can cut them off.
type spot struct {
	y, z, ny, nz float64
	sun          float64 // 0 in the face's own shade
	lit          bool
	sky, ground  [angles + 1]float64 // sums of bins below k
	cos          [angles]float64     // 0 where hidden by the face itself
	fromSun      float64             // light of the sun by way of the face itself, for reflectance 1
	fromAmbient  float64
}

// spacing of spots along the cross-section, in inches.
const spacing = 1.0 / 40

// leastStep is how far from its own start a ray may be stopped.
const leastStep = 1e-6

// newRelief traces a face. towards is the sun in the wall's frame, its z above 0
// where the sun reaches the wall; vertical panels give x for y.
func newRelief(f Face, d *dome, towards photo.Vec, vertical bool) *relief {
	r := &relief{face: f, edges: f.edges()}
	for _, e := range r.edges {
		r.starts = append(r.starts, len(r.spots))
		l := math.Hypot(e.to.Y-e.from.Y, e.to.Z-e.from.Z)
		n := max(1, int(math.Ceil(l/spacing)))
		for i := range n {
			s := (float64(i) + 0.5) / float64(n)
			r.spots = append(r.spots, spot{
				y: e.from.Y + s*(e.to.Y-e.from.Y), z: e.from.Z + s*(e.to.Z-e.from.Z), ny: e.ny, nz: e.nz,
			})
		}
	}
	r.starts = append(r.starts, len(r.spots))
	up := towards.Y
	if vertical {
		up = towards.X
	}
	for i := range r.spots {
		r.spots[i].direct(r, up, towards.Z)
	}
	rays := r.trace()
	for i := range r.spots {
		r.spots[i].ambient(&rays[i], d)
	}
	for i := range r.spots {
		r.spots[i].bounce(r, &rays[i], d)
	}
	return r
}

// ray is what a spot sees in one direction: cos to its normal, 0 or less behind it, and
// the spot of the face that stands there, -1 for none.
type ray struct {
	cos  float64
	seen int
}

// rays are those of a spot all around: bin k is at (k + 1/2)/angles x 180 - 180 degrees,
// since undersides see the face below; profileAngle(0) is at angles/2.
type rays [2 * angles]ray

func (r *relief) trace() []rays {
	var sin, cos [2 * angles]float64
	for k := range sin {
		sin[k], cos[k] = math.Sincos((float64(k)+0.5)/angles*math.Pi - math.Pi)
	}
	out := make([]rays, len(r.spots))
	for i := range r.spots {
		s := &r.spots[i]
		for k := range out[i] {
			to := ray{s.ny*sin[k] + s.nz*cos[k], -1}
			if to.cos > 0 {
				if t, at, hidden := r.face.hit(r.edges, s.y, s.z, sin[k], cos[k], leastStep); hidden {
					to.seen = r.spotAt(at, s.y+t*sin[k], s.z+t*cos[k])
				}
			}
			out[i][k] = to
		}
	}
	return out
}

// direct finds the sun's share, the sun at (up, out) in the cross-section.
func (s *spot) direct(r *relief, up, out float64) {
	c := s.ny*up + s.nz*out
	if out <= 0 || c <= 0 {
		return
	}
	if _, _, hidden := r.face.hit(r.edges, s.y, s.z, up, out, leastStep); !hidden {
		s.lit, s.sun = true, c/out
	}
}

// ambient sums sky and ground up by profile angle.
func (s *spot) ambient(all *rays, d *dome) {
	for k := range angles {
		if to := all[k+angles/2]; to.cos > 0 && to.seen < 0 {
			s.cos[k] = to.cos
		}
		s.sky[k+1] = s.sky[k] + s.cos[k]*d.sky[k]
		s.ground[k+1] = s.ground[k] + s.cos[k]*d.ground[k]
	}
}

// bounce gathers what the face itself sends on, once.
func (s *spot) bounce(r *relief, all *rays, d *dome) {
	sky, ground := d.flat(math.Pi / 2)
	for _, to := range all {
		if to.seen < 0 {
			continue
		}
		from := &r.spots[to.seen]
		share := to.cos * math.Pi / angles / 2
		s.fromSun += share * from.sun
		s.fromAmbient += share * (from.sky[angles] + from.ground[angles]) / (sky + ground)
	}
}

// spotAt is the spot of edge at next to a place on it, in any period.
func (r *relief) spotAt(at int, y, z float64) int {
	e := r.edges[at]
	n := r.starts[at+1] - r.starts[at]
	var s float64
	if dy := e.to.Y - e.from.Y; math.Abs(dy) > math.Abs(e.to.Z-e.from.Z) {
		y -= math.Round((y-(e.from.Y+e.to.Y)/2)/r.face.Period) * r.face.Period
		s = (y - e.from.Y) / dy
	} else {
		s = (z - e.from.Z) / (e.to.Z - e.from.Z)
	}
	return r.starts[at] + min(n-1, max(0, int(s*float64(n))))
}

// under gives the shares of sky and ground under an overhang at profile angle eave.
func (s *spot) under(d *dome, eave float64) (sky, ground float64) {
	const width = math.Pi / angles
	at := (eave + math.Pi/2) / width
	k := min(angles-1, max(0, int(at)))
	part := min(1, max(0, at-float64(k)))
	sky = s.sky[k] + part*(s.sky[k+1]-s.sky[k])
	ground = s.ground[k] + part*(s.ground[k+1]-s.ground[k])
	for j := k; j < angles; j++ {
		hidden := 1.0
		if j == k {
			hidden = 1 - part
		}
		ground += hidden * s.cos[j] * soffit * width / 2
	}
	return sky, ground
}

// sight is how a viewer meets the cross-section at one height: the spot, and the
// depth at which it lies.
func (r *relief) sight(y, slope, reference float64) (at int, z float64) {
	front := r.face.front() + 0.01
	t, e, ok := r.face.hit(r.edges, y-slope*(front-reference), front, slope, -1, 0)
	if !ok { // seen at a slope that no ray comes through; the front will do
		return 0, r.face.front()
	}
	z = front - t
	return r.spotAt(e, y-slope*(front-reference)+t*slope, z), z
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
	slope     float64   // how far the sight rises for an inch of depth
	reference float64   // depth that heights are counted at
	eave      float64   // profile angle of an overhang's edge
	to        photo.Vec // to the viewer, length 1, in the wall's frame
	sun       photo.Vec // to the sun, length 1, in the wall's frame
	light     ambient
	vertical  bool
	// shares of sky and ground that the plain wall mirrors to the viewer
	mirrorSky, mirrorGround float64
	sheens                  *sheens // of the finish
}

// base is what one height of a face sends out, but for what it mirrors.
type base struct {
	matt   glow
	normal photo.Vec
	lit    bool
	plain  colour.Linear // the plain wall's ambient light
	own    colour.Linear // the share of it that reaches this height
}

// base works out the matt light of a finish at height y.
func (r *relief) base(y float64, v view, f Finish, d *dome) base {
	at, z := r.sight(y, v.slope, v.reference)
	s := &r.spots[at]
	out := base{normal: photo.Vec{Y: s.ny, Z: s.nz}, lit: s.lit}
	if v.vertical {
		out.normal = photo.Vec{X: s.ny, Z: s.nz}
	}
	out.matt.z = z
	sky, ground := s.under(d, v.eave)
	plainSky, plainGround := d.flat(v.eave)
	for c, albedo := range f.Colour {
		out.plain[c] = max(1e-9, v.light.sky[c]*plainSky+v.light.ground[c]*plainGround)
		out.own[c] = (v.light.sky[c]*sky + v.light.ground[c]*ground) / out.plain[c]
		out.matt.sun[c] = albedo * (s.sun + albedo*s.fromSun)
		out.matt.ambient[c] = albedo*out.own[c] + albedo*albedo*s.fromAmbient
	}
	return out
}

// glow adds what the finish mirrors to a viewer.
func (b base) glow(v view, f Finish) glow {
	out := b.matt
	mirror := v.sheens.at(b.normal.Dot(v.to))
	var shine float64
	if b.lit {
		shine = f.highlight(b.normal, v.sun, v.to) * b.normal.Dot(v.sun) / v.sun.Z
	}
	for c := range 3 {
		out.sun[c] += shine
		out.ambient[c] += mirror * b.own[c] * (v.light.sky[c]*v.mirrorSky + v.light.ground[c]*v.mirrorGround) / b.plain[c]
	}
	return out
}
