package trim_test

import (
	"math"
	"math/big"
	"testing"

	"coilwright/course"
	"coilwright/house"
	"coilwright/scheme"
	"coilwright/steel"
	"coilwright/trim"
)

func layOut(t *testing.T, h house.House, s scheme.Scheme) *course.Layout {
	t.Helper()
	b := bookOf()
	b.Gap = steel.Gap{Min: in / 8, AlphaPerF: big.NewRat(65, 10_000_000), HottestF: big.NewRat(170, 1), ColdestF: big.NewRat(-20, 1)}
	b.Sliver = 3 * in / 2
	l, err := course.Lay(course.Input{House: h, Scheme: s, Book: b, InstallF: big.NewRat(60, 1)}, false)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// wantNear compares the total of a kind with feet, to the rounding of slanted edges.
func wantNear(t *testing.T, lines []trim.Line, k trim.Kind, feet float64) {
	t.Helper()
	if got := sum(lines, k).Length.Feet(); math.Abs(got-feet) > 1e-7 {
		t.Errorf("%s: %.9f ft, want %.9f", k, got, feet)
	}
}

// TestLaidOut is worked by hand: the gable of 24 ft with rakes of 15 ft (12 along, 9
// up), a standing skirt to 3 ft 4 in, a field, another panel above 9 ft, and a 6 in
// frieze. Square to the rake 6 in are 0.5 x 15/12 = 0.625 ft of height, so the
// board's lower lines run from 8.375 ft to the peak at 17.375 ft, 15 ft each; at 9 ft
// they stand 0.8333 ft in from the wall's ends.
func TestLaidOut(t *testing.T) {
	h, _ := gable()
	h.Walls[0].Openings[0].Outline = rect(10, 5, 13, 8)
	walls := []int{0}
	s := scheme.Scheme{ID: "A", Frieze: 6 * in, Zones: []scheme.Zone{
		{ID: "skirt", Walls: walls, Where: scheme.Where{Kind: scheme.Below, Height: 40 * in}, Panel: "upright"},
		{ID: "upper", Walls: walls, Where: scheme.Where{Kind: scheme.Gable}, Panel: "level"},
		{ID: "field", Walls: walls, Where: scheme.Where{Kind: scheme.Rest}, Panel: "level"},
	}}
	lines := trim.Quantities(h, s, bookOf(), layOut(t, h, s))
	above := 24 - 2*0.625*12/9
	wantNear(t, lines, trim.Starter, 24+above)
	wantNear(t, lines, trim.TransitionUpright, 24)
	wantNear(t, lines, trim.Transition, above)
	wantNear(t, lines, trim.Frieze, 30)
	wantNear(t, lines, trim.Channel, 24+30+9+2*0.0625)
	wantNear(t, lines, trim.Finish, 3)
	wantNear(t, lines, trim.DripCap, 3)
	wantNear(t, lines, trim.OutsidePost, 9)
	wantNear(t, lines, trim.InsidePost, 9)
	if a := sum(lines, trim.Frieze).Area.SquareFeet(); math.Abs(a-15) > 1e-7 {
		t.Errorf("frieze %.9f sq ft, want 15", a)
	}
}

// TestNailsLaidOut: a 40 x 9 ft wall of 8 in courses as the program lays it out, 14
// courses, 31 studs, 434 nails (the arithmetic of TestPanelNails).
func TestNailsLaidOut(t *testing.T) {
	h := house.House{Walls: []house.Wall{wall("w", rect(0, 0, 40, 9), plainEdges())}}
	s := scheme.Scheme{ID: "A", Zones: []scheme.Zone{{ID: "z", Walls: []int{0}, Where: scheme.Where{Kind: scheme.Rest}, Panel: "level"}}}
	l := layOut(t, h, s)
	if l.Totals.Pieces != 14 {
		t.Errorf("%d pieces, want 14", l.Totals.Pieces)
	}
	lines := trim.Quantities(h, s, bookOf(), l)
	if n := sum(lines, trim.PanelNails).Count; n != 434 {
		t.Errorf("%d nails, want 434", n)
	}
	wantLength(t, lines, trim.Starter, 40)
	wantLength(t, lines, trim.Finish, 40)
}
