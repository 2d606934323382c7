package solid

import (
	"math"

	"coilwright/house"
)

// Vec is a place or a direction in metres: X to the east, Y up, Z to the south, the
// right-handed axes of glTF with Y up.
type Vec [3]float64

func (a Vec) add(b Vec, k float64) Vec { return Vec{a[0] + k*b[0], a[1] + k*b[1], a[2] + k*b[2]} }

// inch in metres.
const inch = 0.0254

// frame is where a wall stands: its corner x = y = 0 on the sheathing, and its
// directions to the right seen from outside, and outwards.
type frame struct {
	origin, right, out Vec
	faces              float64 // bearing in degrees
	placed             bool
}

// at is the place x, y on a wall in inches, z over its sheathing.
func (f frame) at(x, y, z float64) Vec {
	p := f.origin.add(f.right, x*inch).add(f.out, z*inch)
	p[1] += y * inch
	return p
}

// facing is a frame at an origin that looks to a bearing.
func facing(bearing float64, origin Vec) frame {
	sin, cos := math.Sincos(bearing * math.Pi / 180)
	// A wall's right hand, seen from outside, lies anticlockwise of where it looks.
	return frame{origin: origin, right: Vec{-cos, 0, -sin}, out: Vec{sin, 0, -cos}, faces: bearing, placed: true}
}

// apart is how far walls that no corner joins are set from what is placed, in metres.
const apart = 2.0

// stand places the walls: the first where its bearing says, the others as the corners
// join them, square where no bearing is known. Walls that no corner joins stand to the
// right of the rest; they are counted.
func stand(h house.House) (out []frame, loose int) {
	out = make([]frame, len(h.Walls))
	right := 0.0
	for i, w := range h.Walls {
		if out[i].placed {
			continue
		}
		bearing := 180.0
		if w.FacesDeg != nil {
			bearing = *w.FacesDeg
		}
		if i > 0 {
			loose++
			out[i] = facing(bearing, Vec{right + apart, 0, 0})
		} else {
			out[i] = facing(bearing, Vec{})
		}
		join(h, out, i)
		right = rightmost(h, out)
	}
	return out, loose
}

// rightmost is how far east the placed walls reach.
func rightmost(h house.House, at []frame) float64 {
	most := 0.0
	for i, w := range h.Walls {
		for _, p := range w.Outline {
			if at[i].placed {
				most = max(most, at[i].at(p.X.Inches(), p.Y.Inches(), 0)[0])
			}
		}
	}
	return most
}

// join places all walls that corners join to wall i, and on from there.
func join(h house.House, out []frame, i int) {
	for _, c := range h.Corners {
		for k, e := range c.Between {
			to := c.Between[1-k]
			if e.Wall != i || to.Wall < 0 || to.Wall >= len(out) || out[to.Wall].placed {
				continue
			}
			out[to.Wall] = beside(h, out[i], e, to, c.Outside)
			join(h, out, to.Wall)
		}
	}
}

// beside places a wall at the corner that its edge to shares with edge e of a wall that
// stands.
func beside(h house.House, f frame, e, to house.EdgeRef, outside bool) frame {
	turn := 90.0 // clockwise, past a left edge that is an outside corner
	if isRight(h, e) == outside {
		turn = -90
	}
	bearing := f.faces + turn
	if known := h.Walls[to.Wall].FacesDeg; known != nil {
		bearing = *known
	}
	corner := f.at(edgeX(h, e), 0, 0)
	out := facing(bearing, corner)
	out.origin = corner.add(out.right, -edgeX(h, to)*inch)
	return out
}

// edgeX is where an upright edge stands along its wall, in inches.
func edgeX(h house.House, e house.EdgeRef) float64 {
	a, b := h.Walls[e.Wall].Edge(e.Edge)
	return (a.X.Inches() + b.X.Inches()) / 2
}

// isRight says whether an edge is a right one: the outline runs up along it.
func isRight(h house.House, e house.EdgeRef) bool {
	a, b := h.Walls[e.Wall].Edge(e.Edge)
	return b.Y > a.Y
}

func (a Vec) unit() Vec {
	l := math.Sqrt(a[0]*a[0] + a[1]*a[1] + a[2]*a[2])
	if l == 0 {
		return Vec{0, 1, 0}
	}
	return Vec{a[0] / l, a[1] / l, a[2] / l}
}
