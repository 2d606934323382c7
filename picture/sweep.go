package picture

import "math"

// met is what a sight meets of a face: a stretch, the share of its length up to there,
// and the depth.
type met struct {
	edge     int
	share, z float64
}

// spot of the face that is met.
func (t *trace) spot(m *met) int {
	n := t.starts[m.edge+1] - t.starts[m.edge]
	return t.starts[m.edge] + min(n-1, int(m.share*float64(n)))
}

// sights are evenly spaced sights on a cross-section: the first one's height where it
// passes the depth of reference, the step from one to the next, the first one's slope and
// how that changes.
type sights struct{ y, step, slope, change, reference float64 }

// sweep finds what each of several sights meets, as sight does for one: every stretch is
// laid over the sights that it may stop, and what stands furthest out is kept.
func (t *trace) sweep(s sights, out []met) {
	for i := range out {
		out[i] = met{0, 0, math.Inf(-1)}
	}
	first, last := s.periods(t, len(out))
	for k := first; k <= last; k++ {
		for e := range t.edges {
			s.lay(&t.edges[e], e, float64(k)*t.face.Period, out)
		}
	}
	for i := range out {
		if math.IsInf(out[i].z, -1) { // seen at a slope that no ray comes through; the front will do
			out[i] = met{0, 0, t.high}
		}
	}
}

// periods bounds the periods of a face that the first n sights can meet.
func (s *sights) periods(t *trace, n int) (first, last int) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, i := range [2]float64{0, float64(n - 1)} {
		for _, z := range [2]float64{t.low, t.high} {
			y := s.y + i*s.step + (s.slope+i*s.change)*(s.reference-z)
			low, high = min(low, y), max(high, y)
		}
	}
	return int(math.Floor((low - 1e-9) / t.face.Period)), int(math.Floor((high + 1e-9) / t.face.Period))
}

// seen is the number, with a fraction, of the sight that passes a place.
func (s *sights) seen(p Place, shift float64) float64 {
	in := s.reference - p.Z
	return (p.Y + shift - s.slope*in - s.y) / (s.step + s.change*in)
}

// lay keeps stretch number n, moved up by shift, where it stands furthest out so far.
func (s *sights) lay(e *edge, n int, shift float64, out []met) {
	const touch = 1e-6 // of a step: no sight slips through between two stretches
	from, to := s.seen(e.from, shift)-touch, s.seen(e.to, shift)+touch
	if to < 0 || from > float64(len(out)-1) {
		return
	}
	ey, ez := e.to.Y-e.from.Y, e.to.Z-e.from.Z
	in, y := s.reference-e.from.Z, s.y-e.from.Y-shift
	for i := int(math.Ceil(max(0, from))); i < len(out) && float64(i) <= to; i++ {
		k := float64(i)
		slope := s.slope + k*s.change
		across := ey + slope*ez
		if across <= 0 { // seen from behind
			continue
		}
		share := min(1, max(0, (y+k*s.step+slope*in)/across))
		if z := e.from.Z + share*ez; z > out[i].z {
			out[i] = met{n, share, z}
		}
	}
}
