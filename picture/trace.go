package picture

import (
	"math"
	"slices"

	"coilwright/cores"
)

// trace is a face as rays see it: what is the same under every light.
type trace struct {
	face      Face
	edges     []edge
	low, high float64 // its depths
	facets    []facet
	starts    []int // first facet of each edge, and the end
}

// facet is a point along the cross-section, and its outward normal.
type facet struct {
	y, z, ny, nz float64
	// above are the sums of the cosines of the normal to the directions that nothing
	// hides, from bin k of the profile angles up
	above [angles + 1]float32
	sees  []sight // what hides the others
}

// sight is a direction in which a facet sees the face itself: the cosine to the normal and
// what stands there.
type sight struct {
	cos  float32
	spot int32
}

// newTrace puts facets along a face and follows their rays, on all processors.
func newTrace(f Face) *trace {
	r := &trace{face: f, edges: f.edges()}
	r.low, r.high = f.Depths()
	for _, e := range r.edges {
		r.starts = append(r.starts, len(r.facets))
		l := math.Hypot(e.to.Y-e.from.Y, e.to.Z-e.from.Z)
		n := max(1, int(math.Ceil(l/spacing)))
		for i := range n {
			s := (float64(i) + 0.5) / float64(n)
			r.facets = append(r.facets, facet{
				y: e.from.Y + s*(e.to.Y-e.from.Y), z: e.from.Z + s*(e.to.Z-e.from.Z), ny: e.ny, nz: e.nz,
			})
		}
	}
	r.starts = append(r.starts, len(r.facets))
	r.follow()
	return r
}

// follow looks all around every facet: bin k is at (k + 1/2)/angles x 180 - 180 degrees,
// since undersides see the face below; profileAngle(0) is at angles/2.
func (r *trace) follow() {
	var sin, cos [2 * angles]float64
	for k := range sin {
		sin[k], cos[k] = math.Sincos((float64(k)+0.5)/angles*math.Pi - math.Pi)
	}
	cores.Bands(len(r.facets), 16, func(from, to int) {
		for i := from; i < to; i++ {
			r.around(&r.facets[i], &sin, &cos)
		}
	})
}

// around looks in all directions from a facet.
func (r *trace) around(p *facet, sin, cos *[2 * angles]float64) {
	var free [angles]float32
	var buffer [2 * angles]sight
	sees := buffer[:0]
	clear := r.clear(p)
	for k, up := range sin {
		c := p.ny*up + p.nz*cos[k]
		if c <= 0 {
			continue
		}
		if !clear.passes(up, cos[k]) {
			if t, at, hidden := r.hit(p.y, p.z, up, cos[k], leastStep); hidden {
				sees = append(sees, sight{float32(c), int32(r.spotAt(at, p.y+t*up, p.z+t*cos[k]))})
				continue
			}
		}
		if k -= angles / 2; k >= 0 && k < angles {
			free[k] = float32(c)
		}
	}
	p.sees = slices.Clone(sees)
	for k := angles - 1; k >= 0; k-- {
		p.above[k] = p.above[k+1] + free[k]
	}
}

// clearance is how far up and down the wall nothing stands further out than a facet, and
// how much further out a face stands at most.
type clearance struct{ up, down, out float64 }

func (r *trace) clear(p *facet) clearance {
	const touch = 1e-9
	c := clearance{r.face.Period, r.face.Period, r.high - p.z}
	for i := range r.edges {
		from, to := r.edges[i].from, r.edges[i].to
		if max(from.Z, to.Z) <= p.z+touch || p.height(from) < touch && p.height(to) < touch {
			continue // it stands no further out, or lies in the facet's own plane
		}
		if from.Z < p.z { // only the rest of it stands out further
			from.Y += (to.Y - from.Y) * (p.z - from.Z) / (to.Z - from.Z)
		} else if to.Z < p.z {
			to.Y += (from.Y - to.Y) * (p.z - to.Z) / (from.Z - to.Z)
		}
		for _, shift := range [3]float64{-r.face.Period, 0, r.face.Period} {
			low, high := min(from.Y, to.Y)+shift-p.y, max(from.Y, to.Y)+shift-p.y
			if high > touch {
				c.up = min(c.up, max(0, low))
			}
			if low < -touch {
				c.down = min(c.down, max(0, -high))
			}
		}
	}
	return c
}

// height of a place over the plane that the facet lies in, whichever way.
func (p *facet) height(q Place) float64 { return math.Abs((q.Y-p.y)*p.ny + (q.Z-p.z)*p.nz) }

// passes says that a ray leaves the face's depths before it can meet anything.
func (c *clearance) passes(up, out float64) bool {
	if up < 0 {
		return out > 0 && c.out*-up < out*c.down
	}
	return out > 0 && c.out*up < out*c.up
}

// hit follows a ray from (y, z) along (dy, dz), of any length, to the first stretch
// that it meets from outside beyond the distance least (in lengths of the direction):
// the distance, and the stretch's number. Rays that run along the wall for more than
// two periods count as meeting nothing.
func (r *trace) hit(y, z, dy, dz, least float64) (t float64, at int, ok bool) {
	t = math.Inf(1)
	if dz >= 0 && z >= r.high && least >= 0 {
		return t, 0, false
	}
	first, last := r.periods(y, z, dy, dz)
	for k := first; k <= last; k++ {
		shift := float64(k)*r.face.Period - y
		for i := range r.edges {
			e := &r.edges[i]
			ey, ez := e.to.Y-e.from.Y, e.to.Z-e.from.Z
			det := dy*ez - dz*ey // more than 0 from outside
			if det <= 0 {
				continue
			}
			// The distance is s/det, the place on the stretch u/det of its length.
			oy, oz := e.from.Y+shift, e.from.Z-z
			s, u := oy*ez-oz*ey, dz*oy-dy*oz
			if s <= least*det || s >= t*det || u < -1e-12*det || u > det+1e-12*det {
				continue
			}
			t, at, ok = s/det, i, true
		}
	}
	return t, at, ok
}

// periods bounds the periods that a ray can meet before it leaves the face's depths.
func (r *trace) periods(y, z, dy, dz float64) (first, last int) {
	p := r.face.Period
	far := 2 * p
	if dz != 0 {
		far = min(far, max((r.low-z)/dz, (r.high-z)/dz)*math.Abs(dy))
	}
	from, to := y, y+math.Copysign(max(0, far), dy)
	return int(math.Floor((min(from, to) - 1e-9) / p)), int(math.Floor((max(from, to) + 1e-9) / p))
}

// spotAt is the spot of edge at next to a place on it, in any period.
func (r *trace) spotAt(at int, y, z float64) int {
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

// sight is how a viewer meets the cross-section at one height: the spot, and the
// depth at which it lies.
func (r *trace) sight(y, slope, reference float64) (at int, z float64) {
	front := r.high + 0.01
	y -= slope * (front - reference)
	t, e, ok := r.hit(y, front, slope, -1, 0)
	if !ok { // seen at a slope that no ray comes through; the front will do
		return 0, r.high
	}
	z = front - t
	return r.spotAt(e, y+t*slope, z), z
}
