package house

import (
	"strings"
	"testing"

	"coilwright/measure"
	"coilwright/plane"
	"coilwright/problem"
)

// cornered joins the right side of a wall 100 in high to the left side of another,
// given by its foot and top.
func cornered(foot, top float64, plusMinus [2]measure.Length) House {
	a, b := wall(nil), wall(ring(0, foot, 200, foot, 200, top, 0, top))
	b.ID = "east"
	a.Measured.PlusMinus, b.Measured.PlusMinus = plusMinus[0], plusMinus[1]
	return House{Walls: []Wall{a, b}, Corners: []Corner{{Between: [2]EdgeRef{{0, 1}, {1, 3}}, Outside: true}}}
}

// mirroredHouse turns every wall round, and with it which of its edges a corner joins.
func mirroredHouse(h House) House {
	m := House{}
	for _, w := range h.Walls {
		m.Walls = append(m.Walls, mirrored(w))
	}
	for _, c := range h.Corners {
		for i, e := range c.Between {
			n := len(h.Walls[e.Wall].Outline)
			c.Between[i].Edge = (2*n - 2 - e.Edge) % n
		}
		m.Corners = append(m.Corners, c)
	}
	return m
}

func TestCornersWhoseWallsDiffer(t *testing.T) {
	eighth := measure.Inch / 8
	exact, loose := [2]measure.Length{0, 0}, [2]measure.Length{eighth, eighth}
	for _, c := range []struct {
		name      string
		foot, top float64
		doubt     [2]measure.Length
		want      []string
	}{
		{"level", 0, 100, exact, nil},
		{"within both readings' doubt", 0.25, 99.75, loose, nil},
		{"foot beyond the doubt", 0.3125, 100, loose, []string{`the foot of their corner differs by 5/16"`}},
		{"top beyond the doubt", 0, 104, loose, []string{`the top of their corner differs by 4"`}},
		{"both", -12, 112, exact, []string{`the foot of their corner differs by 1'`, `the top of their corner differs by 1'`}},
		{"doubt not stated counts as none", 0.0625, 100, [2]measure.Length{-1, -1}, []string{`the foot of their corner differs by 1/16"`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := cornered(c.foot, c.top, c.doubt)
			for _, h := range []House{h, mirroredHouse(h)} {
				found := h.Check()
				if len(found) != len(c.want) {
					t.Fatalf("got %v, want %v", found, c.want)
				}
				for i, p := range found {
					if p.Severity != problem.Warning || p.Where != "$.house.corners[0]" || p.Mend != "measure both walls there again from the one level line" ||
						!strings.HasPrefix(p.What, "walls south and east meet, but ") || !strings.HasSuffix(p.What, c.want[i]) {
						t.Errorf("got %+v, want ... %s", p, c.want[i])
					}
				}
			}
		})
	}
}

// A corner is not judged while a wall is no outline: its edges mean nothing yet.
func TestCornersWaitForSoundWalls(t *testing.T) {
	h := cornered(20, 80, [2]measure.Length{})
	h.Walls[1].Outline = ring(0, 0, 1, 1)
	if found := h.Check(); len(found) != 1 || found[0].Where != "$.house.walls[1].outline" {
		t.Errorf("got %v", found)
	}
}

func TestEmptyHouse(t *testing.T) {
	if found := (House{}).Check(); len(found) != 0 {
		t.Errorf("got %v", found)
	}
}

// Worse by hand: the weaker source, then the wider doubt, unstated widest.
func TestWorse(t *testing.T) {
	in := measure.Inch
	for _, c := range []struct{ a, b, want Pedigree }{
		{Pedigree{By: Tape, PlusMinus: in}, Pedigree{By: Photo, PlusMinus: 0}, Pedigree{By: Photo, PlusMinus: 0}},
		{Pedigree{By: Plan, PlusMinus: 0}, Pedigree{By: Photo, PlusMinus: in}, Pedigree{By: Plan, PlusMinus: 0}},
		{Pedigree{By: Assumed, PlusMinus: 0}, Pedigree{By: Plan, PlusMinus: in}, Pedigree{By: Assumed, PlusMinus: 0}},
		{Pedigree{By: Tape, PlusMinus: in}, Pedigree{By: Tape, PlusMinus: in / 2}, Pedigree{By: Tape, PlusMinus: in}},
		{Pedigree{By: Tape, PlusMinus: in}, Pedigree{By: Tape, PlusMinus: -1}, Pedigree{By: Tape, PlusMinus: -1}},
		{Pedigree{By: "hearsay", PlusMinus: in}, Pedigree{By: Plan, PlusMinus: in}, Pedigree{By: "hearsay", PlusMinus: in}},
	} {
		if got := Worse(c.a, c.b); got != c.want {
			t.Errorf("of %v and %v the worse is %v, want %v", c.a, c.b, got, c.want)
		}
		if got := Worse(c.b, c.a); got != c.want {
			t.Errorf("of %v and %v the worse is %v, want %v", c.b, c.a, got, c.want)
		}
	}
}

func TestWallEdge(t *testing.T) {
	w := wall(nil)
	from, to := w.Edge(3)
	if from != (plane.Point{X: 0, Y: 100 * measure.Inch}) || to != (plane.Point{}) {
		t.Errorf("the last edge runs from %v to %v", from, to)
	}
}
