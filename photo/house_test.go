package photo_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"coilwright/measure"
	"coilwright/photo"
)

// around is a camera that stands at a place of the world, level but for its
// pitch, and looks towards another.
func around(lens photo.Lens, stands, looks photo.Vec) photo.Camera {
	ahead := looks.Sub(stands).Unit()
	right := ahead.Cross(photo.Vec{Z: 1}).Unit()
	down := ahead.Cross(right)
	c := photo.Camera{Lens: lens, R: photo.Rotation{right, down, ahead}}
	c.T = c.R.Apply(stands).Scale(-1)
	return c
}

// face is a drawn wall: its plane, width and height, and one window.
type face struct {
	id            string
	plane         photo.Plane
	width, height float64
	window        [4]float64 // x, y, w, h
}

// box is an invented house of four walls, 384 by 292 in, 103 1/2 high.
func box() []face {
	x, y, up := photo.Vec{X: 1}, photo.Vec{Y: 1}, photo.Vec{Z: 1}
	return []face{
		{"south", photo.Plane{X: x, Y: up}, 384, 103.5, [4]float64{40, 30, 36, 54}},
		{"east", photo.Plane{Origin: photo.Vec{X: 384}, X: y, Y: up}, 292, 103.5, [4]float64{100, 30, 60, 48}},
		{"north", photo.Plane{Origin: photo.Vec{X: 384, Y: 292}, X: x.Scale(-1), Y: up}, 384, 103.5, [4]float64{200, 0, 36, 82}},
		{"west", photo.Plane{Origin: photo.Vec{Y: 292}, X: y.Scale(-1), Y: up}, 292, 103.5, [4]float64{50, 36, 36, 48}},
	}
}

// shot marks walls as a camera sees them. One point marks a corner for both its
// walls where join is set; else corners say so.
func shot(t testing.TB, c photo.Camera, faces ...face) photo.Marks {
	t.Helper()
	m := photo.Marks{Width: 1600, Height: 1200, Focal: c.Focal, Points: map[string]photo.Pixel{}}
	for _, f := range faces {
		at := func(k int, x, y float64) string {
			name := fmt.Sprintf("%s%d", f.id, k)
			px, ok := c.Project(f.plane.At(x, y))
			if !ok {
				t.Fatalf("%s is not seen", name)
			}
			m.Points[name] = px
			return name
		}
		w := photo.MarkedWall{ID: f.id, Outline: []string{at(0, 0, 0), at(1, f.width, 0), at(2, f.width, f.height), at(3, 0, f.height)}}
		x, y, ww, h := f.window[0], f.window[1], f.window[2], f.window[3]
		w.Openings = []photo.MarkedOpening{{ID: f.id + "1", Kind: "window", Corners: []string{at(4, x, y), at(5, x+ww, y), at(6, x+ww, y+h), at(7, x, y+h)}}}
		m.Walls = append(m.Walls, w)
	}
	return m
}

func corner(left, right string) photo.MarkedCorner {
	return photo.MarkedCorner{Between: [2]string{left + ".right", right + ".left"}, Outside: true}
}

func taped(m photo.Marks, a, b string, inches float64) photo.Marks {
	m.Lengths = append(m.Lengths, photo.KnownLength{Between: [2]string{a, b}, Length: measure.FromInches(inches), PlusMinus: measure.Inch / 8})
	return m
}

// fourShots go round the box, each showing two walls; one tape on the south.
func fourShots(t testing.TB, lens photo.Lens) []photo.Marks {
	b := box()
	middle := photo.Vec{X: 192, Y: 146, Z: 50}
	stands := []photo.Vec{{X: 700, Y: -330, Z: 60}, {X: 700, Y: 620, Z: 60}, {X: -330, Y: 640, Z: 60}, {X: -320, Y: -350, Z: 60}}
	var out []photo.Marks
	for i, s := range stands {
		left, right := b[i], b[(i+1)%4]
		m := shot(t, around(lens, s, middle), left, right)
		m.Corners = []photo.MarkedCorner{corner(left.id, right.id)}
		out = append(out, m)
	}
	out[0] = taped(out[0], "south4", "south5", 36)
	return out
}

// TestRoundTheHouse: four photos, each of two walls, one tape number: all sizes
// of all walls, and the ring closes.
func TestRoundTheHouse(t *testing.T) {
	sol, err := photo.Solve(fourShots(t, photo.Lens{Focal: 1200, CX: 800, CY: 600})...)
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range box() {
		w := sol.Walls[i]
		if w.ID != f.id {
			t.Fatalf("wall %d is %s", i, w.ID)
		}
		for k, want := range []float64{f.width, f.height, f.width, f.height} {
			if math.Abs(w.Sides[k].Value-want) > 1e-3 {
				t.Errorf("%s side %d: %.4f +- %.4f, drawn %g", f.id, k, w.Sides[k].Value, w.Sides[k].Sigma, want)
			}
		}
		o := w.Openings[0]
		for k, got := range []photo.Size{o.X, o.Y, o.W, o.H} {
			if math.Abs(got.Value-f.window[k]) > 1e-3 {
				t.Errorf("%s window %d: %.4f, drawn %g", f.id, k, got.Value, f.window[k])
			}
		}
		if d := w.Plane.Origin.Sub(f.plane.Origin).Len(); d > 1e-2 {
			t.Errorf("%s stands %g in off", f.id, d)
		}
	}
	for p, c := range sol.Cameras {
		if math.Abs(c.Focal-1200) > 0.01 || math.Abs(c.K1) > 1e-5 {
			t.Errorf("camera %d: %+v", p, c.Lens)
		}
	}
}

// TestMorePhotosHelp: a second photo of the same wall makes its numbers better,
// never worse.
func TestMorePhotosHelp(t *testing.T) {
	shots := fourShots(t, photo.Lens{Focal: 1200, CX: 800, CY: 600})
	one, err := photo.Solve(shots[0])
	if err != nil {
		t.Fatal(err)
	}
	two, err := photo.Solve(shots[0], shots[1])
	if err != nil {
		t.Fatal(err)
	}
	for i, w := range one.Walls {
		for k, side := range w.Sides {
			if more := two.Walls[i].Sides[k]; more.Sigma > side.Sigma*1.0001 {
				t.Errorf("%s side %d: sigma %g with one photo, %g with two", w.ID, k, side.Sigma, more.Sigma)
			}
		}
	}
}

// TestStraightLinesShowTheLens: points along edges that are straight on the house
// give birch's distortion (k1 = -0.055), which its windows do not.
func TestStraightLinesShowTheLens(t *testing.T) {
	s, m := scene(t, "birch"), sceneMarks(t, "birch")
	cam, r := s.camera(), rand.New(rand.NewPCG(9, 9))
	line := func(wall int, x0, y0, x1, y1 float64) {
		var names []string
		for k := range 12 {
			f := float64(k) / 11
			px, _ := cam.Project(s.plane(wall).At(x0+f*(x1-x0), y0+f*(y1-y0)))
			name := fmt.Sprintf("s%d.%d", len(m.Straight), k)
			m.Points[name] = photo.Pixel{U: px.U + 0.3*r.NormFloat64(), V: px.V + 0.3*r.NormFloat64()}
			names = append(names, name)
		}
		m.Straight = append(m.Straight, names)
	}
	line(0, 0, 0, 384, 0)
	line(0, 0, 103.5, 384, 103.5)
	line(0, 0, 0, 0, 103.5)
	line(1, 292, 0, 292, 103.5)
	line(1, 0, 0, 292, 0)
	sol, err := photo.Solve(m)
	if err != nil {
		t.Fatal(err)
	}
	lens := sol.Cameras[0].Lens
	corner := math.Pow(s.camera().Focal, -2) * (800*800 + 600*600)
	bend := lens.K1*corner + lens.K2*corner*corner
	if truth := -0.055 * corner; math.Abs(bend-truth) > 0.35*math.Abs(truth) {
		t.Errorf("the lens bends the picture's corner by %.4f, truth %.4f (%+v)", bend, truth, lens)
	}
	for _, k := range s.sizes(sol) {
		if off := math.Abs(k.size.Value - k.truth); off > k.size.Sigma {
			t.Errorf("%s: %.4f +- %.4f, truth %.4f", k.what, k.size.Value, k.size.Sigma, k.truth)
		}
	}
}

// TestFocalUnknown: without a focal length the walls' own perspective gives it, as
// well as it can.
func TestFocalUnknown(t *testing.T) {
	shots := fourShots(t, photo.Lens{Focal: 1700, CX: 800, CY: 600})
	m := shots[0]
	m.Focal = 0
	m.Corners[0].Square = true
	sol, err := photo.Solve(m)
	if err != nil {
		t.Fatal(err)
	}
	if f := sol.Cameras[0].Focal; math.Abs(f-1700) > 60 {
		t.Errorf("focal length %g, drawn 1700", f)
	}
	w := sol.Walls[0]
	if off := math.Abs(w.Sides[0].Value - 384); off > 2*w.Sides[0].Sigma {
		t.Errorf("south: %.2f +- %.2f", w.Sides[0].Value, w.Sides[0].Sigma)
	}
}

// TestMirrored: the mirrored photo of the mirrored house gives the same sizes.
func TestMirrored(t *testing.T) {
	m := sceneMarks(t, "birch")
	mirrored := m
	mirrored.Points = map[string]photo.Pixel{}
	for n, p := range m.Points {
		mirrored.Points[n] = photo.Pixel{U: float64(m.Width) - p.U, V: p.V}
	}
	flip := func(in []string, by int) []string { // counter-clockwise again, from the lower left
		var out []string
		for k := range in {
			out = append(out, in[((by-k)%len(in)+len(in))%len(in)])
		}
		return out
	}
	mirrored.Walls = nil
	for _, w := range m.Walls {
		x := photo.MarkedWall{ID: w.ID, Outline: flip(w.Outline, 1)}
		for _, o := range w.Openings {
			x.Openings = append(x.Openings, photo.MarkedOpening{ID: o.ID, Kind: o.Kind, Corners: flip(o.Corners, 1)})
		}
		mirrored.Walls = append(mirrored.Walls, x)
	}
	mirrored.Corners = []photo.MarkedCorner{{Between: [2]string{"front.left", "right.right"}}}
	a, err := photo.Solve(m)
	b, err2 := photo.Solve(mirrored)
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	for i, w := range a.Walls {
		for k, o := range w.Openings {
			p := b.Walls[i].Openings[k]
			if math.Abs(o.W.Value-p.W.Value) > 1e-4 || math.Abs(o.H.Value-p.H.Value) > 1e-4 || math.Abs(o.W.Sigma-p.W.Sigma) > 1e-3*o.W.Sigma {
				t.Errorf("%s: %v by %v, mirrored %v by %v", o.ID, o.W, o.H, p.W, p.H)
			}
		}
		if width, other := w.Sides[0], b.Walls[i].Sides[0]; math.Abs(width.Value-other.Value) > 1e-4 {
			t.Errorf("%s: %v, mirrored %v", w.ID, width, other)
		}
	}
}

// TestSlopingEdgeIsNotPlumb: edges that lean are taken for level at first and let
// go again, because the marks say otherwise.
func TestSlopingEdgeIsNotPlumb(t *testing.T) {
	b := box()
	c := around(photo.Lens{Focal: 1200, CX: 800, CY: 600}, photo.Vec{X: 250, Y: -420, Z: 60}, photo.Vec{X: 192, Z: 50})
	m := taped(shot(t, c, b[0]), "south4", "south5", 36)
	px, _ := c.Project(b[0].plane.At(384, 124)) // the eave rises 3 degrees
	m.Points["south2"] = px
	sol, err := photo.Solve(m)
	if err != nil {
		t.Fatal(err)
	}
	if got := sol.Walls[0].Corners[2][1]; math.Abs(got.Value-124) > 0.01 {
		t.Errorf("the high corner is at %v, drawn 124", got)
	}
	if slices.Contains(sol.Taken, photo.Taken{Wall: "south", Edge: 2}) || !slices.Contains(sol.Taken, photo.Taken{Wall: "south", Edge: 0}) {
		t.Errorf("taken for granted: %v", sol.Taken)
	}
}

// TestSharedPlacesMeet: four photos with a pixel of noise: the ring that their
// corners close stays closed, and walls that share a point share its height.
func TestSharedPlacesMeet(t *testing.T) {
	shots := fourShots(t, photo.Lens{Focal: 1200, CX: 800, CY: 600})
	r := rand.New(rand.NewPCG(4, 4))
	for i := range shots {
		shots[i] = shaken(shots[i], r, 1)
	}
	sol, err := photo.Solve(shots...)
	if err != nil {
		t.Fatal(err)
	}
	end := func(w photo.Wall) photo.Vec { return w.Plane.At(w.Corners[1][0].Value, 0) }
	for i, w := range sol.Walls {
		a, b := end(w), sol.Walls[(i+1)%4].Plane.Origin
		if gap := math.Hypot(a.X-b.X, a.Y-b.Y); gap > 0.05 {
			t.Errorf("%s ends %.2f in from where %s begins", w.ID, gap, sol.Walls[(i+1)%4].ID)
		}
	}
	// The same corner marked once for two walls, no word of a corner.
	m := shots[0]
	m.Corners = nil
	m.Walls[1].Outline[0], m.Walls[1].Outline[3] = m.Walls[0].Outline[1], m.Walls[0].Outline[2]
	if sol, err = photo.Solve(m); err != nil {
		t.Fatal(err)
	}
	south, east := sol.Walls[0], sol.Walls[1]
	for k, at := range [][2]int{{1, 0}, {2, 3}} {
		p := south.Plane.At(south.Corners[at[0]][0].Value, south.Corners[at[0]][1].Value)
		q := east.Plane.At(east.Corners[at[1]][0].Value, east.Corners[at[1]][1].Value)
		if gap := p.Sub(q).Len(); gap > 0.05 {
			t.Errorf("shared place %d comes out twice, %.2f in apart", k, gap)
		}
	}
}

// TestNextTape: the tape that is asked for lies within reach, and takes more off
// the sizes' relative variances than any other within reach: each is added in
// turn and all solved again.
func TestNextTape(t *testing.T) {
	for _, name := range []string{"alder", "birch"} {
		s, m := scene(t, name), sceneMarks(t, name)
		before, err := photo.Solve(m)
		if err != nil {
			t.Fatal(err)
		}
		spread := func(sol photo.Solution) float64 {
			sum := 0.0
			for _, w := range sol.Walls {
				for _, z := range w.Sides {
					sum += math.Pow(z.Sigma/z.Value, 2)
				}
				for _, o := range w.Openings {
					sum += math.Pow(o.W.Sigma/o.W.Value, 2) + math.Pow(o.H.Sigma/o.H.Value, 2)
				}
			}
			return sum
		}
		best, least := "", math.Inf(1)
		try := func(what, a, b string, inches, high float64) {
			if high > 84 {
				return
			}
			n := m
			n.Lengths = append(slices.Clone(m.Lengths), photo.KnownLength{Between: [2]string{a, b}, Length: measure.FromInches(inches), PlusMinus: measure.Inch / 8})
			after, err := photo.Solve(n)
			if err != nil {
				t.Fatal(err)
			}
			if v := spread(after); v < least {
				best, least = what, v
			}
		}
		for i, w := range s.Walls {
			names := m.Walls[i].Outline
			for k, p := range w.Outline {
				l := (k + 1) % len(names)
				q := w.Outline[l]
				try(fmt.Sprintf("edge %d of wall %s", k, w.ID), names[k], names[l], math.Hypot(q[0]-p[0], q[1]-p[1]), math.Max(p[1], q[1]))
			}
			for k, o := range w.Openings {
				c := m.Walls[i].Openings[k].Corners
				try(fmt.Sprintf("the width of %s on wall %s", o.ID, w.ID), c[0], c[1], o.Rect.W, o.Rect.Y)
				try(fmt.Sprintf("the height of %s on wall %s", o.ID, w.ID), c[0], c[3], o.Rect.H, o.Rect.Y+o.Rect.H)
			}
		}
		if before.Next != best {
			t.Errorf("%s: %q is asked for, %q would help most", name, before.Next, best)
		}
	}
}

// TestOnItsSide: the photo turned by quarters, as it comes where the orientation
// was lost, gives the same sizes.
func TestOnItsSide(t *testing.T) {
	m := sceneMarks(t, "birch")
	upright, err := photo.Solve(m)
	if err != nil {
		t.Fatal(err)
	}
	w, h := float64(m.Width), float64(m.Height)
	for turn, f := range map[string]func(photo.Pixel) photo.Pixel{
		"a quarter right": func(p photo.Pixel) photo.Pixel { return photo.Pixel{U: h - p.V, V: p.U} },
		"upside down":     func(p photo.Pixel) photo.Pixel { return photo.Pixel{U: w - p.U, V: h - p.V} },
		"a quarter left":  func(p photo.Pixel) photo.Pixel { return photo.Pixel{U: p.V, V: w - p.U} },
	} {
		side := m
		side.Points = map[string]photo.Pixel{}
		for n, p := range m.Points {
			side.Points[n] = f(p)
		}
		if turn != "upside down" {
			side.Width, side.Height = m.Height, m.Width
		}
		got, err := photo.Solve(side)
		if err != nil {
			t.Errorf("%s: %v", turn, err)
			continue
		}
		for i, wall := range upright.Walls {
			for k, o := range wall.Openings {
				if p := got.Walls[i].Openings[k]; math.Abs(p.W.Value-o.W.Value) > 1e-3 || math.Abs(p.Y.Value-o.Y.Value) > 1e-3 {
					t.Errorf("%s %s: %v by %v, upright %v by %v", turn, o.ID, p.W, p.H, o.W, o.H)
				}
			}
		}
	}
}

// TestUncheckedEdgesStay: two walls and a tape up their corner, marked a few pixels off, of
// a camera of unknown lens. Hardly anything checks the far upright edges: what is left over
// of them speaks of marks and lens, and they stay upright.
func TestUncheckedEdgesStay(t *testing.T) {
	b := box()
	c := around(photo.Lens{Focal: 1500, CX: 800, CY: 600}, photo.Vec{X: 740, Y: -480, Z: 60}, photo.Vec{X: 300, Y: 90, Z: 60})
	leaning := 0
	for seed := range uint64(40) {
		m := shot(t, c, b[0], b[1])
		m.Focal = 0
		m.Walls[1].Outline[0], m.Walls[1].Outline[3] = m.Walls[0].Outline[1], m.Walls[0].Outline[2]
		m.Walls[0].Openings = nil
		m = taped(shaken(m, rand.New(rand.NewPCG(seed, 9)), 3), "south1", "south2", 103.5)
		sol, err := photo.Solve(m)
		if err != nil {
			t.Fatalf("draw %d: %v", seed, err)
		}
		for i, ends := range [][2]int{{0, 3}, {1, 2}} {
			low, high := sol.Walls[i].Corners[ends[0]], sol.Walls[i].Corners[ends[1]]
			if lean := math.Atan2(high[0].Value-low[0].Value, high[1].Value-low[1].Value); math.Abs(lean) > math.Pi/180 {
				leaning++
			}
		}
	}
	t.Logf("%d of 80 far edges lean by over a degree", leaning)
	if leaning > 20 {
		t.Errorf("%d of 80 upright edges come out leaning by over a degree", leaning)
	}
}
