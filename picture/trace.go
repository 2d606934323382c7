package picture

import "math"

// trace is a face as rays see it: what is the same under every light.
type trace struct {
	face      Face
	edges     []edge
	low, high float64 // its depths
	spots     []spot
	starts    []int // first spot of each edge, and the end
	rays      []rays
}

// ray is what a spot sees in one direction: cos to its normal, 0 or less behind it, and
// the spot of the face that stands there, -1 for none.
type ray struct {
	cos  float64
	seen int32
}

// rays are those of a spot all around: bin k is at (k + 1/2)/angles x 180 - 180 degrees,
// since undersides see the face below; profileAngle(0) is at angles/2.
type rays [2 * angles]ray

// newTrace puts spots along a face and follows their rays, on all processors.
func newTrace(f Face) *trace {
	r := &trace{face: f, edges: f.edges()}
	r.low, r.high = f.Depths()
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
	r.follow()
	return r
}

func (r *trace) follow() {
	var sin, cos [2 * angles]float64
	for k := range sin {
		sin[k], cos[k] = math.Sincos((float64(k)+0.5)/angles*math.Pi - math.Pi)
	}
	r.rays = make([]rays, len(r.spots))
	const block = 16
	parallel((len(r.spots)+block-1)/block, func(n int) {
		for i := n * block; i < min(len(r.spots), (n+1)*block); i++ {
			s := &r.spots[i]
			for k := range r.rays[i] {
				to := ray{s.ny*sin[k] + s.nz*cos[k], -1}
				if to.cos > 0 {
					if t, at, hidden := r.hit(s.y, s.z, sin[k], cos[k], leastStep); hidden {
						to.seen = int32(r.spotAt(at, s.y+t*sin[k], s.z+t*cos[k]))
					}
				}
				r.rays[i][k] = to
			}
		}
	})
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
