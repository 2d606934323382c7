package survey

import (
	"math"

	"coilwright/adjust"
)

// Observable is what a reading is of: a function of the unknowns.
type Observable interface {
	// at gives its value and its derivatives.
	at(x []float64) (float64, []adjust.Term)
	// differ gives read less computed.
	differ(read, computed float64) float64
}

// Sum reads a sum of unknowns: one size, a whole of several parts, a difference
// of heights.
type Sum []adjust.Term

// Size reads one unknown.
func Size(at int) Sum { return Sum{{At: at, By: 1}} }

// Level reads how much higher to lies than from.
func Level(from, to int) Sum { return Sum{{At: to, By: 1}, {At: from, By: -1}} }

func (s Sum) at(x []float64) (float64, []adjust.Term) {
	sum := 0.0
	for _, t := range s {
		sum += t.By * x[t.At]
	}
	return sum, s
}

func (Sum) differ(read, computed float64) float64 { return read - computed }

// Station is a point of the plane: the numbers of its two unknowns. Whether X
// runs north or east matters only to angles and directions: they turn from X
// towards Y.
type Station struct{ X, Y int }

// Distance reads how far two stations are apart.
type Distance struct{ From, To Station }

func (d Distance) at(x []float64) (float64, []adjust.Term) {
	dx, dy := x[d.To.X]-x[d.From.X], x[d.To.Y]-x[d.From.Y]
	s := math.Hypot(dx, dy)
	if s == 0 { // any direction is as good as another
		return 0, []adjust.Term{{At: d.To.X, By: 1}, {At: d.From.X, By: -1}}
	}
	return s, []adjust.Term{{At: d.To.X, By: dx / s}, {At: d.To.Y, By: dy / s}, {At: d.From.X, By: -dx / s}, {At: d.From.Y, By: -dy / s}}
}

func (Distance) differ(read, computed float64) float64 { return read - computed }

// bearing is the angle from X towards Y of the line from a to b, and its
// derivatives times by.
func bearing(x []float64, a, b Station, by float64) (float64, []adjust.Term) {
	dx, dy := x[b.X]-x[a.X], x[b.Y]-x[a.Y]
	s2 := dx*dx + dy*dy
	if s2 == 0 {
		s2 = math.SmallestNonzeroFloat64 // dx and dy are 0: no slope
	}
	px, py := by*dy/s2, by*dx/s2
	return math.Atan2(dy, dx), []adjust.Term{{At: b.X, By: -px}, {At: b.Y, By: py}, {At: a.X, By: px}, {At: a.Y, By: -py}}
}

// Angle reads, at one station, the turn from another to a third, in radians, from
// X towards Y.
type Angle struct{ At, From, To Station }

func (a Angle) at(x []float64) (float64, []adjust.Term) {
	to, toSlope := bearing(x, a.At, a.To, 1)
	from, fromSlope := bearing(x, a.At, a.From, -1)
	return to - from, append(toSlope, fromSlope...)
}

func (Angle) differ(read, computed float64) float64 { return math.Remainder(read-computed, 2*math.Pi) }

// Direction reads the bearing of a line on a circle whose zero has an unknown
// bearing of its own, in radians.
type Direction struct {
	At, To Station
	Zero   int
}

func (d Direction) at(x []float64) (float64, []adjust.Term) {
	b, slope := bearing(x, d.At, d.To, 1)
	return b - x[d.Zero], append(slope, adjust.Term{At: d.Zero, By: -1})
}

func (Direction) differ(read, computed float64) float64 {
	return math.Remainder(read-computed, 2*math.Pi)
}
