// Package photo measures how good sizes from photos are: calibration and errors
// on the truth scenes beside the Cramér-Rao bound, the time of a solution, the
// precision and recall of proposed windows.
package photo

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"gonum.org/v1/gonum/mat"

	"coilwright/measure"
	"coilwright/photo"
)

func sharedData(t testing.TB, path ...string) string {
	t.Helper()
	dir, err := os.Getwd()
	for err == nil {
		data := filepath.Join(dir, "shared", "data")
		if _, missing := os.Stat(data); missing == nil {
			return filepath.Join(append([]string{data}, path...)...)
		}
		if dir == filepath.Dir(dir) {
			break
		}
		dir = filepath.Dir(dir)
	}
	t.Skip("shared/data does not lie beside the repository: the scenes are not there to measure on")
	return ""
}

// scene is a truth scene, its true camera and sizes.
type scene struct {
	Image      struct{ Width, Height int }
	Intrinsics struct{ Fx, Cx, Cy, K1 float64 }
	Pose       struct {
		R [3][3]float64
		T [3]float64
	}
	Walls []struct {
		ID       string
		Origin   [3]float64
		XAxis    [3]float64   `json:"x_axis"`
		Outline  [][2]float64 `json:"outline_in"`
		Corners  [][2]float64 `json:"corners_px"`
		Openings []struct {
			ID      string
			Rect    struct{ X, Y, W, H float64 } `json:"rect_in"`
			Corners [][2]float64                 `json:"corners_px"`
		}
	}
	Tape map[string]struct {
		Opening string
		Length  float64 `json:"length_in"`
	}
	tape string // the opening whose width is known
}

func load(t testing.TB, name, tape string) scene {
	data, err := os.ReadFile(sharedData(t, "scenes", name, "truth.json"))
	if err != nil {
		t.Fatal(err)
	}
	s := scene{tape: tape}
	if err := json.Unmarshal(data, &s); err != nil {
		t.Fatal(err)
	}
	return s
}

// marks marks the scene with noise of px on every point; one width is taped, with
// the tape's own noise.
func (s scene) marks(r *rand.Rand, px float64) photo.Marks {
	m := photo.Marks{Width: s.Image.Width, Height: s.Image.Height, Focal: s.Intrinsics.Fx, Points: map[string]photo.Pixel{}}
	mark := func(name string, at [2]float64) string {
		m.Points[name] = photo.Pixel{U: at[0] + px*r.NormFloat64(), V: at[1] + px*r.NormFloat64()}
		return name
	}
	for _, w := range s.Walls {
		k := photo.MarkedWall{ID: w.ID}
		for i, c := range w.Corners {
			k.Outline = append(k.Outline, mark(fmt.Sprint(w.ID, i), c))
		}
		for _, o := range w.Openings {
			var corners []string
			for i, c := range o.Corners {
				corners = append(corners, mark(fmt.Sprint(o.ID, i), c))
			}
			k.Openings = append(k.Openings, photo.MarkedOpening{ID: o.ID, Kind: "window", Corners: corners})
			if o.ID == s.tape {
				off := r.NormFloat64() * tapeSigma
				m.Lengths = []photo.KnownLength{{Between: [2]string{corners[0], corners[1]}, Length: measure.FromInches(o.Rect.W + off), PlusMinus: measure.Inch / 8}}
			}
		}
		m.Walls = append(m.Walls, k)
	}
	if len(s.Walls) == 2 {
		m.Corners = []photo.MarkedCorner{{Between: [2]string{s.Walls[0].ID + ".right", s.Walls[1].ID + ".left"}, Outside: true}}
	}
	return m
}

const tapeSigma = 0.125 / 1.96

// size is one wall or opening size: what, how far the truth, how far the bound.
type size struct {
	what  string
	truth float64
	bound float64 // Cramér-Rao: the least standard deviation there is
}

// read gives the solution's sizes in the order of bounds.
func (s scene) read(sol photo.Solution) []photo.Size {
	var out []photo.Size
	for _, w := range sol.Walls {
		out = append(out, w.Sides...)
		for _, o := range w.Openings {
			if o.ID != s.tape {
				out = append(out, o.W)
			}
			out = append(out, o.H)
		}
	}
	return out
}

// TestCalibration is the aim's: 1,000 draws of one pixel of noise and one known
// width on each scene.
func TestCalibration(t *testing.T) {
	if testing.Short() {
		t.Skip("1,000 draws take some seconds; this run asked for short tests")
	}
	for name, tape := range map[string]string{"alder": "S2", "birch": "F3"} {
		s := load(t, name, tape)
		bounds := s.bounds(t)
		r := rand.New(rand.NewPCG(2026, 11))
		inside, all := 0, 0
		errors, sigmas := make([][]float64, len(bounds)), make([][]float64, len(bounds))
		var relative, times []float64
		for range 1000 {
			m := s.marks(r, 1)
			start := time.Now()
			sol, err := photo.Solve(m)
			times = append(times, time.Since(start).Seconds())
			if err != nil {
				t.Fatal(err)
			}
			for i, got := range s.read(sol) {
				off := math.Abs(got.Value - bounds[i].truth)
				errors[i], sigmas[i] = append(errors[i], off), append(sigmas[i], got.Sigma)
				relative = append(relative, off/bounds[i].truth)
				if all++; off <= got.PlusMinus() {
					inside++
				}
			}
		}
		var ofBound, stated, share []float64
		for i, b := range bounds {
			ofBound = append(ofBound, median(errors[i])/(0.6745*b.bound)) // a normal error's median is 0.6745 sigma
			stated = append(stated, median(sigmas[i])/b.bound)
			share = append(share, 100*b.bound/b.truth)
		}
		covered := 100 * float64(inside) / float64(all)
		t.Logf("%s: %.1f %% within their own 95 %%; median error %.2f %% of the size, %.2f x the bound (worst size %.2f); stated sigma %.2f x the bound (worst %.2f); bound %.2f %% of the size; median %.1f ms a solution",
			name, covered, 100*median(relative), median(ofBound), slices.Max(ofBound), median(stated), slices.Max(stated), median(share), 1e3*median(times))
		if covered < 93 || covered > 97.5 || median(ofBound) > 1.15 || median(stated) > 1.3 {
			t.Errorf("%s: outside the aim", name)
		}
	}
}

func median(v []float64) float64 {
	v = slices.Sorted(slices.Values(v))
	return v[len(v)/2]
}

// BenchmarkSolve times one solution of the larger scene (35 points, two walls).
func BenchmarkSolve(b *testing.B) {
	s := load(b, "birch", "F3")
	m := s.marks(rand.New(rand.NewPCG(1, 1)), 1)
	for b.Loop() {
		if _, err := photo.Solve(m); err != nil {
			b.Fatal(err)
		}
	}
}

// unknown is one parameter of the bound's own model, with what is known of it
// beforehand (0: nothing).
type unknown struct{ value, prior float64 }

// bounds works out the Cramér-Rao bound of every size: the inverse of Fisher's
// information of the marks (one pixel), the tape, and what the solution takes for
// granted, at the truth. It shares no code with the solution: rotations by angles
// about fixed axes, walls by points in space, derivatives by differences.
func (s scene) bounds(t testing.TB) []size {
	var u []unknown
	add := func(value, prior float64) int {
		u = append(u, unknown{value, prior})
		return len(u) - 1
	}
	camera := len(u)
	for range 6 {
		add(0, 0)
	}
	add(0, 0.005) // log focal length
	add(0, 0.003*float64(s.Image.Width))
	add(0, 0.003*float64(s.Image.Width))
	add(s.Intrinsics.K1, 0.02)
	add(0, 0.01)
	type point struct{ wall, x, y int }
	var points []point
	turns := make([]int, len(s.Walls))
	held := -1
	var sizes []size
	var forms [][2]int // pairs of points whose distance is a size
	var edges [][3]int // points a, b and 0 for plumb, 1 for level
	hinge := -1
	for wi, w := range s.Walls {
		turns[wi] = held
		if wi > 0 {
			turns[wi] = add(math.Atan2(w.XAxis[1], w.XAxis[0]), 0)
		}
		first := len(points)
		n := len(w.Outline)
		right := held
		for i, p := range w.Outline {
			x, y := held, held
			switch {
			case wi == 0 && i == 0:
			case wi > 0 && (i == 0 || i == n-1): // on the common corner
				y = add(p[1], 0)
			case wi == 0 && len(s.Walls) > 1 && i == 2: // on the common corner too
				x, y = right, add(p[1], 0)
			default:
				x, y = add(p[0], 0), add(p[1], 0)
			}
			if i == 1 {
				right = x
			}
			points = append(points, point{wi, x, y})
		}
		if wi == 0 {
			hinge = right
		}
		for i, p := range w.Outline {
			j := (i + 1) % n
			q := w.Outline[j]
			forms = append(forms, [2]int{first + i, first + j})
			sizes = append(sizes, size{what: fmt.Sprint(w.ID, " side ", i), truth: math.Hypot(q[0]-p[0], q[1]-p[1])})
			a, b := points[first+i], points[first+j]
			if p[0] == q[0] && a.x != b.x {
				edges = append(edges, [3]int{first + i, first + j, 0})
			}
			if p[1] == q[1] && a.y != b.y {
				edges = append(edges, [3]int{first + i, first + j, 1})
			}
		}
		for _, o := range w.Openings {
			x0, x1 := add(o.Rect.X, 0), add(o.Rect.X+o.Rect.W, 0)
			y0, y1 := add(o.Rect.Y, 0), add(o.Rect.Y+o.Rect.H, 0)
			c := len(points)
			points = append(points, point{wi, x0, y0}, point{wi, x1, y0}, point{wi, x1, y1}, point{wi, x0, y1})
			if o.ID == s.tape {
				edges = append(edges, [3]int{c, c + 1, 2})
			} else {
				sizes = append(sizes, size{what: o.ID + " w", truth: o.Rect.W})
				forms = append(forms, [2]int{c, c + 1})
			}
			sizes = append(sizes, size{what: o.ID + " h", truth: o.Rect.H})
			forms = append(forms, [2]int{c, c + 3})
		}
	}
	at := func(v []float64, i int) float64 {
		if i < 0 {
			return 0
		}
		return v[i]
	}
	distance := func(v []float64, a, b int) float64 {
		p, q := points[a], points[b]
		return math.Hypot(at(v, q.x)-at(v, p.x), at(v, q.y)-at(v, p.y))
	}
	model := func(v []float64) []float64 {
		var out []float64
		for _, p := range points {
			d := [2]float64{1, 0}
			foot := 0.0
			if p.wall > 0 {
				d = [2]float64{math.Cos(v[turns[p.wall]]), math.Sin(v[turns[p.wall]])}
				foot = v[hinge]
			}
			x := at(v, p.x)
			world := [3]float64{foot + x*d[0], x * d[1], at(v, p.y)}
			a, b := s.see(v[camera:camera+11], world)
			out = append(out, a, b) // sigma 1 px
		}
		for _, e := range edges {
			p, q := points[e[0]], points[e[1]]
			dx, dy := at(v, q.x)-at(v, p.x), at(v, q.y)-at(v, p.y)
			switch e[2] {
			case 0:
				out = append(out, dx/dy/(0.06*math.Pi/180))
			case 1:
				out = append(out, dy/dx/(0.06*math.Pi/180))
			case 2:
				out = append(out, distance(v, e[0], e[1])/tapeSigma)
			}
		}
		return out
	}
	v := make([]float64, len(u))
	for i := range u {
		v[i] = u[i].value
	}
	slope := func(f func([]float64) []float64) *mat.Dense {
		rows := len(f(v))
		j := mat.NewDense(rows, len(v), nil)
		for k := range v {
			h := 1e-5 * math.Max(1, math.Abs(v[k]))
			if k < 3 || k == 6 {
				h = 1e-6
			}
			up, down := slices.Clone(v), slices.Clone(v)
			up[k] += h
			down[k] -= h
			a, b := f(up), f(down)
			for i := range rows {
				j.Set(i, k, (a[i]-b[i])/(2*h))
			}
		}
		return j
	}
	j := slope(model)
	var information mat.Dense
	information.Mul(j.T(), j)
	for i := range u {
		if u[i].prior > 0 {
			information.Set(i, i, information.At(i, i)+1/(u[i].prior*u[i].prior))
		}
	}
	scale := make([]float64, len(u))
	for i := range u {
		scale[i] = 1 / math.Sqrt(information.At(i, i))
	}
	information.Apply(func(i, k int, x float64) float64 { return x * scale[i] * scale[k] }, &information)
	var covariance mat.Dense
	if err := covariance.Inverse(&information); err != nil {
		t.Fatal(err)
	}
	covariance.Apply(func(i, k int, x float64) float64 { return x * scale[i] * scale[k] }, &covariance)
	g := slope(func(v []float64) []float64 {
		var out []float64
		for _, f := range forms {
			out = append(out, distance(v, f[0], f[1]))
		}
		return out
	})
	var half, whole mat.Dense
	half.Mul(g, &covariance)
	whole.Mul(&half, g.T())
	for i := range sizes {
		sizes[i].bound = math.Sqrt(whole.At(i, i))
	}
	return sizes
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
