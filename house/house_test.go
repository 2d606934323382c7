package house

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"coilwright/measure"
	"coilwright/plane"
	"coilwright/problem"
)

// ring lists points in inches.
func ring(in ...float64) plane.Ring {
	var r plane.Ring
	for i := 0; i < len(in); i += 2 {
		r = append(r, plane.Point{X: measure.FromInches(in[i]), Y: measure.FromInches(in[i+1])})
	}
	return r
}

func rect(x, y, w, h float64) plane.Ring { return ring(x, y, x+w, y, x+w, y+h, x, y+h) }

var taped = Pedigree{By: Tape, PlusMinus: measure.Sixteenth}

// wall is a wall of 300 by 100 in, unless an outline is given, with its openings
// named W1, W2 …
func wall(outline plane.Ring, openings ...plane.Ring) Wall {
	if outline == nil {
		outline = rect(0, 0, 300, 100)
	}
	w := Wall{ID: "south", Outline: outline, Measured: taped, Edges: make([]EdgeKind, len(outline))}
	for i, o := range openings {
		w.Openings = append(w.Openings, Opening{ID: fmt.Sprintf("W%d", i+1), Kind: Window, Outline: o, Measured: taped})
	}
	return w
}

// mirrored is the wall seen from inside: x turns round, and rings run backwards so
// as to stay counter-clockwise, or clockwise where they were. Corner i becomes
// corner n-1-i.
func mirrored(w Wall) Wall {
	flip := func(r plane.Ring) plane.Ring {
		out := r.Reversed()
		for i := range out {
			out[i].X = 300*measure.Inch - out[i].X
		}
		return out
	}
	m := w
	m.Outline = flip(w.Outline)
	m.Openings = slices.Clone(w.Openings)
	for i := range m.Openings {
		m.Openings[i].Outline = flip(m.Openings[i].Outline)
	}
	return m
}

// cases hold one wall for every rule that a wall can break.
var cases = []struct {
	name              string
	wall              Wall
	where, what, mend string // of the only finding; no what: none
	numbered          bool   // it names corners or edges by number
}{
	{name: "sound", wall: wall(nil, rect(20, 30, 40, 50), rect(100, 0, 36, 80))},
	{name: "a corner on a straight line", wall: wall(ring(0, 0, 100, 0, 300, 0, 300, 100, 0, 100))},
	{name: "openings that touch", wall: wall(nil, rect(20, 30, 40, 50), rect(60, 30, 40, 50))},
	{name: "openings that touch in a corner", wall: wall(nil, rect(20, 30, 20, 20), rect(40, 50, 20, 20))},
	{name: "a door on the base", wall: wall(nil, rect(20, 0, 36, 80))},
	{name: "an opening over the whole wall", wall: wall(nil, rect(0, 0, 300, 100))},
	{name: "a triangular opening under a gable", wall: wall(ring(0, 0, 300, 0, 300, 50, 150, 100, 0, 50), ring(100, 60, 200, 60, 150, 85))},
	{
		name: "two corners", wall: wall(ring(0, 0, 300, 0)),
		where: "$.house.walls[0].outline", what: "wall south has fewer than three corners", mend: "give at least three corners",
	},
	{
		name: "no corners", wall: wall(plane.Ring{}),
		where: "$.house.walls[0].outline", what: "wall south has fewer than three corners", mend: "give at least three corners",
	},
	{
		name: "doubled corner", wall: wall(ring(0, 0, 300, 0, 300, 0, 300, 100, 0, 100)), numbered: true,
		where: "$.house.walls[0].outline", what: "corners 1 and 2 of wall south are the same point", mend: "leave one of them out",
	},
	{
		name: "self-crossing", wall: wall(ring(0, 0, 300, 100, 300, 0, 0, 100)), numbered: true,
		where: "$.house.walls[0].outline", what: "edges 0 and 2 of wall south cross or touch", mend: "give the corners in their order around it",
	},
	{
		name: "pinched", wall: wall(ring(0, 0, 300, 0, 150, 50, 300, 100, 0, 100, 150, 50)), numbered: true,
		where: "$.house.walls[0].outline", what: "of wall south cross or touch", mend: "give the corners in their order around it",
	},
	{
		name: "there and back", wall: wall(ring(0, 0, 300, 0, 100, 0)), numbered: true,
		where: "$.house.walls[0].outline", what: "of wall south cross or touch", mend: "give the corners in their order around it",
	},
	{
		name: "clockwise", wall: wall(rect(0, 0, 300, 100).Reversed()),
		where: "$.house.walls[0].outline", what: "wall south runs clockwise", mend: "list its corners counter-clockwise as seen from outside",
	},
	{
		name: "an opening that runs clockwise", wall: wall(nil, rect(20, 30, 40, 50), rect(100, 30, 40, 50).Reversed()),
		where: "$.house.walls[0].openings[1]", what: "opening W2 runs clockwise", mend: "list its corners counter-clockwise as seen from outside",
	},
	{
		name: "an opening that crosses itself", wall: wall(nil, ring(20, 30, 60, 80, 60, 30, 20, 80)), numbered: true,
		where: "$.house.walls[0].openings[0]", what: "edges 0 and 2 of opening W1 cross or touch", mend: "give the corners in their order around it",
	},
	{
		name: "an opening without width", wall: wall(nil, rect(20, 30, 0, 50)), numbered: true,
		where: "$.house.walls[0].openings[0]", what: "of opening W1 are the same point", mend: "leave one of them out",
	},
	{
		name: "an opening without area", wall: wall(nil, ring(20, 30, 60, 50, 40, 40)), numbered: true,
		where: "$.house.walls[0].openings[0]", what: "of opening W1 cross or touch", mend: "give the corners in their order around it",
	},
	{
		name: "openings that overlap", wall: wall(nil, rect(20, 30, 40, 50), rect(59, 30, 40, 50)),
		where: "$.house.walls[0].openings[1]", what: "openings W1 and W2 of wall south overlap", mend: "measure both again, or move one",
	},
	{
		name: "an opening in an opening", wall: wall(nil, rect(20, 30, 40, 50), rect(30, 40, 10, 10)),
		where: "$.house.walls[0].openings[1]", what: "openings W1 and W2 of wall south overlap", mend: "measure both again, or move one",
	},
	{
		name: "an opening twice", wall: wall(nil, rect(20, 30, 40, 50), rect(20, 30, 40, 50)),
		where: "$.house.walls[0].openings[1]", what: "openings W1 and W2 of wall south overlap", mend: "measure both again, or move one",
	},
	{
		name: "an opening that sticks out at the side", wall: wall(nil, rect(280, 30, 40, 50)),
		where: "$.house.walls[0].openings[0]", what: "opening W1 sticks out of wall south", mend: "measure it and the wall again, or move it",
	},
	{
		name: "an opening that sticks out by a sixteenth", wall: wall(nil, rect(100, 60, 40, 40+1.0/16)),
		where: "$.house.walls[0].openings[0]", what: "opening W1 sticks out of wall south", mend: "measure it and the wall again, or move it",
	},
	{
		name: "an opening beside the wall", wall: wall(nil, rect(400, 30, 40, 50)),
		where: "$.house.walls[0].openings[0]", what: "opening W1 sticks out of wall south", mend: "measure it and the wall again, or move it",
	},
	{
		name: "an opening around the wall", wall: wall(nil, rect(-10, -10, 320, 120)),
		where: "$.house.walls[0].openings[0]", what: "opening W1 sticks out of wall south", mend: "measure it and the wall again, or move it",
	},
	{
		name: "an opening through a gable's rake", wall: wall(ring(0, 0, 300, 0, 300, 50, 150, 100, 0, 50), rect(130, 60, 40, 38)),
		where: "$.house.walls[0].openings[0]", what: "opening W1 sticks out of wall south", mend: "measure it and the wall again, or move it",
	},
	{
		name: "an opening in the notch of a stepped wall", wall: wall(ring(0, 0, 100, 0, 100, 40, 300, 40, 300, 100, 0, 100), rect(150, 5, 40, 30)),
		where: "$.house.walls[0].openings[0]", what: "opening W1 sticks out of wall south", mend: "measure it and the wall again, or move it",
	},
}

func TestCheckSaysRulePlaceAndMend(t *testing.T) {
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			found := House{Walls: []Wall{c.wall}}.Check()
			if c.what == "" {
				if len(found) > 0 {
					t.Fatalf("want no finding, got %v", found)
				}
				return
			}
			if len(found) != 1 {
				t.Fatalf("want one finding, got %v", found)
			}
			p := found[0]
			if p.Severity != problem.Error || p.Where != c.where || p.Mend != c.mend || !strings.Contains(p.What, c.what) {
				t.Errorf("got %+v, want %q at %s, %q", p, c.what, c.where, c.mend)
			}
		})
	}
}

// The mirrored wall has the same findings; only the numbers of corners turn round.
func TestCheckMirrored(t *testing.T) {
	for _, c := range cases {
		a, b := House{Walls: []Wall{c.wall}}.Check(), House{Walls: []Wall{mirrored(c.wall)}}.Check()
		if c.numbered {
			for _, found := range []problem.List{a, b} {
				for i := range found {
					found[i].What = strings.Map(func(r rune) rune {
						if r >= '0' && r <= '9' {
							return '#'
						}
						return r
					}, found[i].What)
				}
			}
		}
		if !slices.Equal(a, b) {
			t.Errorf("%s: %v, mirrored %v", c.name, a, b)
		}
	}
}

// The place counts walls and openings from the start of the file.
func TestCheckPlacesBehindOthers(t *testing.T) {
	h := House{Walls: []Wall{wall(nil), wall(nil, rect(20, 30, 40, 50), rect(100, 30, 40, 50), rect(290, 30, 40, 50)), wall(ring(0, 0, 1, 1))}}
	found := h.Check()
	if len(found) != 2 || found[0].Where != "$.house.walls[1].openings[2]" || found[1].Where != "$.house.walls[2].outline" {
		t.Errorf("got %v", found)
	}
}

// An outline that is none hides its openings' findings: they would mislead.
func TestCheckOutlineFirst(t *testing.T) {
	found := House{Walls: []Wall{wall(rect(0, 0, 300, 100).Reversed(), rect(500, 0, 10, 10))}}.Check()
	if len(found) != 1 || !strings.Contains(found[0].What, "clockwise") {
		t.Errorf("got %v", found)
	}
}

// Rounded readings may disagree by two nanometres; that is no finding, more is.
func TestCheckLeavesRoundingAlone(t *testing.T) {
	for by, want := range map[measure.Length]int{0: 0, 2: 0, 1000: 1} {
		o := rect(20, 30, 40, 70)
		o[2].Y += by
		o[3].Y += by
		if found := (House{Walls: []Wall{wall(nil, o)}}).Check(); len(found) != want {
			t.Errorf("%d nm out of the wall: %v", by, found)
		}
		a, b := rect(20, 30, 40, 50), rect(60, 30, 40, 50)
		b[0].X -= by
		b[3].X -= by
		if found := (House{Walls: []Wall{wall(nil, a, b)}}).Check(); len(found) != want {
			t.Errorf("%d nm of overlap: %v", by, found)
		}
	}
}

// The judge of random walls with upright openings: overlap and sticking out read off
// the numbers, pair by pair.
func TestCheckAgainstEveryPair(t *testing.T) {
	faulty := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 41))
		var openings []plane.Ring
		want := map[string]bool{}
		for i := range r.IntN(12) {
			o := rect(float64(r.IntN(40)*8-8), float64(r.IntN(14)*8-8), float64(8+r.IntN(4)*8), float64(8+r.IntN(4)*8))
			b := o.Box()
			if b.Min.X < 0 || b.Min.Y < 0 || b.Max.X > 300*measure.Inch || b.Max.Y > 100*measure.Inch {
				want[fmt.Sprintf("opening W%d sticks out of wall south", i+1)] = true
			}
			for j, q := range openings {
				c := q.Box()
				if b.Min.X < c.Max.X && c.Min.X < b.Max.X && b.Min.Y < c.Max.Y && c.Min.Y < b.Max.Y {
					want[fmt.Sprintf("openings W%d and W%d of wall south overlap", j+1, i+1)] = true
				}
			}
			openings = append(openings, o)
		}
		found := House{Walls: []Wall{wall(nil, openings...)}}.Check()
		for _, p := range found {
			if !want[p.What] {
				t.Errorf("seed %d: false finding %s", seed, p)
			}
			delete(want, p.What)
		}
		if len(want) > 0 {
			t.Errorf("seed %d: not found: %v", seed, want)
		}
		faulty += len(found)
	}
	if faulty == 0 {
		t.Error("no random wall had a fault")
	}
}
