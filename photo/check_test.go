package photo_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"coilwright/measure"
	"coilwright/photo"
)

// tapeOf adds an opening's width, wrong by so many inches, to the scene's marks.
func tapeOf(t *testing.T, name, opening string, off float64) photo.Marks {
	s, m := scene(t, name), sceneMarks(t, name)
	m.Lengths = m.Lengths[:1]
	for i, w := range s.Walls {
		for k, o := range w.Openings {
			if o.ID == opening {
				c := m.Walls[i].Openings[k].Corners
				m.Lengths = append(m.Lengths, photo.KnownLength{Between: [2]string{c[0], c[1]}, Length: measure.FromInches(o.Rect.W + off), PlusMinus: measure.Inch / 8})
			}
		}
	}
	if len(m.Lengths) != 2 {
		t.Fatalf("%s has no %s", name, opening)
	}
	return m
}

// TestChecks: an error as large as is said to be found four times in five is, and one
// of a quarter hardly ever; on the near frontal wall too, where a camera's turn could
// explain much.
func TestChecks(t *testing.T) {
	for _, c := range []struct{ scene, opening string }{{"alder", "S1"}, {"alder", "S3"}, {"birch", "F1"}, {"birch", "F4"}, {"birch", "R1"}} {
		sol, err := photo.Solve(tapeOf(t, c.scene, c.opening, 0))
		if err != nil {
			t.Fatal(err)
		}
		unseen := sol.Checks()[1].Unseen
		if !(unseen > 0.3 && unseen < 12) {
			t.Errorf("%s: %s unseen up to %g in", c.scene, c.opening, unseen)
		}
		const draws = 60
		noticed := map[float64]int{}
		r := rand.New(rand.NewPCG(4, 9))
		for _, by := range []float64{0.25, 1} {
			for range draws {
				sol, err := photo.Solve(shaken(tapeOf(t, c.scene, c.opening, by*unseen), r, 1))
				if err != nil {
					t.Fatal(err)
				}
				if len(sol.Doubts) > 0 {
					noticed[by]++
				}
			}
		}
		t.Logf("%s: %s misread by %.1f in noticed %d of %d times, by a quarter of it %d", c.scene, c.opening, unseen, noticed[1], draws, noticed[0.25])
		// 80 %, give or take three standard deviations of 60 draws and what is not linear.
		if noticed[1] < 36 || noticed[0.25] > 6 {
			t.Errorf("%s: %s misread by %.1f in is noticed %d of %d times, by a quarter of it %d", c.scene, c.opening, unseen, noticed[1], draws, noticed[0.25])
		}
	}
}

// TestOneTapeIsChecked by nothing; the further tape that is named does check it, by
// as much as was said.
func TestOneTapeIsChecked(t *testing.T) {
	for _, name := range []string{"alder", "birch"} {
		m := sceneMarks(t, name)
		m.Lengths = m.Lengths[:1]
		sol, err := photo.Solve(m)
		if err != nil {
			t.Fatal(err)
		}
		c := sol.Checks()
		if len(c) != 1 || !math.IsInf(c[0].Unseen, 1) || c[0].Also == "" {
			t.Fatalf("%s: %+v", name, c)
		}
		s := scene(t, name)
		for i, w := range s.Walls {
			if c[0].Also != "edge 0 of wall "+w.ID {
				continue
			}
			o := m.Walls[i].Outline
			m.Lengths = append(m.Lengths, photo.KnownLength{Between: [2]string{o[0], o[1]}, Length: measure.FromInches(w.Outline[1][0]), PlusMinus: measure.Inch / 8})
		}
		if len(m.Lengths) != 2 {
			t.Fatalf("%s: %q is asked for", name, c[0].Also)
		}
		after, err := photo.Solve(m)
		if err != nil {
			t.Fatal(err)
		}
		// Of two lengths the bound is a little higher than of one.
		if got := after.Checks()[0].Unseen; math.Abs(got/c[0].Then-1) > 0.2 {
			t.Errorf("%s: with %s taped too %.2f in are unseen, said %.2f", name, c[0].Also, got, c[0].Then)
		}
	}
}
