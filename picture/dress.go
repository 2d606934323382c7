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
	Trim     bool // a board of trim: with any of them, the old boards give way
}

// Dressing is what one wall wears: where zones overlap, the earlier lies on top.
type Dressing []Zone

// Flat is a face without relief, for trim: its front stands depth over the sheathing.
func Flat(depth float64) Face { return Face{Period: 8, Points: []Place{{0, depth}, {8, depth}}} }

// rows is a zone's glow by height (across, for vertical panels), summed up so that
// the mean over any footprint is one difference. A highlight moves along the wall
// with the viewer, so there are sums for several places along the courses.
type rows struct {
	low, step   float64
	first, next float64               // places along the courses: the first, and from one to the next
	sums        [][][channels]float64 // by place: sums of the rows below
}

// channels of a row: sun and ambient by colour, and depth.
const channels = 7

// fine is the spacing of rows in inches.
const fine = 1.0 / 32

// mirrorRows is after how many rows what is mirrored is looked up again: it changes
// slowly, every 8 in will do.
const mirrorRows = 256

// newRows traces a zone for a camera over the stretch from low to high of the wall and
// a margin to both sides, as wide as what a pixel at the end may look at; from and to
// bound the wall along the courses.
func (d *daylight) newRows(z Zone, shine *sheens, eye photo.Vec, low, high, from, to, margin float64) *rows {
	dome := d.dome
	if z.Vertical {
		dome = skyDome(d.towards, true)
	}
	r := newRelief(z.Face, dome, d.towards, z.Vertical)
	out := &rows{low: low - margin, step: fine, first: from}
	places := 2 + min(4, int((to-from)/max(1, eye.Z)))
	out.next = max(1e-6, (to-from)/float64(places-1))
	out.sums = make([][][channels]float64, places)
	n := int((high-low+2*margin)/fine) + 1
	for k := range out.sums {
		out.sums[k] = make([][channels]float64, n+1)
	}
	v := view{reference: anchor, sun: d.towards, light: d.light, vertical: z.Vertical, sheens: shine}
	middle := (from + to) / 2
	mirrors := make([][2]float64, places)
	for i := range n {
		at := out.low + (float64(i)+0.5)*fine
		v.slope, v.eave = slope(at-eye.Y, eye.Z), d.wall.eave(middle, at)
		if z.Vertical {
			v.slope, v.eave = slope(at-eye.X, eye.Z), open
		}
		b := r.base(at-z.Origin, v, z.Finish, dome)
		for k := range out.sums {
			across := from + float64(k)*out.next
			if i%mirrorRows == 0 {
				mirrors[k][0], mirrors[k][1] = d.dome.mirrored(eye.Sub(z.place(at+mirrorRows/2*fine, across)).Unit())
			}
			v.mirrorSky, v.mirrorGround = mirrors[k][0], mirrors[k][1]
			v.to = eye.Sub(z.place(at, across)).Unit()
			out.add(k, i, b.glow(v, z.Finish))
		}
	}
	return out
}

// add sums a row up.
func (r *rows) add(k, i int, g glow) {
	s := r.sums[k][i]
	for c := range 3 {
		s[c] += g.sun[c]
		s[3+c] += g.ambient[c]
	}
	s[6] += g.z
	r.sums[k][i+1] = s
}

// slope is how far a sight rises for an inch of depth, held to what still meets the
// wall within a few courses.
func slope(rise, out float64) float64 { return max(-20, min(20, rise/max(1, out))) }

// place is a place on the wall, in its frame, by height and along the courses.
func (z Zone) place(at, across float64) photo.Vec {
	if z.Vertical {
		return photo.Vec{X: at, Y: across}
	}
	return photo.Vec{X: across, Y: at}
}

// column is rows at one place along the courses.
type column struct {
	*rows
	left, right [][channels]float64
	share       float64 // of right
}

func (r *rows) column(across float64) column {
	f := min(float64(len(r.sums)-1), max(0, (across-r.first)/r.next))
	i := min(len(r.sums)-2, int(f))
	return column{r, r.sums[i], r.sums[i+1], f - float64(i)}
}

// sum is the sum of all rows below a height.
func (r *column) sum(at float64) (out [channels]float64) {
	f := (at - r.low) / r.step
	i := min(len(r.left)-2, max(0, int(f)))
	t := min(1, max(0, f-float64(i)))
	a, b, p, q := &r.left[i], &r.left[i+1], &r.right[i], &r.right[i+1]
	for c := range out {
		l := a[c] + t*(b[c]-a[c])
		out[c] = l + r.share*(p[c]+t*(q[c]-p[c])-l)
	}
	return out
}
