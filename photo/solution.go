package photo

import (
	"math"

	"coilwright/adjust"
)

// Size is a value and its standard deviation, in inches.
type Size struct{ Value, Sigma float64 }

// PlusMinus is the 95 % half-width, 1.96 sigma.
func (s Size) PlusMinus() float64 { return 1.96 * s.Sigma }

// Solution is what the marks say.
type Solution struct {
	Cameras []Camera // one for each photo
	Walls   []Wall
	// ResidualPx is the root mean square of what the marks are off, in pixels and
	// along each axis.
	ResidualPx float64
	Residuals  []Residual
	// Freedom is how many marks and lengths more there are than needed.
	Freedom int
	// Factor is by what the sigmas were multiplied, because the marks fit one
	// another worse than marks of MarkSigma do; 1 where they fit.
	Factor float64
	// Taken says what was taken for granted of edges that look plumb or level.
	Taken []Taken
	// Doubts are marks and lengths that do not fit the rest.
	Doubts []Doubt
	// Next names the one further tape measurement, among those that are reached from
	// the ground, that would make all sizes better most; "" where none would by a
	// tenth.
	Next string

	model  model
	fitted fitted
}

// Taken is an edge of a wall's outline that is taken as plumb, or as level.
type Taken struct {
	Wall  string
	Edge  int
	Plumb bool
}

// Wall is a wall's face in the world and its sizes, in the wall's coordinates.
type Wall struct {
	ID       string
	Plane    Plane
	Corners  [][2]Size // x and y of the outline's corners
	Sides    []Size    // length of edge i, from corner i to the next
	Openings []Opening
}

// Opening is an opening's place and size: X and Y of its lower left corner, its
// width and height. A free opening's are means of opposite sides.
type Opening struct {
	ID, Kind   string
	X, Y, W, H Size
	Corners    [4][2]Size
}

// Residual is how far off a mark is: seen less computed, in pixels.
type Residual struct {
	Photo        int
	Point        string
	Off          Pixel
	Standardised float64
}

// Doubt is a mark or length that does not fit the rest. Where is as in Marks.
type Doubt struct {
	Photo      int
	Where      string
	Text, Mend string
}

// form is a linear form in the unknowns with its value: what a size is made of.
type form struct {
	terms []adjust.Term
	value float64
}

func (f form) minus(g form) form {
	out := form{append([]adjust.Term(nil), f.terms...), f.value - g.value}
	for _, t := range g.terms {
		out.terms = append(out.terms, adjust.Term{At: t.At, By: -t.By})
	}
	return out
}

func (f form) times(by float64) form {
	out := form{value: by * f.value}
	for _, t := range f.terms {
		out.terms = append(out.terms, adjust.Term{At: t.At, By: by * t.By})
	}
	return out
}

func (f form) plus(g form) form { return f.minus(g.times(-1)) }

// reader of sizes from a fitted model.
type sizes struct {
	m      model
	f      fitted
	factor float64
}

func (z sizes) x(v int) form { c := z.m.vertices[v].x; return z.class(z.f.state.x[c], z.f.number.x[c]) }
func (z sizes) y(v int) form { c := z.m.vertices[v].y; return z.class(z.f.state.y[c], z.f.number.y[c]) }

func (sizes) class(value float64, at int) form {
	if at < 0 {
		return form{value: value}
	}
	return form{[]adjust.Term{{At: at, By: 1}}, value}
}

func (z sizes) size(f form) Size {
	return Size{f.value, z.factor * math.Sqrt(max(0, z.f.fit.Cov.Form(f.terms, f.terms)))}
}

// solution reads sizes, residuals and doubts off the fit.
func (m model) solution(f fitted) Solution {
	s := Solution{Cameras: f.state.cams, Freedom: f.fit.Freedom, Factor: factor(f), model: m, fitted: f}
	z := sizes{m, f, s.Factor}
	frames := m.frames(f.number, f.state)
	for i := range m.walls {
		s.Walls = append(s.Walls, z.wall(i, frames))
	}
	for _, e := range f.edges {
		s.Taken = append(s.Taken, Taken{m.walls[e.wall].id, e.index, e.plumb})
	}
	s.Residuals = m.residuals(f)
	sum := 0.0
	for _, r := range s.Residuals {
		sum += r.Off.U*r.Off.U + r.Off.V*r.Off.V
	}
	if n := len(s.Residuals); n > 0 {
		s.ResidualPx = math.Sqrt(sum / float64(2*n))
	}
	s.Doubts = m.doubts(f, s.Residuals)
	s.Next = z.next()
	return s
}

// factor is 1 unless the residuals are larger than chance makes them once in a
// hundred times; then it is their ratio to what they should be.
func factor(f fitted) float64 {
	k := float64(f.fit.Freedom)
	if k < 1 {
		return 1
	}
	// The 99 % point of chi squared, by Wilson and Hilferty's cube (1931).
	c := 1 - 2/(9*k) + 2.326*math.Sqrt(2/(9*k))
	if f.cost <= k*c*c*c {
		return 1
	}
	return math.Sqrt(f.cost / k)
}

func (z sizes) wall(i int, frames []place) Wall {
	w := z.m.walls[i]
	x0, y0 := z.x(w.outline[0]), z.y(w.outline[0])
	turn := z.f.state.turn[i]
	foot := frames[i].at.Add(along(turn).Scale(x0.value))
	out := Wall{ID: w.id, Plane: Plane{Vec{foot.X, foot.Y, y0.value}, along(turn), Vec{Z: 1}}}
	for k, v := range w.outline {
		out.Corners = append(out.Corners, [2]Size{z.size(z.x(v).minus(x0)), z.size(z.y(v).minus(y0))})
		out.Sides = append(out.Sides, z.size(z.side(v, w.outline[(k+1)%len(w.outline)])))
	}
	for _, o := range w.openings {
		out.Openings = append(out.Openings, z.opening(o, x0, y0))
	}
	return out
}

// side gives the length of an edge.
func (z sizes) side(a, b int) form {
	dx, dy := z.x(b).minus(z.x(a)), z.y(b).minus(z.y(a))
	long := math.Hypot(dx.value, dy.value)
	if long == 0 {
		return dx
	}
	f := dx.times(dx.value / long).plus(dy.times(dy.value / long))
	f.value = long
	return f
}

func (z sizes) opening(o openingModel, x0, y0 form) Opening {
	c := o.corners
	half := func(p, q form) form { return p.plus(q).times(0.5) }
	out := Opening{ID: o.id, Kind: o.kind,
		X: z.size(half(z.x(c[0]), z.x(c[3])).minus(x0)), Y: z.size(half(z.y(c[0]), z.y(c[1])).minus(y0)),
		W: z.size(half(z.x(c[1]).minus(z.x(c[0])), z.x(c[2]).minus(z.x(c[3])))),
		H: z.size(half(z.y(c[3]).minus(z.y(c[0])), z.y(c[2]).minus(z.y(c[1])))),
	}
	for k, v := range c {
		out.Corners[k] = [2]Size{z.size(z.x(v).minus(x0)), z.size(z.y(v).minus(y0))}
	}
	return out
}

func (m model) residuals(f fitted) []Residual {
	var out []Residual
	for i, k := range m.seen {
		r := Residual{Photo: k.photo, Point: k.name}
		u, v := f.rows[len(f.edges)+2*i], f.rows[len(f.edges)+2*i+1]
		r.Off = Pixel{u.Value, v.Value}
		r.Standardised = max(standardised(f, u), standardised(f, v))
		out = append(out, r)
	}
	return out
}

// leastRedundancy is where rounding speaks: below it nothing else would notice. A
// tape beside a photo has little (its sigma over the photo's, squared), and yet a foot
// misread shows.
const leastRedundancy = 1e-5

func standardised(f fitted, row adjust.Row) float64 {
	r := redundancy(f, row)
	if r < leastRedundancy {
		return 0
	}
	return math.Abs(row.Value) / row.Sigma / math.Sqrt(r)
}

// redundancy is the share of an error in a row that the others show.
func redundancy(f fitted, row adjust.Row) float64 {
	return 1 - f.fit.Cov.Form(row.Terms, row.Terms)/(row.Sigma*row.Sigma)
}
