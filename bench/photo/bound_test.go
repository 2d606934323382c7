package photo

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// fisher is the bound's own model of a scene: unknown parameters with what is
// known of them beforehand, points on walls, edges that are taken as plumb or
// level, one taped width, and the sizes asked for. It shares no code with the
// solution: rotations by angles about the camera's axes, derivatives by
// differences.
type fisher struct {
	s      scene
	value  []float64
	prior  []float64 // sigma of what is known beforehand; 0 is nothing
	points []point
	turn   []int    // unknown of each wall's direction
	hinge  int      // unknown of where the second wall begins on the first
	edges  [][3]int // two points; 0 plumb, 1 level
	taped  [2]int
	sizes  []size
	pairs  [][2]int // points whose distance is a size
}

// point is a corner: its wall and the unknowns of its coordinates.
type point struct{ wall, x, y int }

const held = -1 // no unknown: nothing

// Unknowns of the camera: three angles, three inches, log focal, centre, k1, k2.
const camera = 11

func (f *fisher) add(value, prior float64) int {
	f.value, f.prior = append(f.value, value), append(f.prior, prior)
	return len(f.value) - 1
}

// bounds works out the Cramér-Rao bound of every size: the inverse of Fisher's
// information of the marks (one pixel), the tape, and what the solution takes for
// granted, at the truth.
func (s scene) bounds(t testing.TB) []size {
	f := &fisher{s: s, hinge: held}
	wide := 0.003 * float64(s.Image.Width)
	for _, p := range [camera][2]float64{{}, {}, {}, {}, {}, {}, {0, 0.005}, {0, wide}, {0, wide}, {s.Intrinsics.K1, 0.02}, {0, 0.01}} {
		f.add(p[0], p[1])
	}
	for i := range s.Walls {
		f.wall(i)
	}
	information := f.information()
	var covariance mat.Dense
	scale := make([]float64, len(f.value))
	for i := range scale {
		scale[i] = 1 / math.Sqrt(information.At(i, i))
	}
	scaled := func(i, k int, x float64) float64 { return x * scale[i] * scale[k] }
	information.Apply(scaled, information)
	if err := covariance.Inverse(information); err != nil {
		t.Fatal(err)
	}
	covariance.Apply(scaled, &covariance)
	g := f.slope(f.distances)
	var half, whole mat.Dense
	half.Mul(g, &covariance)
	whole.Mul(&half, g.T())
	for i := range f.sizes {
		f.sizes[i].bound = math.Sqrt(whole.At(i, i))
	}
	return f.sizes
}

// wall adds a wall's unknowns: the first stands at the origin, the second on the
// upright corner that it shares with the first.
func (f *fisher) wall(i int) {
	w, first, n := f.s.Walls[i], len(f.points), len(f.s.Walls[i].Outline)
	f.turn = append(f.turn, held)
	if i > 0 {
		f.turn[i] = f.add(math.Atan2(w.XAxis[1], w.XAxis[0]), 0)
	}
	right := held
	for k, p := range w.Outline {
		x, y := held, held
		switch {
		case i == 0 && k == 0:
		case i > 0 && (k == 0 || k == n-1):
			y = f.add(p[1], 0)
		case i == 0 && len(f.s.Walls) > 1 && k == 2:
			x, y = right, f.add(p[1], 0)
		default:
			x, y = f.add(p[0], 0), f.add(p[1], 0)
		}
		if k == 1 {
			right = x
		}
		f.points = append(f.points, point{i, x, y})
	}
	if i == 0 {
		f.hinge = right
	}
	for k, p := range w.Outline {
		f.side(w.ID, k, first+k, first+(k+1)%n, p, w.Outline[(k+1)%n])
	}
	f.openings(i)
}

// side adds an edge's length, and that it is plumb or level where it is.
func (f *fisher) side(wall string, k, a, b int, p, q [2]float64) {
	f.pairs = append(f.pairs, [2]int{a, b})
	f.sizes = append(f.sizes, size{what: fmt.Sprint(wall, " side ", k), truth: math.Hypot(q[0]-p[0], q[1]-p[1])})
	if p[0] == q[0] && f.points[a].x != f.points[b].x {
		f.edges = append(f.edges, [3]int{a, b, 0})
	}
	if p[1] == q[1] && f.points[a].y != f.points[b].y {
		f.edges = append(f.edges, [3]int{a, b, 1})
	}
}

func (f *fisher) openings(i int) {
	for _, o := range f.s.Walls[i].Openings {
		x0, x1 := f.add(o.Rect.X, 0), f.add(o.Rect.X+o.Rect.W, 0)
		y0, y1 := f.add(o.Rect.Y, 0), f.add(o.Rect.Y+o.Rect.H, 0)
		c := len(f.points)
		f.points = append(f.points, point{i, x0, y0}, point{i, x1, y0}, point{i, x1, y1}, point{i, x0, y1})
		if o.ID == f.s.tape {
			f.taped = [2]int{c, c + 1}
		} else {
			f.sizes, f.pairs = append(f.sizes, size{what: o.ID + " w", truth: o.Rect.W}), append(f.pairs, [2]int{c, c + 1})
		}
		f.sizes, f.pairs = append(f.sizes, size{what: o.ID + " h", truth: o.Rect.H}), append(f.pairs, [2]int{c, c + 3})
	}
}

func at(v []float64, i int) float64 {
	if i == held {
		return 0
	}
	return v[i]
}

func (f *fisher) distance(v []float64, a, b int) float64 {
	p, q := f.points[a], f.points[b]
	return math.Hypot(at(v, q.x)-at(v, p.x), at(v, q.y)-at(v, p.y))
}

func (f *fisher) distances(v []float64) []float64 {
	var out []float64
	for _, p := range f.pairs {
		out = append(out, f.distance(v, p[0], p[1]))
	}
	return out
}

// observed is all that is seen or read, each over its own sigma.
func (f *fisher) observed(v []float64) []float64 {
	const untrue = 0.06 * math.Pi / 180
	var out []float64
	for _, p := range f.points {
		c, d, foot := 1.0, 0.0, 0.0
		if p.wall > 0 {
			c, d, foot = math.Cos(v[f.turn[p.wall]]), math.Sin(v[f.turn[p.wall]]), v[f.hinge]
		}
		x := at(v, p.x)
		a, b := f.s.see(v[:camera], [3]float64{foot + x*c, x * d, at(v, p.y)})
		out = append(out, a, b)
	}
	for _, e := range f.edges {
		p, q := f.points[e[0]], f.points[e[1]]
		dx, dy := at(v, q.x)-at(v, p.x), at(v, q.y)-at(v, p.y)
		if e[2] == 1 {
			dx, dy = dy, dx
		}
		out = append(out, dx/dy/untrue)
	}
	return append(out, f.distance(v, f.taped[0], f.taped[1])/tapeSigma)
}

// information is Fisher's: of what is seen, and of what was known beforehand.
func (f *fisher) information() *mat.Dense {
	j := f.slope(f.observed)
	var out mat.Dense
	out.Mul(j.T(), j)
	for i, p := range f.prior {
		if p > 0 {
			out.Set(i, i, out.At(i, i)+1/(p*p))
		}
	}
	return &out
}

// slope gives derivatives at the truth, by central differences.
func (f *fisher) slope(of func([]float64) []float64) *mat.Dense {
	j := mat.NewDense(len(of(f.value)), len(f.value), nil)
	for k, v := range f.value {
		h := 1e-5 * math.Max(1, math.Abs(v))
		if k < 3 || k == 6 { // angles, log focal
			h = 1e-6
		}
		up, down := slices.Clone(f.value), slices.Clone(f.value)
		up[k], down[k] = v+h, v-h
		a, b := of(up), of(down)
		for i := range a {
			j.Set(i, k, (a[i]-b[i])/(2*h))
		}
	}
	return j
}

// see projects with the true pose turned and shifted by v: three angles about the
// camera's axes, three inches, log focal, centre, k1, k2.
func (s scene) see(v []float64, p [3]float64) (a, b float64) {
	var q [3]float64
	for i := range 3 {
		q[i] = s.Pose.R[i][0]*p[0] + s.Pose.R[i][1]*p[1] + s.Pose.R[i][2]*p[2]
	}
	for axis := range 3 {
		c, d := math.Cos(v[axis]), math.Sin(v[axis])
		i, j := (axis+1)%3, (axis+2)%3
		q[i], q[j] = c*q[i]-d*q[j], d*q[i]+c*q[j]
	}
	for i := range 3 {
		q[i] += s.Pose.T[i] + v[3+i]
	}
	x, y := q[0]/q[2], q[1]/q[2]
	r2 := x*x + y*y
	f := s.Intrinsics.Fx * math.Exp(v[6]) * (1 + r2*v[9] + r2*r2*v[10])
	return f*x + s.Intrinsics.Cx + v[7], f*y + s.Intrinsics.Cy + v[8]
}
