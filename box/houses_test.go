package box_test

import (
	"fmt"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"coilwright/box"
	"coilwright/course"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/scheme"
	"coilwright/steel"
)

const (
	in = measure.Inch
	ft = measure.Foot
)

// lengths are the three in which box siding is sold (common practice, no source).
var lengths = []measure.Length{10 * ft, 12 * ft, 12*ft + 6*in}

// rules are those of a book that names none: 1 in laps, 24 in stagger and shortest
// piece, 12 in clear of corners.
func rules() box.Rules { return box.RulesOf(&steel.Book{}, measure.Sixteenth) }

// courses is a plain wall: n courses of strips of one length.
func courses(n int, length measure.Length) []box.Strip {
	var out []box.Strip
	for k := range n {
		out = append(out, box.Strip{ID: fmt.Sprintf("wall.field.%da", k+1), Course: k + 1, Length: length})
	}
	return out
}

func lay(t testing.TB, strips []box.Strip, section measure.Length, r box.Rules) *box.Plan {
	t.Helper()
	p, err := box.Lay(strips, section, r)
	if err != nil {
		t.Fatal(err)
	}
	judge(t, strips, p, r)
	return p
}

// invented is a house of walls, some with gables, and windows in bays, so that no
// two overlap. Sizes are on the step, so that a mirrored one has the same strips.
func invented(t *rapid.T, step measure.Length) course.Input {
	size := func(name string, low, high measure.Length) measure.Length {
		return measure.Length(rapid.Int64Range(int64(low/step), int64(high/step)).Draw(t, name)) * step
	}
	out := course.Input{Book: book(), InstallF: big.NewRat(60, 1)}
	if step == measure.Millimetre {
		out.Units = measure.Metric
	}
	all := []int{}
	for k := range rapid.IntRange(1, 3).Draw(t, "walls") {
		width, height := size("width", 4*ft, 60*ft), size("height", 4*ft, 11*ft)
		w := house.Wall{ID: fmt.Sprintf("w%d", k+1), Over: house.Substrate,
			Outline: plane.Ring{{X: 0, Y: 0}, {X: width, Y: 0}, {X: width, Y: height}, {X: 0, Y: height}},
			Edges:   []house.EdgeKind{house.Base, house.OutsideCorner, house.Eave, house.OutsideCorner}}
		bay := measure.Length(0)
		for n := 1; bay+6*ft < width; n++ {
			x, y := bay+size("from", in, 2*ft), size("sill", 0, height-2*ft)
			wide, high := size("wide", ft/2, bay+6*ft-x), size("high", ft/2, height-y)
			w.Openings = append(w.Openings, house.Opening{ID: fmt.Sprintf("o%d", n), Kind: house.Window,
				Outline: plane.Ring{{X: x, Y: y}, {X: x + wide, Y: y}, {X: x + wide, Y: y + high}, {X: x, Y: y + high}}})
			bay += 6*ft + size("between", 0, 20*ft)
		}
		out.House.Walls = append(out.House.Walls, w)
		all = append(all, k)
	}
	panel := rapid.SampledFrom([]string{"d5", "s8", "v12"}).Draw(t, "panel")
	out.Scheme = scheme.Scheme{ID: "A", Zones: []scheme.Zone{
		{ID: "skirt", Walls: []int{0}, Where: scheme.Where{Kind: scheme.Below, Height: size("skirt", 0, 4*ft)}, Panel: panel},
		{ID: "field", Walls: all, Where: scheme.Where{Kind: scheme.Rest}, Panel: "d5"}}}
	return out
}

// book is a plain shop, its figures invented.
func book() *steel.Book {
	j := steel.Receiver{Pocket: in / 8, Cover: 3 * in / 4}
	return &steel.Book{
		Receivers: map[string]steel.Receiver{"outside-corner": {Pocket: in / 2, Cover: 7 * in / 4}, "eave": j,
			steel.OpeningSide: j, steel.OpeningHead: j, steel.OpeningSill: j},
		Gap: steel.Gap{Min: in / 8, AlphaPerF: big.NewRat(65, 1e7), HottestF: big.NewRat(170, 1), ColdestF: big.NewRat(-20, 1)},
		Panels: []steel.Panel{{ID: "d5", Kind: steel.Horizontal, Laps: 2, Exposure: 5 * in}, {ID: "s8", Kind: steel.Horizontal, Laps: 1, Exposure: 8 * in},
			{ID: "v12", Kind: steel.Vertical, Laps: 1, Exposure: 12 * in}},
		Joint:        steel.Joint{Lap: in, Stagger: 24 * in, ClearOfOpening: 6 * in},
		LongestPiece: 20 * ft, // box siding takes no notice of it
	}
}

func layHouse(t testing.TB, i course.Input, section measure.Length) ([]box.Strip, *box.Plan) {
	t.Helper()
	l, err := course.Lay(box.WithoutJoints(i), false)
	if err != nil {
		t.Fatal(err)
	}
	strips, r := box.Strips(i.House, l), box.RulesOf(i.Book, i.Step())
	r.Work = 2000 // the rules hold however short the search
	p := lay(t, strips, section, r)
	judgeWall(t, i, l, strips, p, r)
	return strips, p
}

func TestInventedHouses(t *testing.T) {
	houses, optimal, given := 0, 0, 0
	rapid.Check(t, func(r *rapid.T) {
		i := invented(r, rapid.SampledFrom([]measure.Length{measure.Sixteenth, measure.Millimetre}).Draw(r, "step"))
		_, p := layHouse(t, i, rapid.SampledFrom(lengths).Draw(r, "section"))
		if houses++; p.Optimal {
			optimal++
		}
		given += len(p.Compromises)
		if t.Failed() {
			r.FailNow()
		}
	})
	t.Logf("%d of %d proven, %d strips give a rule up", optimal, houses, given)
}

// mirror turns every wall about, as seen from behind.
func mirror(i course.Input) course.Input {
	h := house.House{}
	for _, w := range i.House.Walls {
		width := w.Outline.Box().Max.X
		flip := func(r plane.Ring) plane.Ring {
			out := make(plane.Ring, len(r))
			for k, p := range r {
				out[len(r)-1-k] = plane.Point{X: width - p.X, Y: p.Y}
			}
			return out
		}
		v := w
		v.Outline, v.Openings = flip(w.Outline), nil // edges: base, corner, eave, corner read the same once begun at the base
		v.Outline = append(v.Outline[2:len(v.Outline):len(v.Outline)], v.Outline[:2]...)
		for _, o := range w.Openings {
			o.Outline = flip(o.Outline)
			v.Openings = append(v.Openings, o)
		}
		h.Walls = append(h.Walls, v)
	}
	i.House = h
	return i
}

// A mirrored house takes as many sections, joints and pieces, with the same bounds.
func TestMirrored(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		i := invented(r, measure.Sixteenth)
		section := rapid.SampledFrom(lengths).Draw(r, "section")
		_, a := layHouse(t, i, section)
		_, b := layHouse(t, mirror(i), section)
		if len(a.Sections) != len(b.Sections) || a.Joints != b.Joints || a.Pieces != b.Pieces || a.Bound != b.Bound || a.FewestJoints != b.FewestJoints {
			r.Fatalf("%d sections of at least %d, %d joints of at least %d; mirrored %d of %d, %d of %d",
				len(a.Sections), a.Bound, a.Joints, a.FewestJoints, len(b.Sections), b.Bound, b.Joints, b.FewestJoints)
		}
	})
}
