package photo

import (
	"math"
	"math/rand/v2"
	"testing"

	"coilwright/measure"
)

// twoWalls is a drawn pair of walls on two photos, with a straight edge and every
// kind of equation.
func twoWalls() []Marks {
	var out []Marks
	for p := range 2 {
		m := Marks{Width: 1600, Height: 1200, Points: map[string]Pixel{}}
		cam := Camera{Lens: Lens{1300, 800, 600, -0.03, 0.004}, R: Rotation{{0.8, 0.6, 0}, {0, 0, -1}, {-0.6, 0.8, 0}}, T: Vec{-200, 60, 500 + 40*float64(p)}}
		mark := func(name string, at Vec) string {
			px, _ := cam.Project(at)
			m.Points[name] = px
			return name
		}
		south := MarkedWall{ID: "south", Outline: []string{mark("a", Vec{0, 0, 0}), mark("b", Vec{300, 0, 0}), mark("c", Vec{300, 0, 100}), mark("d", Vec{0, 0, 100})}}
		south.Openings = []MarkedOpening{{ID: "S1", Corners: []string{mark("e", Vec{50, 0, 20}), mark("f", Vec{90, 0, 20}), mark("g", Vec{90, 0, 80}), mark("h", Vec{50, 0, 80})}}}
		east := MarkedWall{ID: "east", Outline: []string{"b", mark("i", Vec{300, 200, 0}), mark("j", Vec{300, 200, 100}), "c"}, Level: [][]string{{"b", "i"}, {"c", "j"}}}
		m.Walls = []MarkedWall{south, east}
		m.Lengths = []KnownLength{{[2]string{"e", "f"}, 40 * measure.Inch, measure.Inch / 8}}
		m.Corners = []MarkedCorner{{[2]string{"south.right", "east.left"}, true, true}}
		m.Straight = [][]string{{mark("k", Vec{0, 0, 90}), mark("l", Vec{150, 0, 90}), mark("m", Vec{300, 0, 90})}}
		out = append(out, m)
	}
	return out
}

// TestDerivatives: every derivative of every row, beside a central difference of
// its value (step 1e-6 of the unknown's own scale; agreement to 1e-5 of the
// largest derivative of its row).
func TestDerivatives(t *testing.T) {
	m, err := build(twoWalls())
	if err != nil {
		t.Fatal(err)
	}
	s, err := m.guess(lensGuesses(m.photos)[0])
	if err != nil {
		t.Fatal(err)
	}
	n := newNumbering(m, s.lines)
	edges := m.lookTrue(s)
	r := rand.New(rand.NewPCG(5, 6)) // away from the guess, where nothing vanishes
	step := make([]float64, n.count)
	for i := range step {
		step[i] = 1e-3 * r.NormFloat64()
	}
	s = n.move(s, step)
	for p := range s.cams {
		s.cams[p].K1, s.cams[p].K2 = -0.08, 0.02
	}
	rows := m.rows(n, s, edges)
	if len(edges) == 0 || len(m.square) == 0 || len(s.lines) != 2 {
		t.Fatalf("the example lacks a kind of row: %d edges, %d square, %d lines", len(edges), len(m.square), len(s.lines))
	}
	for u := range n.count {
		const h = 1e-6
		shift := make([]float64, n.count)
		shift[u] = h
		up := m.rows(n, n.move(s, shift), edges)
		shift[u] = -h
		down := m.rows(n, n.move(s, shift), edges)
		for i, row := range rows {
			stated, largest := 0.0, 1e-3
			for _, term := range row.Terms {
				largest = math.Max(largest, math.Abs(term.By))
				if term.At == u {
					stated += term.By
				}
			}
			found := -(up[i].Value - down[i].Value) / (2 * h)
			if math.Abs(found-stated) > 1e-5*largest {
				t.Errorf("row %d unknown %d: stated %g, found %g", i, u, stated, found)
			}
		}
	}
}
