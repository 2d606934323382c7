package box_test

import (
	"errors"
	"math/big"
	"reflect"
	"slices"
	"testing"

	"coilwright/box"
	"coilwright/course"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/scheme"
	"coilwright/steel"
)

// A 9 ft wall leaves 3 ft of each 12 ft section unless the offcut finds a place
// (the trade's own example; common practice, no source).
func TestNineFootWall(t *testing.T) {
	p := lay(t, courses(8, 9*ft), 12*ft, rules())
	if len(p.Sections) != 8 || p.Joints != 0 || p.Offcut != 8*3*ft || !p.Optimal {
		t.Errorf("%d sections, %d joints, %s left, proven %v", len(p.Sections), p.Joints, p.Offcut.Text(0), p.Optimal)
	}
	// eight strips of 2 ft 11 in beside a door take the offcuts
	narrow := courses(16, 9*ft)
	for i := range narrow[8:] {
		narrow[8+i].Length = 2*ft + 11*in
	}
	if p = lay(t, narrow, 12*ft, rules()); len(p.Sections) != 8 || p.Offcut != 8*in || !p.Optimal {
		t.Errorf("%d sections, %s left, proven %v", len(p.Sections), p.Offcut.Text(0), p.Optimal)
	}
}

// By hand: two courses of 20 ft in 12 ft sections. Each is 240 in, two pieces of 241
// in together, so 482 in in all: 3.35 sections, so four, and two joints. One joint
// stands from 97 to 144 in, so two can be 24 in apart.
func TestTwoCoursesByHand(t *testing.T) {
	p := lay(t, courses(2, 20*ft), 12*ft, rules())
	if g := p.Groups[0]; len(p.Sections) != 4 || p.Joints != 2 || g.Need != 482*in || g.Bare != 4 || !p.Optimal {
		t.Errorf("%d sections, %d joints, %+v", len(p.Sections), p.Joints, g)
	}
}

// By hand: courses of 23 ft 10 in in 12 ft sections. Two pieces make 287 of 288 in, so
// the joint stands within 1 in of the middle, and neighbours cannot both do
// with two: of three courses one takes a third piece, or the outer two do.
func TestStaggerCostsAJoint(t *testing.T) {
	p := lay(t, courses(3, 286*in), 12*ft, rules())
	if p.Joints != 4 || p.FewestJoints != 4 || len(p.Compromises) != 0 {
		t.Errorf("%d joints of at least %d, %v", p.Joints, p.FewestJoints, p.Compromises)
	}
}

// Where a wall leaves no place that keeps the rules, the plan names the strip and
// claims no bound but the bare one.
func TestCompromise(t *testing.T) {
	strips := courses(1, 20*ft)
	for x := measure.Length(0); x < 20*ft; x += 12 * in {
		strips[0].Corners = append(strips[0].Corners, x) // an opening's corner at every foot
	}
	p := lay(t, strips, 12*ft, rules())
	if want := []box.Compromise{{Strip: 0, Rule: box.NearCorner}}; !slices.Equal(p.Compromises, want) || p.Bound != p.Bare {
		t.Errorf("%v, bound %d, bare %d", p.Compromises, p.Bound, p.Bare)
	}
}

// Sections of one colour do not serve another, and a course of another zone or wall
// is no neighbour.
func TestKindsApart(t *testing.T) {
	strips := courses(2, 6*ft)
	strips[1].Like.Colour = "bone"
	if p := lay(t, strips, 12*ft, rules()); len(p.Sections) != 2 || len(p.Groups) != 2 {
		t.Errorf("%d sections in %d groups", len(p.Sections), len(p.Groups))
	}
	apart := courses(2, 286*in)
	apart[1].Zone = 1
	if p := lay(t, apart, 12*ft, rules()); p.Joints != 2 {
		t.Errorf("%d joints where none need be staggered", p.Joints)
	}
}

func TestRulesFromBook(t *testing.T) {
	r := box.RulesOf(&steel.Book{Joint: steel.Joint{Lap: in, Stagger: 32 * in}}, measure.Millimetre)
	if r.Lap != 26*measure.Millimetre || r.Stagger != 813*measure.Millimetre || r.Clear != 305*measure.Millimetre || r.Shortest != r.Stagger {
		t.Errorf("%+v", r)
	}
}

func TestBadRules(t *testing.T) {
	laps := rules()
	laps.Lap = 6 * ft
	negative := rules()
	negative.Clear = -1
	for _, c := range []struct {
		section measure.Length
		rules   box.Rules
	}{{0, rules()}, {-ft, rules()}, {12 * ft, laps}, {12 * ft, negative}, {12 * ft, box.Rules{}}} {
		p, err := box.Lay(courses(1, 20*ft), c.section, c.rules)
		if bad := (*box.RuleError)(nil); p != nil || !errors.Is(err, box.ErrRules) || !errors.As(err, &bad) || bad.Mend == "" {
			t.Errorf("%s, %+v: %v", c.section.Text(0), c.rules, err)
		}
	}
	if p := lay(t, nil, 12*ft, rules()); len(p.Sections) != 0 || !p.Optimal {
		t.Errorf("no strips: %+v", p)
	}
}

// A row of 200 walls ends in bounded work, with a gap that is stated, and twice the
// same.
func TestLongRow(t *testing.T) {
	var strips []box.Strip
	for wall := range 200 {
		for _, s := range courses(12, measure.Length(15+wall%23)*ft+measure.Length(wall%16)*measure.Sixteenth) {
			s.Wall = wall
			strips = append(strips, s)
		}
	}
	r := rules()
	r.Work = 20_000
	p := lay(t, strips, 12*ft, r)
	if gap := len(p.Sections) - p.Bound; gap < 0 || gap > p.Bound/20 {
		t.Errorf("%d sections, bound %d", len(p.Sections), p.Bound)
	}
	if again := lay(t, strips, 12*ft, r); !reflect.DeepEqual(p, again) {
		t.Error("another plan the second time")
	}
	t.Logf("%d strips: %d sections, at least %d; %d joints, at least %d", len(strips), len(p.Sections), p.Bound, p.Joints, p.FewestJoints)
}

// One course as long as a job may hold, 1 km, and sections as short as 1 ft: no
// panic, no endless work.
func TestAbsurdSizes(t *testing.T) {
	r := rules()
	r.Work = 1000
	lay(t, courses(4, measure.MaxHouse.FloorTo(r.Step)), 12*ft, r)
	if p := lay(t, courses(3, 20*ft), ft, r); len(p.Compromises) != 3 {
		t.Errorf("sections shorter than the shortest piece: %v", p.Compromises)
	}
}

// By hand: courses of 10 in, a window from 30 to 60 in up. Its lower corners touch
// courses 3 and 4, its upper ones 6 and 7: no joint of those stands near them.
func TestCornersOnACoursesLine(t *testing.T) {
	i := course.Input{Book: book(), InstallF: big.NewRat(60, 1)}
	rect := func(x, y, w, h measure.Length) plane.Ring {
		return plane.Ring{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
	}
	i.House.Walls = []house.Wall{{ID: "a", Outline: rect(0, 0, 40*ft, 100*in),
		Edges:    []house.EdgeKind{house.Base, house.OutsideCorner, house.Eave, house.OutsideCorner},
		Openings: []house.Opening{{ID: "o", Outline: rect(15*ft, 30*in, 4*ft, 30*in)}}}}
	i.Scheme = scheme.Scheme{ID: "A", Zones: []scheme.Zone{{ID: "field", Walls: []int{0}, Where: scheme.Where{Kind: scheme.Rest}, Panel: "d5"}}}
	strips, _ := layHouse(t, i, 12*ft)
	for _, s := range strips {
		want := []measure.Length{15 * ft, 19 * ft}
		switch s.Course {
		case 3, 4, 6, 7:
		default:
			want = nil
		}
		if got := slices.Sorted(slices.Values(s.Corners)); !slices.Equal(got, want) {
			t.Errorf("course %d keeps clear of corners at %v, want %v", s.Course, got, want)
		}
	}
}
