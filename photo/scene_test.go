package photo_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"coilwright/measure"
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
	if err := json.Unmarshal(read(t, sharedData(t, "scenes", name, "marks.json")), &file); err != nil {
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

// TestScenesExactly: with the true marks every size comes out true; what is left
// is the marks' rounding (a thousandth of a pixel) and the pull of what is taken
// for granted of lenses.
func TestScenesExactly(t *testing.T) {
	for _, name := range []string{"alder", "birch"} {
		s := scene(t, name)
		m := sceneMarks(t, name)
		sol, err := photo.Solve(m)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		t.Logf("%s: residual %.4f px, freedom %d, camera %+v, taken %v doubts %v", name, sol.ResidualPx, sol.Freedom, sol.Cameras[0], sol.Taken, sol.Doubts)
		for _, k := range s.sizes(sol) {
			if math.Abs(k.size.Value-k.truth) > 0.02*k.truth+0.1 || math.Abs(k.size.Value-k.truth) > k.size.Sigma {
				t.Errorf("%s %s: %.3f +- %.3f, truth %.3f", name, k.what, k.size.Value, k.size.Sigma, k.truth)
			}
		}
	}
}

func TestProbe(t *testing.T) {
	for _, name := range []string{"alder", "birch"} {
		s := scene(t, name)
		m := sceneMarks(t, name)
		r := rand.New(rand.NewPCG(1, 2))
		inside, all, failed := 0, 0, 0
		var errs, sig []float64
		start := time.Now()
		const draws = 300
		per := map[string]int{}
		fac, edges := 0, 0
		for range draws {
			sol, err := photo.Solve(shaken(m, r, 1))
			if err != nil {
				failed++
				t.Log(err)
				continue
			}
			if sol.Factor > 1 {
				fac++
			}
			edges += len(sol.Taken)
			for _, k := range s.sizes(sol) {
				all++
				if math.Abs(k.size.Value-k.truth) <= k.size.PlusMinus() {
					inside++
					per[k.what]++
				}
				if k.truth > 0 {
					errs = append(errs, math.Abs(k.size.Value-k.truth)/k.truth)
					sig = append(sig, k.size.Sigma/k.truth)
				}
			}
		}
		slices.Sort(errs)
		slices.Sort(sig)
		t.Logf("%s: inside %.2f %%, median error %.3f %%, median sigma %.3f %%, failed %d, %v each, factor %d, edges %.2f", name, 100*float64(inside)/float64(all),
			100*errs[len(errs)/2], 100*sig[len(sig)/2], failed, time.Since(start)/draws, fac, float64(edges)/draws)
		t.Log(per)
	}
}
