package job

import (
	"math"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/survey"
)

// How well houses keep the rules that they are built by, as a plus-minus (95 %).
// All assumed; wider than good building so that an old house is not called misread.
const (
	meetsWithin  = measure.Inch / 2 // two walls' edges at one corner, in height
	trueWithin   = 0.001            // plumb or level edges, by their length: an eighth of an inch in ten feet
	closesWithin = measure.Inch     // a ring of walls, each way
	overOld      = 3 * measure.Inch // the same where some walls were read over the old cladding
	stepped      = 3 * measure.Foot // edges that differ by more are meant to: House.Check tells
	squareWithin = 3                // degrees: a wall's bearing this near to square is square
	bearingDoubt = 2                // degrees (95 %) of a bearing that is not
)

// cornersMeet reads that the two edges of a corner have feet and tops at one height.
func (n *network) cornersMeet() {
	for k, c := range n.house.Corners {
		lowA, highA := n.ends(c.Between[0])
		lowB, highB := n.ends(c.Between[1])
		for _, p := range [2][2]Place{{lowA, lowB}, {highA, highB}} {
			if (p[1].At-p[0].At).Abs() > stepped || p[0] == p[1] {
				continue
			}
			n.add(note{kind: corner, place: p[0], entry: k}, n.between(p[0], p[1]), 0, survey.Sigma(meetsWithin))
		}
	}
}

// edgesTrue reads that edges which a person found plumb or level are so. An edge whose
// ends are drawn at one number is one place and needs no reading.
func (n *network) edgesTrue() {
	for i, w := range n.house.Walls {
		for axis, edges := range [2][]int{w.Plumb, w.Level} {
			for _, e := range edges {
				a, b := w.Edge(e)
				from, to := Place{i, -1, axis, coordinate(a, axis)}, Place{i, -1, axis, coordinate(b, axis)}
				if from == to {
					continue
				}
				within := max(measure.FromInches(trueWithin*distance(a, b)), finest)
				n.add(note{kind: straight, place: to, entry: i, first: e}, n.between(from, to), 0, survey.Sigma(within))
			}
		}
	}
}

// ends are the places of an edge's foot and top.
func (n *network) ends(e house.EdgeRef) (low, high Place) {
	a, b := n.house.Walls[e.Wall].Edge(e.Edge)
	return Place{e.Wall, -1, 1, min(a.Y, b.Y)}, Place{e.Wall, -1, 1, max(a.Y, b.Y)}
}

// side is one wall of a ring: the edges at which it joins the wall before and the
// next, as one walks round the house with the walls at one's left hand.
type side struct{ wall, left, right int }

// ringsClose reads that each closed ring of walls comes back to where it began,
// northwards and eastwards: in a square house, that opposite walls agree.
func (n *network) ringsClose() {
	for _, r := range rings(n.house) {
		if bearings, ok := n.bearings(r); ok {
			n.closes(r, bearings)
		}
	}
}

// rings finds the closed rings of walls. A wall's outline runs counter-clockwise,
// so that its edges at the right run upwards. Walls that more than one wall follows
// are in no ring.
func rings(h *house.House) [][]side {
	next := map[int][]side{} // the wall that follows, its left edge, and the right edge before it
	for _, c := range h.Corners {
		a, b := c.Between[0], c.Between[1]
		up, known := upwards(h, a)
		down, known2 := upwards(h, b)
		if !known || !known2 || up == down {
			continue
		}
		if !up {
			a, b = b, a
		}
		next[a.Wall] = append(next[a.Wall], side{b.Wall, b.Edge, a.Edge})
	}
	var out [][]side
	seen := make([]bool, len(h.Walls))
	for first := range h.Walls {
		var r []side
		for at := first; !seen[at] && len(next[at]) == 1; at = next[at][0].wall {
			seen[at] = true
			r = append(r, side{wall: at, right: next[at][0].right})
		}
		if len(r) < 3 || next[r[len(r)-1].wall][0].wall != first {
			continue
		}
		for i := range r {
			r[(i+1)%len(r)].left = next[r[i].wall][0].left
		}
		out = append(out, r)
	}
	return out
}

// upwards says whether an upright edge runs upwards; known is false for others.
func upwards(h *house.House, e house.EdgeRef) (up, known bool) {
	a, b := h.Walls[e.Wall].Edge(e.Edge)
	return b.Y > a.Y, a.X == b.X && a.Y != b.Y
}

// bearings are the directions of the ring's walls, walking; false where a wall does
// not say where it faces, or they do not turn once round.
func (n *network) bearings(r []side) ([]float64, bool) {
	out := make([]float64, len(r))
	for i, s := range r {
		faces := n.house.Walls[s.wall].FacesDeg
		if faces == nil {
			return nil, false
		}
		// Whoever faces a wall that looks south has its right hand to the east.
		out[i] = *faces - 90
	}
	turned := 0.0
	for i := range out {
		turned += math.Remainder(out[(i+1)%len(out)]-out[i], 360)
	}
	return out, math.Abs(math.Abs(turned)-360) < 1
}

// closes adds a ring's two sums. They are taken along the first wall and square to
// it: bearings are known to a few degrees only, but walls stand square to one
// another where they nearly do.
func (n *network) closes(r []side, bearings []float64) {
	var sums [2]survey.Sum
	within := closesWithin
	if n.overMixed(r) {
		within = overOld
	}
	variance := math.Pow(survey.Sigma(within), 2)
	for i, s := range r {
		turn := math.Remainder(bearings[i]-bearings[0], 360)
		square := math.Round(turn/90) * 90
		width := n.width(s)
		if math.Abs(turn-square) > squareWithin {
			square = turn
			off := n.drawnWidth(s).Inches() * bearingDoubt / 1.96 * math.Pi / 180
			variance += off * off
		}
		sin, cos := math.Sincos(square * math.Pi / 180)
		for axis, by := range [2]float64{cos, sin} {
			for _, t := range width {
				if math.Abs(by) > 1e-9 { // rounding of a right angle
					sums[axis] = append(sums[axis], survey.Sum{{At: t.At, By: by * t.By}}...)
				}
			}
		}
	}
	for _, sum := range sums {
		if len(sum) > 1 {
			n.add(note{kind: ring, place: Place{r[0].wall, -1, 0, 0}, entry: r[0].wall}, sum, 0, math.Sqrt(variance))
		}
	}
}

// width is how far apart the edges are at which a wall of a ring joins its
// neighbours.
func (n *network) width(s side) survey.Sum {
	w := n.house.Walls[s.wall]
	return n.between(Place{s.wall, -1, 0, w.Outline[s.left].X}, Place{s.wall, -1, 0, w.Outline[s.right].X})
}

func (n *network) drawnWidth(s side) measure.Length {
	w := n.house.Walls[s.wall]
	return w.Outline[s.right].X - w.Outline[s.left].X
}

// overMixed says whether the ring's walls were read over different surfaces.
func (n *network) overMixed(r []side) bool {
	for _, s := range r {
		if n.house.Walls[s.wall].Over != n.house.Walls[r[0].wall].Over {
			return true
		}
	}
	return false
}
