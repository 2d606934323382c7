package picture

import (
	"coilwright/photo"
)

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
func Flat(depth float64) Face { return Face{Period: 1, Points: []Place{{0, depth}, {1, depth}}} }

// rows is a zone's glow by height (across, for vertical panels), summed up so that
// the mean over any footprint is one difference. A highlight moves along the wall
// with the viewer, so there are sums for several places along the courses.
type rows struct {
	reach       [2]float64 // where the zone can be seen
	low, step   float64
	first, next float64               // places along the courses: the first, and from one to the next
	sums        [][][channels]float64 // by place: sums of the rows below
}

// channels of a row: sun and ambient by colour, and depth.
const channels = 7

// fine is the spacing of rows in inches.
const fine = 1.0 / 32

// mirrorRows is after how many rows what is mirrored is looked up again: it changes
// slowly, under an eave by some inches; every 2 in will do, and where there is none up to
// mostBlock rows, as many times 2 in as the eye stands farEye off.
const (
	mirrorRows = 64
	mostBlock  = 4 * mirrorRows
	farEye     = 64.0
)

// rowsOf are rows of a zone on a wall, traced block by block.
type rowsOf struct {
	*rows
	wall, number int
	zone         Zone
	d            *daylight
	relief       *relief
	dome         *dome
	view         view
	eye          photo.Vec
	across       float64 // the middle of the wall, along the courses
	block        int     // rows traced at a time
}

// mostPlaces is at how many places along the courses there are rows at most.
const mostPlaces = 6

// begin makes the rows ready for a camera, over the stretch that the zone reaches and a
// margin to both sides, as wide as what a pixel at the end may look at.
func (r *rowsOf) begin(face *trace, shine *sheens, c photo.Camera, reach [2]float64, margin float64, shelf *shelf) {
	d := r.d
	low, high := d.wall.box()
	from, to := low.X, high.X
	r.dome, r.eye = d.dome, d.wall.eye(c)
	if r.zone.Vertical {
		r.dome, from, to = d.upright(), low.Y, high.Y
	}
	r.relief = face.under(r.dome, d.towards, r.zone.Vertical)
	r.view = view{sun: d.towards, light: d.light, mirror: d.mirror, sheens: shine}
	r.across = (from + to) / 2
	places := 2 + min(mostPlaces-2, int((to-from)/max(1, r.eye.Z)))
	r.rows = &rows{reach: reach, low: reach[0] - margin, step: fine, first: from, next: max(1e-6, (to-from)/float64(places-1))}
	n := int((reach[1]-reach[0]+2*margin)/fine) + 1
	r.block = mirrorRows
	if r.zone.Vertical { // no overhang changes what is mirrored
		r.block *= min(mostBlock/mirrorRows, max(1, int(r.eye.Z/farEye)))
	}
	r.sums = make([][][channels]float64, places)
	for k := range r.sums {
		r.sums[k] = shelf.rows.take(n + 1)
		r.sums[k][0] = [channels]float64{}
	}
}

// beyond is how far in inches a zone may be seen beyond its labels: where none reaches, the
// zone beside goes on.
const beyond = 6.0

// reach is from where to where the zones of a dressing that share the rows can be seen,
// within the wall.
func (r *rowsOf) reach(l *labels, d Dressing) [2]float64 {
	wear := make([]bool, len(d))
	for z := range d {
		wear[z] = d.twin(z) == r.number
	}
	from, to := l.reach(wear, r.zone.Vertical)
	first, last := r.d.wall.box()
	low, high, least, most := l.low.Y, l.end().Y, first.Y, last.Y
	if r.zone.Vertical {
		low, high, least, most = l.low.X, l.end().X, first.X, last.X
	}
	from, to = low+(high-low)*from-beyond, low+(high-low)*to+beyond
	from = max(least, min(most, from))
	return [2]float64{from, max(from, min(most, to))}
}

// blocks is how many blocks of rows there are.
func (r *rowsOf) blocks() int { return (len(r.sums[0]) + r.block - 2) / r.block }

// trace works a block out: row by row, not yet summed up.
func (r *rowsOf) trace(block int) {
	first := block * r.block
	n := min(r.block, len(r.sums[0])-1-first)
	var buffer [mostBlock]met
	seen := buffer[:n]
	r.relief.sweep(r.sights(first, n), seen)
	v, eave := r.view, eaveRows{}
	mirrors := r.mirrors(first)
	for from, to := 0, 0; from < n; from = to {
		for to = from + 1; to < n && seen[to].edge == seen[from].edge; to++ {
		}
		shine := r.shines(first+from, to-from, seen[from].edge)
		for i := from; i < to; i++ {
			if at := eave.at(first+i, r); v.over.dome == nil || v.over.eave != at {
				v.over = v.under(r.dome, at)
			}
			b := r.relief.base(r.relief.spot(&seen[i]), seen[i].z, &v, &r.zone.Finish)
			for k := range r.sums {
				v.mirrorSky, v.mirrorGround = mirrors[k][0], mirrors[k][1]
				b.glow(&v, shine[k].at(i-from)).put(&r.sums[k][first+i+1])
			}
		}
	}
}

// sights of n rows from the first on.
func (r *rowsOf) sights(first, n int) sights {
	rise := func(i int) float64 {
		if r.zone.Vertical {
			return slope(r.height(i)-r.eye.X, r.eye.Z)
		}
		return slope(r.height(i)-r.eye.Y, r.eye.Z)
	}
	from := rise(first)
	return sights{r.height(first) - r.zone.Origin, fine, from, (rise(first+n-1) - from) / float64(max(1, n-1)), anchor}
}

// mirrors are the shares of sky and ground that a block mirrors, at each place.
func (r *rowsOf) mirrors(first int) (out [mostPlaces][2]float64) {
	at, eave := r.height(first)+float64(r.block)/2*fine, open
	if !r.zone.Vertical {
		eave = r.d.wall.eave(r.across, at)
	}
	for k := range r.sums {
		out[k][0], out[k][1] = r.d.dome.mirrored(r.eye.Sub(r.zone.place(at, r.place(k))).Unit(), eave)
	}
	return out
}

// polish is what a stretch of the face mirrors over some rows, drawn straight between
// the first and the last.
type polish struct{ first, change gleam }

func (p *polish) at(i int) gleam {
	k := float64(i)
	return gleam{p.first.mirror + k*p.change.mirror, p.first.shine + k*p.change.shine}
}

// shines is what stretch number e mirrors over n rows from the first on, at each place.
func (r *rowsOf) shines(first, n, e int) (out [mostPlaces]polish) {
	normal := r.zone.normal(r.relief.edges[e].ny, r.relief.edges[e].nz)
	for k := range r.sums {
		at := func(i int) gleam {
			return r.view.gleam(normal, r.eye.Sub(r.zone.place(r.height(i), r.place(k))).Unit(), &r.zone.Finish)
		}
		out[k].first = at(first)
		if n > 1 {
			last, rows := at(first+n-1), float64(n-1)
			out[k].change = gleam{(last.mirror - out[k].first.mirror) / rows, (last.shine - out[k].first.shine) / rows}
		}
	}
	return out
}

// eaveRows remembers the overhang's angle at two rows, between which it is drawn straight.
type eaveRows struct {
	known     bool
	low, high float64
}

func (e *eaveRows) at(i int, r *rowsOf) float64 {
	if r.zone.Vertical {
		return open
	}
	const apart = 8 // rows: 1/4 in
	if i%apart == 0 || !e.known {
		first := i - i%apart
		e.known = true
		e.low, e.high = r.d.wall.eave(r.across, r.height(first)), r.d.wall.eave(r.across, r.height(first+apart))
	}
	return e.low + float64(i%apart)/apart*(e.high-e.low)
}

// height of row i, and place k along the courses.
func (r *rows) height(i int) float64 { return r.low + (float64(i)+0.5)*r.step }
func (r *rows) place(k int) float64  { return r.first + float64(k)*r.next }

func (g glow) put(to *[channels]float64) {
	for c := range 3 {
		to[c], to[3+c] = g.sun[c], g.ambient[c]
	}
	to[6] = g.z
}

// sumUp sums the rows at place k up.
func (r *rows) sumUp(k int) {
	var sum [channels]float64
	for i := range r.sums[k] {
		row := &r.sums[k][i]
		for c, v := range row {
			sum[c] += v
		}
		*row = sum
	}
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

// normal to a face in the wall's frame, by its parts up and out of a cross-section.
func (z Zone) normal(up, out float64) photo.Vec {
	if z.Vertical {
		return photo.Vec{X: up, Z: out}
	}
	return photo.Vec{Y: up, Z: out}
}

// column is rows at one place along the courses, read from the lowest up: the two sums
// between which the last height lay are kept.
type column struct {
	*rows
	left, right [][channels]float64
	share       float64 // of right
	perInch     float64
	row         int
	low, high   [channels]float64
}

func (r *rows) column(across float64) column {
	f := min(float64(len(r.sums)-1), max(0, (across-r.first)/r.next))
	i := min(len(r.sums)-2, int(f))
	return column{rows: r, left: r.sums[i], right: r.sums[i+1], share: f - float64(i), perInch: 1 / r.step, row: -2}
}

// sum is the sum of all rows below a height.
func (r *column) sum(at float64, out *[channels]float64) {
	f := (at - r.rows.low) * r.perInch
	i := min(len(r.left)-2, max(0, int(f)))
	if i != r.row {
		if r.low = r.high; i != r.row+1 {
			r.mix(i, &r.low)
		}
		r.mix(i+1, &r.high)
		r.row = i
	}
	t := min(1, max(0, f-float64(i)))
	for c, low := range &r.low {
		out[c] = low + t*(r.high[c]-low)
	}
}

// mix is the sum below row i.
func (r *column) mix(i int, out *[channels]float64) {
	a, p := &r.left[i], &r.right[i]
	for c := range out {
		out[c] = a[c] + r.share*(p[c]-a[c])
	}
}
