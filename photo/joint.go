package photo

import (
	"math"
	"slices"

	"coilwright/adjust"
)

// Spot is a marked corner: number Corner of a wall's outline, or, where Opening is
// named, of that opening's four, from its lower left.
type Spot struct {
	Wall, Opening string
	Corner        int
}

// Side is a line of an opening.
type Side int

// The sides of an opening, and none.
const (
	NoSide Side = iota
	Left
	Right
	Sill
	Head
)

// Coordinate is one number that a solution gives: x (Axis 0) from the first corner
// of the wall's outline, or height (Axis 1) over that of the first wall. It is of
// corner Corner of the outline or, where Opening is named, of one of its sides.
type Coordinate struct {
	Wall, Opening string
	Corner        int
	Side          Side
	Axis          int
}

// Joint is coordinates that hang together: values and full covariance, in inches.
type Joint struct {
	Coordinates []Coordinate
	Values      []float64
	Cov         adjust.Symmetric
}

// Taped is a known length between two marked corners of one wall: whoever weighs
// the solution against other readings of it leaves it out of Joint, so that it
// counts once.
type Taped struct {
	Photo, Index  int // Marks.Lengths[Index] of that photo
	Ends          [2]Spot
	Inches, Sigma float64
	Across, Up    float64 // of the direction from the first end to the second
}

// Taped lists the known lengths whose both ends are marked corners of one wall.
func (s Solution) Taped() []Taped {
	var out []Taped
	z := sizes{s.model, s.fitted, 1}
	for _, l := range s.model.lengths {
		a, okA := s.model.spot(l.a)
		b, okB := s.model.spot(l.b)
		if !okA || !okB || a.Wall != b.Wall {
			continue
		}
		dx, dy := z.x(l.b).value-z.x(l.a).value, z.y(l.b).value-z.y(l.a).value
		if long := math.Hypot(dx, dy); long > 0 {
			out = append(out, Taped{l.photo, l.index, [2]Spot{a, b}, l.inches, l.sigma, dx / long, dy / long})
		}
	}
	return out
}

// spot names a vertex; false for a point that is no corner.
func (m model) spot(v int) (Spot, bool) {
	for _, w := range m.walls {
		if k := slices.Index(w.outline, v); k >= 0 {
			return Spot{w.id, "", k}, true
		}
		for _, o := range w.openings {
			if k := slices.Index(o.corners[:], v); k >= 0 {
				return Spot{w.id, o.id, k}, true
			}
		}
	}
	return Spot{}, false
}

// loose is how well a length that is left out is still taken to be known, relative
// to itself: the marks alone know the shape of everything and the size of nothing.
// It is wide beside what a camera says of a shape (a part in a hundred or better) and
// narrow beside where a straight line no longer serves.
const loose = 0.2

// Joint gives all coordinates with the covariance that they have without the lengths
// left out, which then settle the scale loosely only. The factor of the solution is
// in it. The error is one of the marks, as of Solve.
func (s Solution) Joint(without []Taped) (Joint, error) {
	m, f := s.model, s.fitted
	if len(without) > 0 {
		m.lengths = slices.Clone(m.lengths)
		for i, l := range m.lengths {
			if slices.ContainsFunc(without, func(t Taped) bool { return t.Photo == l.photo && t.Index == l.index }) {
				m.lengths[i].sigma = loose * l.inches / s.Factor
			}
		}
		var err error
		if f, err = m.adjusted(f.state, f.edges); err != nil {
			return Joint{}, err
		}
	}
	z := sizes{m, f, s.Factor}
	var out Joint
	var forms []form
	for i := range m.walls {
		z.coordinates(i, func(c Coordinate, f form) {
			if len(f.terms) > 0 && f.value-f.value == 0 {
				out.Coordinates, out.Values, forms = append(out.Coordinates, c), append(out.Values, f.value), append(forms, f)
			}
		})
	}
	n := len(forms)
	out.Cov = adjust.Symmetric{N: n, Data: make([]float64, n*n)}
	for i := range n {
		for k := range i + 1 {
			c := s.Factor * s.Factor * f.fit.Cov.Form(forms[i].terms, forms[k].terms)
			out.Cov.Data[i*n+k], out.Cov.Data[k*n+i] = c, c
		}
		out.Cov.Data[i*n+i] += closing * closing // places that the marks hold for one
	}
	return out, nil
}

// coordinates gives those of wall i.
func (z sizes) coordinates(i int, give func(Coordinate, form)) {
	w := z.m.walls[i]
	x0, y0 := z.x(w.outline[0]), z.y(z.m.walls[0].outline[0])
	for k, v := range w.outline {
		if z.m.vertices[v].x != z.m.vertices[w.outline[0]].x {
			give(Coordinate{w.id, "", k, NoSide, 0}, z.x(v).minus(x0))
		}
		if z.m.vertices[v].y != z.m.vertices[z.m.walls[0].outline[0]].y {
			give(Coordinate{w.id, "", k, NoSide, 1}, z.y(v).minus(y0))
		}
	}
	half := func(p, q form) form { return p.plus(q).times(0.5) }
	for _, o := range w.openings {
		c := o.corners
		give(Coordinate{w.id, o.id, -1, Left, 0}, half(z.x(c[0]), z.x(c[3])).minus(x0))
		give(Coordinate{w.id, o.id, -1, Right, 0}, half(z.x(c[1]), z.x(c[2])).minus(x0))
		give(Coordinate{w.id, o.id, -1, Sill, 1}, half(z.y(c[0]), z.y(c[1])).minus(y0))
		give(Coordinate{w.id, o.id, -1, Head, 1}, half(z.y(c[3]), z.y(c[2])).minus(y0))
	}
}
