package picture

import "coilwright/photo"

// Zone is one cladding on one part of a wall.
type Zone struct {
	Region   []Ring  // in the wall's inches, inside where odd
	Face     Face    // its cross-section
	Origin   float64 // where a course starts: y, or x for vertical panels
	Vertical bool
	Finish   Finish
}

// Strip is flat trim on the wall's face: transition, frieze, channel.
type Strip struct {
	Region []Ring
	Depth  float64 // of its front over the sheathing
	Finish Finish
}

// Dressing is what one wall wears. Strips lie over zones.
type Dressing struct {
	Zones  []Zone
	Strips []Strip
}

// rows is a zone's glow by height (across, for vertical panels), summed up so that
// any footprint is one difference.
type rows struct {
	low, step float64
	sums      []glow // sums[i] of the rows below i
	reference float64
}

// fine is the spacing of rows in inches.
const fine = 1.0 / 32

// newRows traces a zone for a camera over the stretch from low to high. x is where
// on the wall, for vertical panels y.
func newRows(d *daylight, z Zone, dome *dome, eye photo.Vec, low, high, across float64) *rows {
	r := newRelief(z.Face, dome, d.towards, z.Vertical)
	out := &rows{low: low - 2, step: fine, reference: z.Face.front() * 0.7}
	n := int((high-low+4)/fine) + 1
	out.sums = make([]glow, n+1)
	var mirrorSky, mirrorGround float64
	shine := z.Finish.sheens()
	for i := range n {
		at := out.low + (float64(i)+0.5)*fine
		if i%128 == 0 { // changes slowly: every 4 in will do
			place := photo.Vec{X: across, Y: at + 2}
			if z.Vertical {
				place = photo.Vec{X: at + 2, Y: across}
			}
			mirrorSky, mirrorGround = d.dome.mirrored(eye.Sub(place).Unit())
		}
		v := view{reference: out.reference, sun: d.towards, light: d.light, vertical: z.Vertical, mirrorSky: mirrorSky, mirrorGround: mirrorGround, sheens: shine}
		if z.Vertical {
			v.slope, v.eave = (at-eye.X)/eye.Z, open
			v.to = eye.Sub(photo.Vec{X: at, Y: across}).Unit()
		} else {
			v.slope, v.eave = (at-eye.Y)/eye.Z, d.wall.eave(across, at)
			v.to = eye.Sub(photo.Vec{X: across, Y: at}).Unit()
		}
		g := r.glow(at-z.Origin, v, z.Finish, dome)
		s := out.sums[i]
		out.sums[i+1] = glow{sun: s.sun.Plus(g.sun), ambient: s.ambient.Plus(g.ambient), z: s.z + g.z}
	}
	return out
}

// mean is the glow over a footprint.
func (r *rows) mean(at, width float64) glow {
	a, b := r.sum(at-width/2), r.sum(at+width/2)
	k := r.step / width
	return glow{sun: b.sun.Plus(a.sun.Scale(-1)).Scale(k), ambient: b.ambient.Plus(a.ambient.Scale(-1)).Scale(k), z: (b.z - a.z) * k}
}

func (r *rows) sum(at float64) glow {
	f := (at - r.low) / r.step
	i := min(len(r.sums)-2, max(0, int(f)))
	t := min(1, max(0, f-float64(i)))
	a, b := r.sums[i], r.sums[i+1]
	return glow{sun: a.sun.Scale(1 - t).Plus(b.sun.Scale(t)), ambient: a.ambient.Scale(1 - t).Plus(b.ambient.Scale(t)), z: a.z*(1-t) + b.z*t}
}
