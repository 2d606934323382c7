package photo_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"coilwright/measure"
	"coilwright/opendata"
	"coilwright/photo"
)

// sceneMarks reads a scene's marks.json: the true points, to a thousandth of a
// pixel, and one tape length. (The program's own reader of marks stands in job.)
func sceneMarks(t testing.TB, name string) photo.Marks {
	t.Helper()
	var file struct {
		Photo  struct{ Focal_px float64 }
		Points map[string][2]float64
		Walls  []struct {
			ID       string
			Outline  []string
			Openings []struct {
				ID, Kind string
				Corners  []string
			}
		}
		Lengths []struct {
			Between            [2]string
			Length, Plus_minus string
		}
		Corners []struct {
			Between [2]string
			Kind    string
		}
	}
	if err := json.Unmarshal(read(t, opendata.Need(t, "truth scenes and photos", "scenes", name, "marks.json")), &file); err != nil {
		t.Fatal(err)
	}
	s := scene(t, name)
	m := photo.Marks{Width: s.Image.Width, Height: s.Image.Height, Focal: file.Photo.Focal_px, Points: map[string]photo.Pixel{}}
	for name, p := range file.Points {
		m.Points[name] = photo.Pixel{U: p[0], V: p[1]}
	}
	for _, w := range file.Walls {
		wall := photo.MarkedWall{ID: w.ID, Outline: w.Outline}
		for _, o := range w.Openings {
			wall.Openings = append(wall.Openings, photo.MarkedOpening{ID: o.ID, Kind: o.Kind, Corners: o.Corners})
		}
		m.Walls = append(m.Walls, wall)
	}
	length := func(s string) measure.Length {
		l, err := measure.ParseLength(s)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	for _, l := range file.Lengths {
		m.Lengths = append(m.Lengths, photo.KnownLength{Between: l.Between, Length: length(l.Length), PlusMinus: length(l.Plus_minus)})
	}
	for _, c := range file.Corners {
		m.Corners = append(m.Corners, photo.MarkedCorner{Between: c.Between, Outside: c.Kind == "outside"})
	}
	return m
}

// shaken gives the marks with noise of 1 px on every point and the tape's own
// noise on every length.
func shaken(m photo.Marks, r *rand.Rand, px float64) photo.Marks {
	out := m
	out.Points = map[string]photo.Pixel{}
	names := make([]string, 0, len(m.Points))
	for n := range m.Points {
		names = append(names, n)
	}
	slices.Sort(names)
	for _, n := range names {
		p := m.Points[n]
		out.Points[n] = photo.Pixel{U: p.U + px*r.NormFloat64(), V: p.V + px*r.NormFloat64()}
	}
	out.Lengths = slices.Clone(m.Lengths)
	for i, l := range out.Lengths {
		out.Lengths[i].Length += measure.FromInches(r.NormFloat64() * l.PlusMinus.Inches() / 1.96)
	}
	return out
}

// known pairs each size of a solution with its truth.
type known struct {
	what  string
	size  photo.Size
	truth float64
}

func (s truth) sizes(sol photo.Solution) []known {
	var out []known
	for i, w := range s.Walls {
		got := sol.Walls[i]
		for k, xy := range w.Outline {
			next := w.Outline[(k+1)%len(w.Outline)]
			out = append(out, known{w.ID + " side", got.Sides[k], math.Hypot(next[0]-xy[0], next[1]-xy[1])})
		}
		for k, o := range w.Openings {
			p := got.Openings[k]
			out = append(out, known{o.ID + " w", p.W, o.Rect.W}, known{o.ID + " h", p.H, o.Rect.H},
				known{o.ID + " x", p.X, o.Rect.X}, known{o.ID + " y", p.Y, o.Rect.Y})
		}
	}
	return out
}

// TestScenesExactly: with the true marks every size comes out true. On alder,
// whose lens is the plain one, to the marks' rounding; on birch within
// its own sigma: its lens bends more than a phone's usually does, and windows
// alone hardly show it.
func TestScenesExactly(t *testing.T) {
	for name, share := range map[string]float64{"alder": 0.002, "birch": 0.95} {
		s := scene(t, name)
		sol, err := photo.Solve(sceneMarks(t, name))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if len(sol.Doubts) > 0 || sol.Factor != 1 || sol.ResidualPx > 0.2 {
			t.Errorf("%s: residual %.3f px, factor %g, doubts %v", name, sol.ResidualPx, sol.Factor, sol.Doubts)
		}
		for _, k := range s.sizes(sol) {
			if off := math.Abs(k.size.Value - k.truth); off > share*k.size.Sigma+1e-3 {
				t.Errorf("%s %s: %.4f +- %.4f, truth %.4f", name, k.what, k.size.Value, k.size.Sigma, k.truth)
			}
		}
	}
}

// TestScenesCalibrated: with one pixel of noise, the stated 95 % hold what they
// state. (The bench does this with 1,000 draws, beside the bound.)
func TestScenesCalibrated(t *testing.T) {
	for _, name := range []string{"alder", "birch"} {
		s, m := scene(t, name), sceneMarks(t, name)
		r := rand.New(rand.NewPCG(1, 2))
		inside, all := 0, 0
		for range 150 {
			sol, err := photo.Solve(shaken(m, r, 1))
			if err != nil {
				t.Fatal(err)
			}
			for _, k := range s.sizes(sol) {
				all++
				if math.Abs(k.size.Value-k.truth) <= k.size.PlusMinus() {
					inside++
				}
			}
		}
		if share := float64(inside) / float64(all); share < 0.92 || share > 0.985 {
			t.Errorf("%s: %.1f %% of sizes within their own 95 %%", name, 100*share)
		}
	}
}
