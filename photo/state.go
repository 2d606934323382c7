package photo

import (
	"math"

	"coilwright/adjust"
)

// state is a full guess: cameras, where walls stand, and the classes' coordinates
// (inches).
type state struct {
	cams   []Camera
	turn   []float64    // of each wall: the angle from X to its own x direction
	origin [][2]float64 // of walls that hang on none, where their x is 0
	x, y   []float64    // by class
	lines  []straightLine
}

// straightLine is a straight edge in a photo without distortion: unit normal at
// angle Phi, distance Rho from the axis, and where along it each point lies, all
// in units of the focal length.
type straightLine struct {
	photo    int
	phi, rho float64
	along    []float64
	at       []Pixel
}

func (s state) clone() state {
	c := state{append([]Camera(nil), s.cams...), append([]float64(nil), s.turn...), append([][2]float64(nil), s.origin...),
		append([]float64(nil), s.x...), append([]float64(nil), s.y...), append([]straightLine(nil), s.lines...)}
	for i, l := range c.lines {
		c.lines[i].along = append([]float64(nil), l.along...)
	}
	return c
}

// Unknowns of one camera, in this order: three of rotation, three of translation,
// the logarithm of the focal length, the principal point, k1, k2.
const (
	ofTurn = iota * 3
	ofShift
	ofLens
	perCamera = 11
)

// numbering gives each quantity of a state its number among the unknowns; -1 is
// held.
type numbering struct {
	turn, origin []int // origin: the first of two
	x, y         []int
	lines        []int // phi, rho, then the points along it
	count        int
}

func newNumbering(m model, lines []straightLine) numbering {
	n := numbering{count: perCamera * len(m.photos)}
	take := func(count int) int {
		n.count += count
		return n.count - count
	}
	n.x, n.y = make([]int, m.nx), make([]int, m.ny)
	for _, w := range m.walls {
		n.x[m.vertices[w.anchor].x] = -1
	}
	n.y[m.vertices[m.walls[0].anchor].y] = -1
	for i, w := range m.walls {
		turn, origin := -1, -1
		if i > 0 {
			turn = take(1)
			if w.parent < 0 {
				origin = take(2)
			}
		}
		n.turn, n.origin = append(n.turn, turn), append(n.origin, origin)
	}
	for _, classes := range [][]int{n.x, n.y} {
		for i := range classes {
			if classes[i] == 0 {
				classes[i] = take(1)
			}
		}
	}
	for _, l := range lines {
		n.lines = append(n.lines, take(2+len(l.along)))
	}
	return n
}

// move gives the state after a step of the unknowns.
func (n numbering) move(s state, step []float64) state {
	c := s.clone()
	for i := range c.cams {
		d := step[perCamera*i : perCamera*i+perCamera]
		c.cams[i].R = turned(Vec{d[0], d[1], d[2]}, c.cams[i].R)
		c.cams[i].T = c.cams[i].T.Add(Vec{d[3], d[4], d[5]})
		c.cams[i].Focal *= math.Exp(d[6])
		c.cams[i].CX += d[7]
		c.cams[i].CY += d[8]
		c.cams[i].K1 += d[9]
		c.cams[i].K2 += d[10]
	}
	shift := func(v *float64, at int) {
		if at >= 0 {
			*v += step[at]
		}
	}
	for i := range c.turn {
		shift(&c.turn[i], n.turn[i])
		if at := n.origin[i]; at >= 0 {
			shift(&c.origin[i][0], at)
			shift(&c.origin[i][1], at+1)
		}
	}
	for i := range c.x {
		shift(&c.x[i], n.x[i])
	}
	for i := range c.y {
		shift(&c.y[i], n.y[i])
	}
	for i, at := range n.lines {
		shift(&c.lines[i].phi, at)
		shift(&c.lines[i].rho, at+1)
		for k := range c.lines[i].along {
			shift(&c.lines[i].along[k], at+2+k)
		}
	}
	return c
}

// turned gives R turned by the rotation vector w: exp(w) R (Rodrigues).
func turned(w Vec, r Rotation) Rotation {
	angle := w.Len()
	axis := w.Unit()
	sin, cos := math.Sincos(angle)
	var out Rotation
	for j := range 3 {
		column := Vec{at(r[0], j), at(r[1], j), at(r[2], j)}
		v := column.Scale(cos).Add(axis.Cross(column).Scale(sin)).Add(axis.Scale(axis.Dot(column) * (1 - cos)))
		set(&out[0], j, v.X)
		set(&out[1], j, v.Y)
		set(&out[2], j, v.Z)
	}
	return out
}

func at(v Vec, i int) float64 { return [3]float64{v.X, v.Y, v.Z}[i] }

func set(v *Vec, i int, to float64) { *[3]*float64{&v.X, &v.Y, &v.Z}[i] = to }

// place is a point of the world with its derivatives.
type place struct {
	at    Vec
	slope []slope
}

type slope struct {
	unknown int
	by      Vec
}

func (p *place) add(unknown int, by Vec) {
	if unknown >= 0 {
		p.slope = append(p.slope, slope{unknown, by})
	}
}

func along(turn float64) Vec {
	sin, cos := math.Sincos(turn)
	return Vec{cos, sin, 0}
}

func across(turn float64) Vec { // the derivative of along
	sin, cos := math.Sincos(turn)
	return Vec{-sin, cos, 0}
}

// frames gives where each wall's x is 0, parents before children.
func (m model) frames(n numbering, s state) []place {
	out := make([]place, len(m.walls))
	done := make([]bool, len(m.walls))
	var find func(i int) place
	find = func(i int) place {
		if done[i] {
			return out[i]
		}
		w := m.walls[i]
		p := place{at: Vec{s.origin[i][0], s.origin[i][1], 0}}
		if at := n.origin[i]; at >= 0 {
			p.add(at, Vec{X: 1})
			p.add(at+1, Vec{Y: 1})
		}
		if w.parent >= 0 {
			p = m.onWall(n, s, find(w.parent), w.parent, m.vertices[w.hinge].x)
		}
		out[i], done[i] = p, true
		return p
	}
	for i := range m.walls {
		find(i)
	}
	return out
}

// onWall gives the foot, at height 0, of x class c on wall i whose frame is given.
func (m model) onWall(n numbering, s state, frame place, i, c int) place {
	d := along(s.turn[i])
	p := place{at: frame.at.Add(d.Scale(s.x[c])), slope: append([]slope(nil), frame.slope...)}
	p.add(n.x[c], d)
	p.add(n.turn[i], across(s.turn[i]).Scale(s.x[c]))
	return p
}

// vertex gives a vertex's place.
func (m model) vertex(n numbering, s state, frames []place, v int) place {
	c := m.vertices[v]
	p := m.onWall(n, s, frames[c.wall], c.wall, c.x)
	p.at.Z = s.y[c.y]
	p.add(n.y[c.y], Vec{Z: 1})
	return p
}

// sightings gives the two rows (x and y of a pixel) that a camera's sight of a
// place yields.
func sightings(cam Camera, base int, p place, seen Pixel, sigma float64) [2]adjust.Row {
	turned := cam.R.Apply(p.at)
	q := turned.Add(cam.T)
	if !(q.Z > 0) { // behind the camera: no step may lead here
		return [2]adjust.Row{{Value: math.Inf(1), Sigma: sigma}, {Value: math.Inf(1), Sigma: sigma}}
	}
	s := cam.sight(q.X/q.Z, q.Y/q.Z, base)
	rows := s.rows(seen, sigma)
	for k := range rows {
		// du/dq, with q = (x z, y z, z).
		g := Vec{s.du[k][0], s.du[k][1], -(s.du[k][0]*s.x + s.du[k][1]*s.y)}.Scale(1 / q.Z)
		spin := turned.Cross(g) // g . (w x turned) = w . (turned x g)
		back := cam.R.Back(g)
		rows[k].Terms = append(rows[k].Terms,
			adjust.Term{At: base, By: spin.X}, adjust.Term{At: base + 1, By: spin.Y}, adjust.Term{At: base + 2, By: spin.Z},
			adjust.Term{At: base + 3, By: g.X}, adjust.Term{At: base + 4, By: g.Y}, adjust.Term{At: base + 5, By: g.Z})
		for _, d := range p.slope {
			rows[k].Terms = append(rows[k].Terms, adjust.Term{At: d.unknown, By: back.Dot(d.by)})
		}
	}
	return rows
}

// sight is what the lens makes of the direction (x, y, 1): a pixel and its
// derivatives.
type sight struct {
	x, y float64
	at   Pixel
	du   [2][2]float64 // of pixel u and v with respect to x and y
	lens [2][5]float64 // with respect to log focal, CX, CY, K1, K2
	base int
}

func (l Lens) sight(x, y float64, base int) sight {
	r2 := x*x + y*y
	d := 1 + r2*(l.K1+r2*l.K2)
	e := l.Focal * 2 * (l.K1 + 2*r2*l.K2)
	px, py := l.Focal*x, l.Focal*y
	return sight{x, y, Pixel{px*d + l.CX, py*d + l.CY},
		[2][2]float64{{l.Focal*d + e*x*x, e * x * y}, {e * x * y, l.Focal*d + e*y*y}},
		[2][5]float64{{px * d, 1, 0, px * r2, px * r2 * r2}, {py * d, 0, 1, py * r2, py * r2 * r2}}, base}
}

// rows are observed less computed with the lens's derivatives.
func (s sight) rows(seen Pixel, sigma float64) [2]adjust.Row {
	out := [2]adjust.Row{{Value: seen.U - s.at.U, Sigma: sigma}, {Value: seen.V - s.at.V, Sigma: sigma}}
	for k := range out {
		out[k].Terms = make([]adjust.Term, 0, 20)
		for j, by := range s.lens[k] {
			out[k].Terms = append(out[k].Terms, adjust.Term{At: s.base + ofLens + j, By: by})
		}
	}
	return out
}

// straightRows gives the rows of one straight edge's points.
func straightRows(cam Camera, base, first int, l straightLine, sigma float64) []adjust.Row {
	var out []adjust.Row
	sin, cos := math.Sincos(l.phi)
	for k, a := range l.along {
		x, y := l.rho*cos-a*sin, l.rho*sin+a*cos
		s := cam.sight(x, y, base)
		rows := s.rows(l.at[k], sigma)
		for i := range rows {
			gx, gy := s.du[i][0], s.du[i][1]
			rows[i].Terms = append(rows[i].Terms,
				adjust.Term{At: first, By: gx*(-l.rho*sin-a*cos) + gy*(l.rho*cos-a*sin)},
				adjust.Term{At: first + 1, By: gx*cos + gy*sin},
				adjust.Term{At: first + 2 + k, By: -gx*sin + gy*cos})
			out = append(out, rows[i])
		}
	}
	return out
}
