package server

import (
	"math"

	"coilwright/house"
	"coilwright/measure"
)

// PlanView is the house from above: x east, y north, in inches, from the first
// wall's left end.
type PlanView struct {
	Ring   []PlanWall `json:"ring" doc:"Walls joined by corners, in order from the first"`
	Apart  []string   `json:"apart" doc:"Walls that no corner joins to the ring"`
	Closes bool       `json:"closes" doc:"The ring comes back to where it began, within what the readings allow"`
	Joined bool       `json:"joined" doc:"The corners lead all the way round"`
	GapIn  float64    `json:"gap_in"`
	Gap    string     `json:"gap"`
	MayIn  float64    `json:"may_in" doc:"The gap that the readings' plus-minus allows, in inches"`
}

// PlanWall is one wall of the ring.
type PlanWall struct {
	Wall     string  `json:"wall"`
	FromIn   XY      `json:"from_in"`
	ToIn     XY      `json:"to_in"`
	FacesDeg float64 `json:"faces_deg"`
}

// squareWithin is by how many degrees two bearings may differ from a right angle
// and the corner still be taken as square: bearings are read off a hand compass
// (common practice, no source).
const squareWithin = 12

// planOf walks around the house from the first wall by its corners: along a wall
// to the right, then around the corner, as seen from outside.
func planOf(h *house.House, u measure.Units) PlanView {
	v := PlanView{Ring: []PlanWall{}, Apart: []string{}}
	seen := map[int]bool{}
	var at XY
	faces, entry := 180.0, 0
	if len(h.Walls) > 0 && h.Walls[0].FacesDeg != nil {
		faces = *h.Walls[0].FacesDeg
	}
	allowed := 0.0
	for wall := 0; wall < len(h.Walls) && len(h.Walls[wall].Outline) > 0; {
		seen[wall] = true
		next, cornerEdge, ok := nextWall(h, wall)
		length := along(&h.Walls[wall], entry, cornerEdge, len(v.Ring) > 0, ok)
		to := ahead(at, faces, length)
		v.Ring = append(v.Ring, PlanWall{h.Walls[wall].ID, at, to, faces})
		at = to
		allowed += square(plusMinus(&h.Walls[wall]))
		if !ok {
			break
		}
		faces = turned(h, wall, next, faces)
		wall, entry = next.Wall, next.Edge
		if seen[wall] {
			v.Joined = wall == 0
			break
		}
	}
	gap := math.Hypot(at[0], at[1])
	v.MayIn = math.Max(math.Sqrt(allowed), 0.5)
	v.Closes = v.Joined && len(v.Ring) > 2 && gap <= v.MayIn
	length := measure.FromInches(gap)
	v.GapIn, v.Gap = gap, length.Near(u, u.Step())
	for i := range h.Walls {
		if !seen[i] {
			v.Apart = append(v.Apart, h.Walls[i].ID)
		}
	}
	return v
}

func square(x float64) float64 { return x * x }

// plusMinus is what a wall's width may be wrong by, in inches; an unstated one is
// taken as an inch.
func plusMinus(w *house.Wall) float64 {
	if w.Measured.PlusMinus < 0 {
		return 1
	}
	return w.Measured.PlusMinus.Inches()
}

// nextWall finds the corner at a wall's right: the joined edge of greatest x, where
// the other wall is entered at its left.
func nextWall(h *house.House, wall int) (next house.EdgeRef, edge int, ok bool) {
	best := measure.Length(math.MinInt64)
	for _, c := range h.Corners {
		for i, mine := range c.Between {
			other := c.Between[1-i]
			if mine.Wall != wall || other.Wall == wall || !valid(h, mine) || !valid(h, other) || !leftOf(h, other) {
				continue
			}
			if x := edgeX(&h.Walls[wall], mine.Edge); x > best {
				best, next, edge, ok = x, other, mine.Edge, true
			}
		}
	}
	if ok && best <= boxOf(h.Walls[wall].Outline).Min.X {
		return next, edge, false
	}
	return next, edge, ok
}

func valid(h *house.House, e house.EdgeRef) bool {
	return e.Wall >= 0 && e.Wall < len(h.Walls) && e.Edge >= 0 && e.Edge < len(h.Walls[e.Wall].Outline)
}

func edgeX(w *house.Wall, e int) measure.Length {
	from, to := w.Edge(e)
	return (from.X + to.X) / 2
}

// leftOf says whether an edge lies in the left half of its wall.
func leftOf(h *house.House, e house.EdgeRef) bool {
	box := boxOf(h.Walls[e.Wall].Outline)
	return edgeX(&h.Walls[e.Wall], e.Edge) < (box.Min.X+box.Max.X)/2
}

// along is a wall's length between the corners that it is entered and left by.
func along(w *house.Wall, entry, leave int, entered, left bool) float64 {
	box := boxOf(w.Outline)
	from, to := box.Min.X, box.Max.X
	if entered {
		from = edgeX(w, entry)
	}
	if left {
		to = edgeX(w, leave)
	}
	return (to - from).Inches()
}

// ahead goes a length along a wall that faces a bearing: its right hand as seen
// from outside, a quarter turn before the way it faces.
func ahead(at XY, faces, length float64) XY {
	sin, cos := math.Sincos((faces - 90) * math.Pi / 180)
	return XY{clean(at[0] + length*sin), clean(at[1] + length*cos)}
}

// clean drops what only the sine's last digits left over.
func clean(x float64) float64 { return math.Round(x*1e6) / 1e6 }

// turned gives the bearing of the next wall: a right angle by the kind of corner,
// unless the walls' own bearings say that the corner is not square.
func turned(h *house.House, wall int, next house.EdgeRef, faces float64) float64 {
	by := -90.0
	for _, c := range h.Corners {
		if (c.Between[0].Wall == wall && c.Between[1] == next || c.Between[1].Wall == wall && c.Between[0] == next) && !c.Outside {
			by = 90
		}
	}
	a, b := h.Walls[wall].FacesDeg, h.Walls[next.Wall].FacesDeg
	if a != nil && b != nil {
		if d := math.Remainder(*b-*a, 360); math.Abs(math.Remainder(d-by, 360)) > squareWithin {
			by = d
		}
	}
	return math.Mod(faces+by+360, 360)
}
