package course

import (
	"errors"
	"math"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/scheme"
	"coilwright/steel"
)

const in = measure.Inch

func at(x, y float64) plane.Point {
	return plane.Point{X: measure.FromInches(x), Y: measure.FromInches(y)}
}

func rect(x, y, w, h float64) plane.Ring {
	return plane.Ring{at(x, y), at(x+w, y), at(x+w, y+h), at(x, y+h)}
}

var tape = house.Pedigree{By: house.Tape, PlusMinus: in / 8}

// book is a plain shop: pockets and covers invented, alpha as checks name it
// (AISC, from memory).
func book() *steel.Book {
	j := steel.Receiver{Pocket: in / 8, Cover: 3 * in / 4}
	return &steel.Book{
		Sliver: 3 * in / 2,
		Receivers: map[string]steel.Receiver{
			"outside-corner": {Pocket: in / 2, Cover: 7 * in / 4}, "rake": j, "eave": {Pocket: in / 4, Cover: in},
			"opening-side": j, "opening-head": {Pocket: in / 4, Cover: in}, "opening-sill": j, "base": {}, "zone": {},
		},
		Gap: steel.Gap{Min: in / 8, Allowance: in / 16, AlphaPerF: big.NewRat(65, 1e7), HottestF: big.NewRat(170, 1), ColdestF: big.NewRat(-20, 1)},
		Panels: []steel.Panel{
			{ID: "d5", Kind: steel.Horizontal, Laps: 2, Exposure: 5 * in, BlankWidth: 14 * in},
			{ID: "v12", Kind: steel.Vertical, Laps: 1, Exposure: 12 * in, BlankWidth: 15 * in},
		},
		FitToCut: steel.FitToCut{By: "tape", PlusMinus: in / 8, Over: "substrate"},
		Joint:    steel.Joint{Lap: in, Stagger: 24 * in, ClearOfOpening: 12 * in},
	}
}

func wall(w, h float64, openings ...plane.Ring) house.Wall {
	out := house.Wall{
		ID: "south", Outline: rect(0, 0, w, h), Measured: tape,
		Edges: []house.EdgeKind{house.Base, house.OutsideCorner, house.Eave, house.OutsideCorner},
	}
	for _, o := range openings {
		out.Openings = append(out.Openings, house.Opening{ID: "W", Kind: house.Window, Outline: o, Measured: tape})
	}
	return out
}

func job(w house.Wall, zones ...scheme.Zone) Input {
	if len(zones) == 0 {
		zones = []scheme.Zone{{ID: "field", Walls: []int{0}, Where: scheme.Where{Kind: scheme.Rest}, Panel: "d5"}}
	}
	return Input{House: house.House{Walls: []house.Wall{w}}, Scheme: scheme.Scheme{ID: "A", Zones: zones}, Book: book(), InstallF: big.NewRat(60, 1)}
}

func lay(t *testing.T, in Input, raw bool) *Layout {
	t.Helper()
	l, err := Lay(in, raw)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// A 40 ft piece by hand: R = 480 in; g = 1/16 + 6.5e-6 x 480 x 110 / 2 = 0.2341 in,
// up to 1/4; both ends 1/2 + 1/4; 480 - 1.5 = 478.5 in.
func TestSetBacksByHand(t *testing.T) {
	l := lay(t, job(wall(480, 20)), false)
	p := l.Pieces[0]
	if p.Gaps != [2]measure.Length{in / 4, in / 4} || p.Length != measure.FromInches(478.5) {
		t.Errorf("gaps %v, length %s", p.Gaps, p.Length.Text(measure.Imperial))
	}
	// The top course: its edge under the eave is drawn back by the pocket alone.
	if top := l.Pieces[1]; top.Rip != 10*in-in/4 {
		t.Errorf("top rip %s", top.Rip.Text(measure.Imperial))
	}
	if len(p.Ends) != 2 || !p.Fit {
		t.Errorf("ends %+v, fit %v", p.Ends, p.Fit)
	}
}

// A length ordered is the length cut when gaps and pockets are zero (common
// practice, no source).
func TestLengthOrderedIsLengthCut(t *testing.T) {
	j := job(wall(480, 20))
	j.Book.Receivers = map[string]steel.Receiver{}
	j.Book.Gap = steel.Gap{AlphaPerF: new(big.Rat), HottestF: big.NewRat(170, 1), ColdestF: big.NewRat(-20, 1)}
	for _, p := range lay(t, j, false).Pieces {
		if p.Length != 480*in {
			t.Errorf("%s is %s", p.ID, p.Length.Text(measure.Imperial))
		}
	}
}

// About 0.31 in of movement for 40 ft over 100 deg F (checks: 40 ft, 100 F, steel
// 6.5e-6 gives 0.3120 in).
func TestMovementOf40FeetOver100Degrees(t *testing.T) {
	g := book().Gap
	g.ColdestF = big.NewRat(-40, 1)
	if got := Shrinkage(g, 40*measure.Foot, big.NewRat(60, 1), one) / float64(in); math.Abs(got-0.3120) > 0.0005 {
		t.Errorf("movement %v in", got)
	}
}

// 9 ft wall, 8 in exposure: 14 courses, the last a rip of 4 in (checks 7.10).
func TestCourseArithmetic(t *testing.T) {
	j := job(wall(480, 108))
	j.Book.Panels[0].Laps, j.Book.Panels[0].Exposure = 2, 4*in
	l := lay(t, j, true)
	if n := len(l.Pieces); n != 14 || l.Pieces[13].Rip != 4*in {
		t.Errorf("%d courses, last rip %s", n, l.Pieces[n-1].Rip.Text(measure.Imperial))
	}
	if l.Totals.PanelLength != 560*measure.Foot {
		t.Errorf("%v ft of panel, want 560", l.Totals.PanelLength.Feet())
	}
}

// Gable 28 ft wide, 8/12, in 8 in courses: 14 pieces 28, 26, ... 2 ft, 210 ft
// (checks 5.6).
func TestGableCourses(t *testing.T) {
	w := house.Wall{ID: "g", Outline: plane.Ring{at(0, 0), at(336, 0), at(168, 112)}, Edges: []house.EdgeKind{house.Base, house.Rake, house.Rake}, Measured: tape}
	j := job(w)
	j.Book.Panels[0].Exposure = 4 * in
	l := lay(t, j, true)
	for i, p := range l.Pieces {
		if want := measure.Length(28-2*i) * measure.Foot; p.Length != want {
			t.Errorf("course %d: %s, want %s", i+1, p.Length.Text(measure.Imperial), want.Text(measure.Imperial))
		}
	}
	if len(l.Pieces) != 14 || l.Totals.PanelLength != 210*measure.Foot {
		t.Errorf("%d pieces, %v ft", len(l.Pieces), l.Totals.PanelLength.Feet())
	}
	if a := l.Pieces[0].Ends[0].Angle; math.Abs(a-33.69) > 0.01 {
		t.Errorf("cut angle %v, want 33.69", a)
	}
}

func TestNotchMeasuredFromThePiece(t *testing.T) {
	l := lay(t, job(wall(100, 20, rect(40, 4, 20, 3))), true)
	n := l.Pieces[0].Notches
	if len(n) != 1 || !n[0].Inside || n[0].Box != (plane.Box{Min: at(40, 4), Max: at(60, 7)}) {
		t.Errorf("notches %+v", n)
	}
	l = lay(t, job(wall(100, 20, rect(40, 4, 20, 10))), false)
	n = l.Pieces[0].Notches
	if len(n) != 1 || n[0].Inside || !n[0].Square {
		t.Fatalf("notches %+v", n)
	}
	g := l.Pieces[0].Gaps[0]
	if x := n[0].Box.Min.X; x != 40*in-(in/8+g)-(in/2+g) {
		t.Errorf("notch starts %s from the piece's left end", x.Text(measure.Imperial))
	}
}

func TestVerticalBalance(t *testing.T) {
	v := func(b scheme.Balance) []measure.Length {
		j := job(wall(100, 96), scheme.Zone{ID: "v", Walls: []int{0}, Where: scheme.Where{Kind: scheme.Rest}, Panel: "v12", Balance: b})
		var out []measure.Length
		for _, p := range lay(t, j, true).Pieces {
			out = append(out, p.Across())
			if p.Length != 96*in {
				t.Errorf("length %s", p.Length.Text(measure.Imperial))
			}
		}
		return out
	}
	for b, ends := range map[scheme.Balance][2]float64{scheme.Even: {8, 8}, scheme.Left: {12, 4}, scheme.Right: {4, 12}} {
		got := v(b)
		if len(got) != 9 || got[0] != measure.FromInches(ends[0]) || got[8] != measure.FromInches(ends[1]) {
			t.Errorf("%s: %v", b, got)
		}
	}
}

// randomHouse draws a gable wall with openings and up to three zones.
func randomHouse(r *rand.Rand) Input {
	w, eave, rise := 100+300*r.Float64(), 80+60*r.Float64(), 20+80*r.Float64()
	wl := house.Wall{ID: "w", Measured: tape, Outline: plane.Ring{at(0, 0), at(w, 0), at(w, eave), at(w*(0.2+0.6*r.Float64()), eave+rise), at(0, eave)},
		Edges: []house.EdgeKind{house.Base, house.OutsideCorner, house.Rake, house.Rake, house.OutsideCorner}}
	for x := 5 + 20*r.Float64(); x < w-70; x += 10 + 60*r.Float64() {
		ow, oh := 5+40*r.Float64(), 2+50*r.Float64()
		wl.Openings = append(wl.Openings, house.Opening{ID: "o", Outline: rect(x, 5+20*r.Float64(), ow, oh), Measured: tape})
		x += ow
	}
	all := []int{0}
	zones := []scheme.Zone{{ID: "rest", Walls: all, Where: scheme.Where{Kind: scheme.Rest}, Panel: "d5"}}
	if r.IntN(2) == 0 {
		zones = append([]scheme.Zone{{ID: "gable", Walls: all, Where: scheme.Where{Kind: scheme.Gable}, Panel: "d5"}}, zones...)
	}
	if r.IntN(2) == 0 {
		zones = append([]scheme.Zone{{ID: "skirt", Walls: all, Where: scheme.Where{Kind: scheme.Below, Height: measure.FromInches(20 + 20*r.Float64())}, Panel: "v12"}}, zones...)
	}
	j := job(wl, zones...)
	j.Scheme.Frieze = measure.Length(r.IntN(2)) * 6 * in
	j.Scheme.Datum = scheme.Datum{Low: -2 * in, High: 2 * in}
	return j
}

func TestPiecesTileTheirZones(t *testing.T) {
	for seed := range uint64(300) {
		l := lay(t, randomHouse(rand.New(rand.NewPCG(seed, 1))), true)
		for _, z := range l.Zones {
			var sum measure.Area
			for _, i := range z.Pieces {
				sum = plane.AddAreas(sum, l.Pieces[i].OnWall().Area())
			}
			if want := z.Area.SquareFeet(); math.Abs(sum.SquareFeet()-want) > 1e-9*want {
				t.Fatalf("seed %d: pieces %v sq ft, zone %v", seed, sum.SquareFeet(), want)
			}
			var all []plane.Polygon
			for _, i := range z.Pieces {
				all = append(all, l.Pieces[i].OnWall())
			}
			u, err := plane.Union(all) // the judge: equal areas mean no overlap
			if err != nil {
				t.Fatal(err)
			}
			if a := u.Area().SquareFeet(); math.Abs(a-z.Area.SquareFeet()) > 1e-7*z.Area.SquareFeet() {
				t.Fatalf("seed %d: the union holds %v sq ft, the zone %v", seed, a, z.Area.SquareFeet())
			}
		}
	}
}

// The judge of the datum looks at every multiple of the step in the range, and a height's
// score differs from what the pieces laid there count by the zones that have a start of
// their own alone: by as much at every height.
func TestDatumAgainstEveryHeight(t *testing.T) {
	for seed := range uint64(120) {
		j := randomHouse(rand.New(rand.NewPCG(seed, 2)))
		c := lay(t, j, true).Datum
		l, err := divided(j, true, nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(l.walls[0].onDatum) == 0 {
			continue
		}
		best, bestScore := j.Scheme.Datum.Low, Score{Slivers: math.MaxInt}
		var apart []Score
		for h := j.Scheme.Datum.Low; h <= j.Scheme.Datum.High; h += l.step {
			s, err := l.scoreAt(h)
			if err != nil {
				t.Fatal(err)
			}
			if s.Less(bestScore) || !bestScore.Less(s) && nearer(h, best, c.Plain) {
				best, bestScore = h, s
			}
			if seed < 30 {
				fixed := j
				fixed.Scheme.Datum = scheme.Datum{Low: h, High: h}
				laid := lay(t, fixed, true)
				d := Score{Slivers: laid.Totals.Slivers - s.Slivers, Steel: -s.Steel}
				for _, p := range laid.Pieces {
					if panel, _ := j.Book.Panel(p.Panel); panel.Kind == steel.Horizontal {
						d.Steel += int64(p.OnWall().Outer.Box().Width()/measure.Sixteenth) * int64(panel.BlankWidth/measure.Sixteenth)
					}
				}
				if apart = append(apart, d); d != apart[0] {
					t.Fatalf("seed %d, %s: %+v more than scored, %+v at the lowest height", seed, h.Text(measure.Imperial), d, apart[0])
				}
			}
		}
		if best != c.Datum {
			t.Errorf("seed %d: chose %s %+v, every height gives %s %+v", seed, c.Datum.Text(measure.Imperial), c.Best, best.Text(measure.Imperial), bestScore)
		}
	}
}

// A mirrored house has the same lengths.
func TestMirrored(t *testing.T) {
	for seed := range uint64(40) {
		j := randomHouse(rand.New(rand.NewPCG(seed, 3)))
		m := j
		w := j.House.Walls[0]
		x := w.Outline.Box().Max.X
		flip := func(r plane.Ring) plane.Ring {
			out := plane.Ring{}
			for i := range r {
				q := r[len(r)-1-i]
				out = append(out, plane.Point{X: x - q.X, Y: q.Y})
			}
			return out
		}
		mw := w
		mw.Outline, mw.Edges, mw.Openings = flip(w.Outline), nil, nil
		for i := range w.Edges {
			mw.Edges = append(mw.Edges, w.Edges[(2*len(w.Edges)-2-i)%len(w.Edges)])
		}
		for _, o := range w.Openings {
			o.Outline = flip(o.Outline)
			mw.Openings = append(mw.Openings, o)
		}
		m.House = house.House{Walls: []house.Wall{mw}}
		a, b := lay(t, j, false), lay(t, m, false)
		if a.Totals.Pieces != b.Totals.Pieces || (a.Totals.PanelLength-b.Totals.PanelLength).Abs() > measure.Length(a.Totals.Pieces)*measure.Sixteenth {
			t.Errorf("seed %d: %d pieces %v ft, mirrored %d pieces %v ft", seed, a.Totals.Pieces, a.Totals.PanelLength.Feet(), b.Totals.Pieces, b.Totals.PanelLength.Feet())
		}
	}
}

func TestPlannedJoints(t *testing.T) {
	j := job(wall(900, 60, rect(300, 10, 40, 30)))
	j.Book.LongestPiece = 40 * measure.Foot
	l := lay(t, j, false)
	if l.Totals.Joints == 0 {
		t.Fatal("no joints")
	}
	joints := map[int][]measure.Length{}
	for _, p := range l.Pieces {
		if p.Length > j.Book.LongestPiece {
			t.Errorf("%s is %s", p.ID, p.Length.Text(measure.Imperial))
		}
		for _, e := range p.Ends {
			if e.Receiver == Joint && e.Side == RightEnd {
				joints[p.Course] = append(joints[p.Course], p.At.X+p.Extent)
			}
		}
	}
	for k, xs := range joints {
		for _, x := range xs {
			for _, y := range joints[k+1] {
				if (x - y).Abs() < 24*in {
					t.Errorf("joints of courses %d and %d are %s apart", k, k+1, (x - y).Abs().Text(measure.Imperial))
				}
			}
		}
	}
}

// TestJointsEnd: where an opening asks for a joint nearer than a lap that is longer
// than the stagger, the joints come to an end all the same.
func TestJointsEnd(t *testing.T) {
	j := job(wall(900, 60, rect(38, 10, 165, 30)))
	j.Book.LongestPiece, j.Book.Joint.Lap = 20*measure.Foot, 30*in
	if l := lay(t, j, false); l.Totals.Joints == 0 || l.Totals.Joints > 40 {
		t.Errorf("%d joints", l.Totals.Joints)
	}
}

// TestNoStub: a course a little longer than two pieces ends in no stub.
func TestNoStub(t *testing.T) {
	j := job(wall(479, 60))
	j.Book.LongestPiece = 20 * measure.Foot
	for _, p := range lay(t, j, false).Pieces {
		if p.Length > j.Book.LongestPiece || p.Length < 20*in {
			t.Errorf("%s is %s", p.ID, p.Length.Text(measure.Imperial))
		}
	}
}

// Two walls that meet at a corner, covers of 10 in. A field that starts on a skirt's top
// meets the whole wall beside it where the skirt is a whole number of courses high.
func TestLinesMeetAtACorner(t *testing.T) {
	for _, c := range []struct {
		skirt measure.Length
		start scheme.Start
		apart bool
		found int
	}{
		{25 * in, scheme.StartZone, false, 1}, {30 * in, scheme.StartZone, false, 0}, {25 * in, scheme.StartHouse, false, 0}, {25 * in, scheme.StartZone, true, 0},
	} {
		j := job(wall(240, 96),
			scheme.Zone{ID: "skirt", Walls: []int{0}, Where: scheme.Where{Kind: scheme.Below, Height: c.skirt}, Panel: "d5", Start: scheme.StartHouse},
			scheme.Zone{ID: "field", Walls: []int{0}, Where: scheme.Where{Kind: scheme.Rest}, Panel: "d5", Start: c.start},
			scheme.Zone{ID: "whole", Walls: []int{1}, Where: scheme.Where{Kind: scheme.Rest}, Panel: "d5"})
		east := wall(240, 96)
		east.ID = "east"
		j.House.Walls = append(j.House.Walls, east)
		if !c.apart {
			j.House.Corners = []house.Corner{{Between: [2]house.EdgeRef{{Wall: 0, Edge: 1}, {Wall: 1, Edge: 3}}, Outside: true}}
		}
		found := LinesMeet(j, lay(t, j, true))
		if len(found) != c.found {
			t.Errorf("skirt %s, start %s: %v", c.skirt.Text(measure.Imperial), c.start, found)
		}
		for _, p := range found {
			if p.Where != "$.house.corners[0]" || !strings.Contains(p.Mend, "start zone field at 2' 6\"") {
				t.Errorf("where %s, mend %s", p.Where, p.Mend)
			}
		}
	}
}

// A panel without a cover ends in an error, not in a division by it.
func TestNoCover(t *testing.T) {
	if _, err := levelGrid(0, 0, 0, 100*in); !errors.Is(err, ErrTooManyCourses) {
		t.Error(err)
	}
	if _, err := uprightGrid(0, 100*in, 0, scheme.Even); !errors.Is(err, ErrTooManyCourses) {
		t.Error(err)
	}
}
