package plane

import (
	"cmp"
	"slices"
)

// Side says where a point lies against a ring.
type Side int

// The sides.
const (
	Outside Side = iota
	OnLine
	Inside
)

// Where says whether p lies inside, outside or on r. Exact.
func (r Ring) Where(p Point) Side {
	inside := false
	for i, a := range r {
		b := r[(i+1)%len(r)]
		if between(a, b, p) {
			return OnLine
		}
		if (a.Y > p.Y) == (b.Y > p.Y) {
			continue
		}
		turn := Turn(a, b, p)
		if (b.Y > a.Y) == (turn > 0) {
			inside = !inside
		}
	}
	if inside {
		return Inside
	}
	return Outside
}

// between says whether p lies on the closed segment from a to b. Exact.
func between(a, b, p Point) bool {
	return p.X >= min(a.X, b.X) && p.X <= max(a.X, b.X) &&
		p.Y >= min(a.Y, b.Y) && p.Y <= max(a.Y, b.Y) && Turn(a, b, p) == 0
}

// meet says whether the closed segments ab and cd share a point. Exact.
func meet(a, b, c, d Point) bool {
	if max(a.X, b.X) < min(c.X, d.X) || max(c.X, d.X) < min(a.X, b.X) ||
		max(a.Y, b.Y) < min(c.Y, d.Y) || max(c.Y, d.Y) < min(a.Y, b.Y) {
		return false
	}
	return Turn(a, b, c)*Turn(a, b, d) <= 0 && Turn(c, d, a)*Turn(c, d, b) <= 0
}

// Fault is why a ring is not a simple polygon.
type Fault int

// The faults; Sound is none.
const (
	Sound    Fault = iota
	TooFew         // fewer than three corners
	Doubled        // two neighbouring corners are the same point
	Crosses        // two edges cross or touch
	NoArea         // all corners on a line
	Backward       // clockwise
)

// Check says whether r is a simple counter-clockwise polygon, and else the first
// fault with the edges (or corners) it concerns. Exact; O(n log n) for outlines
// whose edges overlap little in x.
func (r Ring) Check() (f Fault, i, j int) {
	if len(r) < 3 {
		return TooFew, 0, 0
	}
	for i, p := range r {
		if p == r[(i+1)%len(r)] {
			return Doubled, i, (i + 1) % len(r)
		}
	}
	a := r.Area()
	if a.Hi == 0 && a.Lo == 0 {
		if f, i, j := r.crossing(); f != Sound {
			return f, i, j
		}
		return NoArea, 0, 0
	}
	if f, i, j := r.crossing(); f != Sound {
		return f, i, j
	}
	if !r.CounterClockwise() {
		return Backward, 0, 0
	}
	return Sound, 0, 0
}

// crossing finds two edges that meet elsewhere than in their common corner.
func (r Ring) crossing() (Fault, int, int) {
	n := len(r)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	left := func(i int) Length { return min(r[i].X, r[(i+1)%n].X) }
	right := func(i int) Length { return max(r[i].X, r[(i+1)%n].X) }
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(left(a), left(b)) })
	var active []int
	for _, i := range order {
		keep := active[:0]
		for _, j := range active {
			if right(j) < left(i) {
				continue
			}
			keep = append(keep, j)
			if r.conflict(i, j) {
				return Crosses, min(i, j), max(i, j)
			}
		}
		active = append(keep, i)
	}
	return Sound, 0, 0
}

func (r Ring) conflict(i, j int) bool {
	n := len(r)
	a, b, c, d := r[i], r[(i+1)%n], r[j], r[(j+1)%n]
	switch {
	case (i+1)%n == j:
		return n > 2 && folded(a, b, d)
	case (j+1)%n == i:
		return n > 2 && folded(c, d, b)
	}
	return meet(a, b, c, d)
}

// folded says whether b to c runs back over a to b.
func folded(a, b, c Point) bool {
	return Turn(a, b, c) == 0 && dot(b.Sub(a), c.Sub(b)).sign() < 0
}
