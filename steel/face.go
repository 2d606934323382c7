package steel

import (
	"math"
	"slices"

	"coilwright/measure"
	"coilwright/plane"
)

// finest is the smallest tolerance that arcs are flattened to, in inches; finer
// wishes are taken as this one.
const finest = 1e-6

// Points is the drawn line as a polyline for drawing and rendering: corners sharp,
// arcs replaced by chords that stray less than tolerance. X is depth, Y height.
func (s Section) Points(tolerance measure.Length) []plane.Point {
	at, _ := s.flatten(tolerance)
	return at
}

// flatten gives the polyline and, for each point, the span that it ends or lies in.
func (s Section) flatten(tolerance measure.Length) (at []plane.Point, owner []int) {
	if !s.Drawn() {
		return nil, nil
	}
	at, owner = append(at, s.d.Start), append(owner, 0)
	for i, sp := range s.d.Spans {
		if sp.Arc {
			for _, p := range s.chords(i, max(tolerance.Inches(), finest)) {
				at, owner = append(at, p), append(owner, i)
			}
		}
		at, owner = append(at, sp.To), append(owner, i)
	}
	return at, owner
}

// chords gives the inner points of arc i: a chord over the angle a strays by
// r (1 - cos(a/2)).
func (s Section) chords(i int, tolerance float64) []plane.Point {
	sp := s.d.Spans[i]
	radius, angle := s.arc(i)
	n := int(math.Ceil(angle / (2 * math.Acos(1-math.Min(tolerance/radius, 0.5)))))
	a, b := inches(s.from(i).Sub(sp.Centre)), inches(sp.To.Sub(sp.Centre))
	first, r0, r1 := math.Atan2(a.y, a.x), a.length(), b.length()
	if sp.Clockwise {
		angle = -angle
	}
	var out []plane.Point
	for j := 1; j < n; j++ {
		f := float64(j) / float64(n)
		sin, cos := math.Sincos(first + f*angle)
		r := r0 + f*(r1-r0)
		out = append(out, sp.Centre.Add(plane.Point{X: measure.FromInches(r * cos), Y: measure.FromInches(r * sin)}))
	}
	return out
}

// FacePoint is a place on the visible face: height over the lowest butt, depth
// over the sheathing.
type FacePoint struct{ Height, Depth measure.Length }

// Face is what is seen of a panel that covers the given height: for every height
// from 0 to cover the part of the line that stands out furthest, lowest first. At
// a step there are two points of one height. Arcs are flattened to the tolerance.
// It is empty where the line does not reach over the whole cover.
func (s Section) Face(cover, tolerance measure.Length) []FacePoint {
	line := s.Points(tolerance)
	heights := breaks(line, cover)
	var out []FacePoint
	for i := 0; i+1 < len(heights); i++ {
		low, high := heights[i], heights[i+1]
		a, b, ok := furthest(line, low, high)
		if !ok {
			return nil
		}
		for _, p := range []FacePoint{{low, a}, {high, b}} {
			if len(out) == 0 || out[len(out)-1] != p {
				out = append(out, p)
			}
		}
	}
	return straightened(out)
}

// Face is the panel's visible face over its cover.
func (p Panel) Face(tolerance measure.Length) []FacePoint {
	return p.Section.Face(p.Cover(), tolerance)
}

// breaks lists 0, cover and every height of a point between, rising.
func breaks(line []plane.Point, cover measure.Length) []measure.Length {
	out := []measure.Length{0, cover}
	for _, p := range line {
		if p.Y > 0 && p.Y < cover {
			out = append(out, p.Y)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// furthest finds the segment that stands out most in the band [low, high], which
// holds no point of the line inside; a line that does not cross itself has one.
// It gives the depths at low and high.
func furthest(line []plane.Point, low, high measure.Length) (a, b measure.Length, ok bool) {
	best := math.Inf(-1)
	for i := 0; i+1 < len(line); i++ {
		p, q := line[i], line[i+1]
		if min(p.Y, q.Y) > low || max(p.Y, q.Y) < high {
			continue
		}
		x0, x1 := depthAt(p, q, low), depthAt(p, q, high)
		if x0+x1 > best {
			best, ok = x0+x1, true
			a, b = measure.Length(math.Round(x0)), measure.Length(math.Round(x1))
		}
	}
	return a, b, ok
}

// depthAt is the depth, in nanometres, of the line through p and q at height y.
func depthAt(p, q plane.Point, y measure.Length) float64 {
	return float64(p.X) + float64(q.X-p.X)*float64(y-p.Y)/float64(q.Y-p.Y)
}

// straightened drops the points that lie on the straight line between their
// neighbours, to the nanometre.
func straightened(face []FacePoint) []FacePoint {
	var out []FacePoint
	for i, p := range face {
		if n := len(out); n > 0 && i+1 < len(face) {
			a, c := out[n-1], face[i+1]
			x := depthAt(plane.Point{X: a.Depth, Y: a.Height}, plane.Point{X: c.Depth, Y: c.Height}, p.Height)
			if a.Height < p.Height && p.Height < c.Height && math.Abs(x-float64(p.Depth)) <= 1 {
				continue
			}
		}
		out = append(out, p)
	}
	return out
}
