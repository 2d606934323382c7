package photo

import (
	"math"
	"slices"
)

// Vanishing is where lines that are parallel on the house meet in the picture, as
// a direction in the camera's frame, and the segments that run there (numbers in
// the list that it was found from).
type Vanishing struct {
	Direction Vec
	Segments  []int
}

// VanishingLines groups segments by the direction in space that they may share:
// first what is upright, then what is level, up to two groups. The lens needs a
// focal length (any plausible one: groups barely depend on it) and the picture's
// middle. Groups hold at least five segments. Of the pairs of the longest segments
// the one whose meeting most others agree with is taken (Fischler and Bolles, 1981,
// but with all pairs instead of a sample), then least squares over what agrees.
func VanishingLines(segments []Segment, lens Lens) (upright Vanishing, level []Vanishing) {
	rays := make([][2]Vec, len(segments))
	free := make([]bool, len(segments))
	for i, s := range segments {
		rays[i] = [2]Vec{lens.ray(s.A), lens.ray(s.B)}
		free[i] = true
	}
	v := vanisher{rays, segments, free}
	steep := func(s Segment) bool { return math.Abs(s.B.V-s.A.V) > math.Abs(s.B.U-s.A.U) }
	upright = v.group(steep, func(d Vec) bool { return math.Abs(d.Y) > 0.85 })
	any := func(Segment) bool { return true }
	for range 2 {
		up := upright.Direction
		if up == (Vec{}) {
			up = Vec{Y: -1}
		}
		g := v.group(any, func(d Vec) bool { return math.Abs(d.Dot(up)) < 0.12 })
		if len(g.Segments) == 0 {
			break
		}
		level = append(level, g)
	}
	return upright, level
}

type vanisher struct {
	rays     [][2]Vec
	segments []Segment
	free     []bool
}

// agrees says that segment i points at direction d: turned about its middle by
// less than two degrees it would.
func (v vanisher) agrees(i int, d Vec) bool {
	r := v.rays[i]
	middle := r[0].Add(r[1]).Unit()
	n := r[0].Cross(r[1]).Unit()
	m := middle.Cross(d)
	if l := m.Len(); l > 1e-9 {
		return math.Abs(n.Dot(m.Scale(1/l))) > math.Cos(2*math.Pi/180)
	}
	return false
}

// group finds the direction that most length agrees on, among those allowed, as the
// longest of the likely segments propose them.
func (v vanisher) group(likely func(Segment) bool, allowed func(Vec) bool) Vanishing {
	var open []int
	for i := range v.segments {
		if v.free[i] && likely(v.segments[i]) {
			open = append(open, i)
		}
	}
	if len(open) < 5 {
		return Vanishing{}
	}
	open = open[:min(len(open), 400)] // the longest tell most
	best, most := Vec{}, 0.0
	for k, a := range open[:min(len(open), tried)] {
		for _, b := range open[:k] {
			d := v.rays[a][0].Cross(v.rays[a][1]).Cross(v.rays[b][0].Cross(v.rays[b][1])).Unit()
			if d == (Vec{}) || !allowed(d) {
				continue
			}
			if sum := v.agreeing(open, d); sum > most {
				best, most = d, sum
			}
		}
	}
	return v.settle(best, allowed)
}

// tried is how many of the longest segments are paired.
const tried = 100

// agreeing is the length of all segments that point at d.
func (v vanisher) agreeing(open []int, d Vec) float64 {
	sum := 0.0
	for _, i := range open {
		if v.agrees(i, d) {
			sum += v.segments[i].Length()
		}
	}
	return sum
}

// settle refines a direction by least squares over what agrees, and takes those.
func (v vanisher) settle(d Vec, allowed func(Vec) bool) Vanishing {
	var in []int
	for range 3 {
		if d == (Vec{}) {
			return Vanishing{}
		}
		var normals []Vec
		in = in[:0]
		for i := range v.segments {
			if v.free[i] && v.agrees(i, d) {
				in = append(in, i)
				normals = append(normals, v.rays[i][0].Cross(v.rays[i][1]))
			}
		}
		if len(in) < 5 {
			return Vanishing{}
		}
		if next := leastAlong(normals); allowed(next) {
			d = next
		}
	}
	for _, i := range in {
		v.free[i] = false
	}
	return Vanishing{d, slices.Clone(in)}
}

// LensOf is the lens of a picture of that size: of the focal length that its camera
// wrote, or of the usual one where that is 0.
func LensOf(width, height int, focal float64) Lens {
	w, h := float64(width), float64(height)
	if focal <= 0 {
		focal = usualFocal * math.Hypot(w, h)
	}
	return Lens{Focal: focal, CX: w / 2, CY: h / 2}
}

// Point is where the group's lines meet in the picture; ok is false where they run
// parallel there.
func (v Vanishing) Point(lens Lens) (at Pixel, ok bool) {
	if math.Abs(v.Direction.Z) < 1e-6 {
		return Pixel{}, false
	}
	return Pixel{lens.Focal*v.Direction.X/v.Direction.Z + lens.CX, lens.Focal*v.Direction.Y/v.Direction.Z + lens.CY}, true
}
