package picture

import "coilwright/photo"

// Zone is one cladding on one part of a wall.
type Zone struct {
	Region   []Ring  // in the wall's inches, inside where odd
	Face     Face    // its cross-section
	Origin   float64 // where a course starts: y, or x for vertical panels
	Vertical bool
	Finish   Finish
	Grain    bool // embossed wood grain
}

// Dressing is what one wall wears: where zones overlap, the earlier lies on top.
type Dressing []Zone

// Flat is a face without relief, for trim: its front stands depth over the sheathing.
func Flat(depth float64) Face { return Face{Period: 8, Points: []Place{{0, depth}, {8, depth}}} }

// rows is a zone's glow by height (across, for vertical panels), summed up so that
// the mean over any footprint is one difference.
type rows struct {
	low, step float64
	sums      [][channels]float64 // sums of the rows below
}

// channels of a row: sun and ambient by colour, and depth.
const channels = 7

// fine is the spacing of rows in inches.
const fine = 1.0 / 32

// newRows traces a zone for a camera over the stretch from low to high of the wall;
// across is where on the wall, along the courses.
func (d *daylight) newRows(z Zone, eye photo.Vec, low, high, across float64) *rows {
	dome := d.dome
	if z.Vertical {
		dome = skyDome(d.towards, true)
	}
	r := newRelief(z.Face, dome, d.towards, z.Vertical)
	out := &rows{low: low - 2, step: fine}
	n := int((high-low+4)/fine) + 1
	out.sums = make([][channels]float64, n+1)
	v := view{reference: anchor, sun: d.towards, light: d.light, vertical: z.Vertical, sheens: z.Finish.sheens()}
	for i := range n {
		at := out.low + (float64(i)+0.5)*fine
		if i%128 == 0 { // what is mirrored changes slowly: every 4 in will do
			v.mirrorSky, v.mirrorGround = d.dome.mirrored(eye.Sub(z.place(at+2, across)).Unit())
		}
		v.to = eye.Sub(z.place(at, across)).Unit()
		v.slope, v.eave = (at-eye.Y)/eye.Z, d.wall.eave(across, at)
		if z.Vertical {
			v.slope, v.eave = (at-eye.X)/eye.Z, open
		}
		g := r.glow(at-z.Origin, v, z.Finish, dome)
		s := out.sums[i]
		for c := range 3 {
			s[c] += g.sun[c]
			s[3+c] += g.ambient[c]
		}
		s[6] += g.z
		out.sums[i+1] = s
	}
	return out
}

// place is a place on the wall, in its frame, by height and along the courses.
func (z Zone) place(at, across float64) photo.Vec {
	if z.Vertical {
		return photo.Vec{X: at, Y: across}
	}
	return photo.Vec{X: across, Y: at}
}

// mean is the glow over a footprint around a height.
func (r *rows) mean(at, width float64) (out [channels]float64) {
	a, b := r.sum(at-width/2), r.sum(at+width/2)
	for c := range out {
		out[c] = (b[c] - a[c]) * (r.step / width)
	}
	return out
}

func (r *rows) sum(at float64) (out [channels]float64) {
	f := (at - r.low) / r.step
	i := min(len(r.sums)-2, max(0, int(f)))
	t := min(1, max(0, f-float64(i)))
	a, b := &r.sums[i], &r.sums[i+1]
	for c := range out {
		out[c] = a[c] + t*(b[c]-a[c])
	}
	return out
}
