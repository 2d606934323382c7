package price

import (
	"slices"
	"testing"

	"github.com/govalues/decimal"

	"coilwright/course"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
)

// By hand: a wall of 20 by 10 ft, good to 6 in, 150 sq ft of it covered; of 500 direct cost
// 300 follow the area and 120 the edges, and 1000 are asked. 4 for a sq ft and 4 for a foot
// of edge: 4 x 150/20 + 2 x 4 = 38 for a foot of width, 68 for one of height; half of
// sqrt(38^2 + 68^2) is 38.95. A wall that states no plus-minus is named.
func TestDoubtByHand(t *testing.T) {
	const ft = measure.Foot
	rect := func(w, h measure.Length) plane.Ring {
		return plane.Ring{{}, {X: w}, {X: w, Y: h}, {Y: h}}
	}
	s := &sheet{places: 2, out: &Estimate{
		Direct: decimal.MustNew(500, 0), Total: decimal.MustNew(1000, 0),
		Lines: []Line{{Amount: decimal.MustNew(300, 0), grows: byArea}, {Amount: decimal.MustNew(120, 0), grows: byLength}, {Amount: decimal.MustNew(80, 0)}},
	}}
	s.work.House.Walls = []house.Wall{
		{ID: "south", Outline: rect(20*ft, 10*ft), Measured: house.Pedigree{By: house.Tape, PlusMinus: ft / 2}},
	}
	s.work.Layout = &course.Layout{Zones: []course.ZoneOnWall{{Wall: 0, Area: plane.Polygon{Outer: rect(15*ft, 10*ft)}.Area()}}}
	s.doubt()
	if d := s.out.Doubt; d.PlusMinus.String() != "38.95" || d.Loosest != "south" || len(d.Unknown) != 0 {
		t.Errorf("%+v", d)
	}
	s.work.House.Walls[0].Measured.PlusMinus = -1
	s.out.Doubt = Doubt{}
	s.doubt()
	if d := s.out.Doubt; !d.PlusMinus.IsZero() || d.Loosest != "" || !slices.Equal(d.Unknown, []string{"south"}) {
		t.Errorf("%+v", d)
	}
}
