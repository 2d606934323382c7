package draw

import (
	"math"
	"sort"
)

// Hatch fills closed rings (even-odd) with parallel lines at an angle in degrees,
// counter-clockwise from level, spacing millimetres apart. The lines are counted
// from the page's corner, so that neighbouring fields of one hatch run on.
func Hatch(rings [][]Point, degrees, spacing float64, pen Pen) Path {
	out := Path{Pen: pen}
	if spacing <= 0 {
		return out
	}
	s, c := math.Sincos(-degrees * math.Pi / 180)
	turned := make([][]Point, len(rings))
	low, high := math.Inf(1), math.Inf(-1)
	for i, r := range rings {
		for _, p := range r {
			q := Point{c*p.X + s*p.Y, -s*p.X + c*p.Y} // hatch lines become level
			turned[i] = append(turned[i], q)
			low, high = math.Min(low, q.Y), math.Max(high, q.Y)
		}
	}
	if !(high-low < 1e5*spacing) { // nothing, or more lines than any paper shows
		return out
	}
	for k := math.Floor(low/spacing) + 1; k*spacing < high; k++ {
		y := k * spacing
		xs := crossings(turned, y)
		for i := 0; i+1 < len(xs); i += 2 {
			a, b := Point{c*xs[i] - s*y, s*xs[i] + c*y}, Point{c*xs[i+1] - s*y, s*xs[i+1] + c*y}
			out.Lines = append(out.Lines, Line{Points: []Point{a, b}})
		}
	}
	return out
}

// crossings lists, in order, where a level line meets the rings; each edge holds
// its lower end only, so that a corner counts once.
func crossings(rings [][]Point, y float64) []float64 {
	var xs []float64
	for _, r := range rings {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			if (a.Y <= y) != (b.Y <= y) {
				xs = append(xs, a.X+(y-a.Y)/(b.Y-a.Y)*(b.X-a.X))
			}
		}
	}
	sort.Float64s(xs)
	return xs
}
